// A page of the spec book: the way to the search, and amounts in ounces or for more than one.
// Pages read whole without it; every figure comes from the page, nothing is fetched.
"use strict";

// From any page to the search: the list reads what was asked for from its address.
const go = document.querySelector(".go");
if (go) {
  go.addEventListener("submit", (event) => {
    event.preventDefault();
    location.href = `index.html#find=${encodeURIComponent(go.elements.words.value.trim())}`;
  });
}

// Where a host serves the book it can be installed, and is kept for a cellar without a network; a
// preview changes too often, and a page opened from a disk may do neither.
if (/^https?:$/.test(location.protocol) && !document.querySelector("script[data-number]")) {
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = document.currentScript.dataset.manifest;
  document.head.append(link);
  navigator.serviceWorker?.register("offline.js").catch(() => {}); // a host that forbids it: read on
}

const scale = document.querySelector(".scale");
if (scale) {
  const OUNCE_ML = 29.5735295625; // US fluid ounce, where the card prints no ounces of its own
  const parts = (line) => [".number", ".unit", ".ounces"].map((c) => line.querySelector(c));
  const put = (line, number, unit, small) => {
    const [first, second, third] = parts(line);
    first.textContent = number;
    second.textContent = unit;
    third.textContent = small;
    first.classList.toggle("long", number.length > 5);
  };

  // The amounts of one, as the card prints them; millilitres and ounces change places.
  const lines = [...document.querySelectorAll(".one li, .panel li")].map((line) =>
    ({ line, ml: Number(line.dataset.ml), first: parts(line).map((part) => part.textContent) }));
  const one = () => {
    const ounces = scale.elements.unit?.value === "oz";
    for (const { line, ml, first } of lines) {
      const [number, unit, small] = first;
      if (!ounces || !ml) put(line, ...first);
      else if (small) put(line, small, "", `${number} ${unit}`);
      else put(line, (ml / OUNCE_ML).toFixed(2), "oz", `${number} ${unit}`);
    }
  };

  // The batch: the engine's batch of one, so many times, rounded by the engine's own rules.
  const given = scale.dataset.batch && JSON.parse(scale.dataset.batch);
  // The roundings of the engine, digit by digit: nothing is left to how a number is held.
  const plain = (text) => (text.includes(".") ? text.replace(/\.?0+$/, "") : text);
  const pointed = (kept, places) => {
    const text = String(kept).padStart(places + 1, "0");
    return places ? `${text.slice(0, -places)}.${text.slice(-places)}` : text;
  };
  const halfUp = (value, places) => { // of nine figures
    const [whole, digits = ""] = value.toPrecision(9).split(".");
    const after = digits.padEnd(places + 1, "0");
    return plain(pointed(BigInt(whole + after.slice(0, places)) + (after[places] >= "5" ? 1n : 0n), places));
  };
  const halfEven = (value, places) => { // of all its figures
    const [whole, digits] = value.toFixed(100).split(".");
    const rest = digits.slice(places);
    const half = "5".padEnd(rest.length, "0");
    const kept = BigInt(whole + digits.slice(0, places));
    return plain(pointed(kept + (rest > half || (rest === half && kept % 2n === 1n) ? 1n : 0n), places));
  };
  const rules = given && given.rules;
  const rule = (rows, value) => rows.find((row) => value >= row[0])[1];
  const litres = (ml) => `${halfUp(ml / 1000, 2)} litres`;
  const large = (ml) => (ml < rules.litres_from_ml ? `${halfEven(ml, 0)} ml` : litres(ml));
  const volume = (ml, role) => {
    if (ml >= rules.litres_from_ml) return litres(ml);
    const step = rule(rules.steps, ml);
    const rounded = halfUp(Math.max(1, Number(halfEven(ml / step, 0))) * step, 2);
    const fits = Math.abs(Number(rounded) - ml) <= rules.shares[role] * ml + rules.near;
    return `${fits ? rounded : halfEven(ml, rule(rules.exact, ml))} ml`;
  };
  const mass = (g) => {
    const places = g < rules.light_g ? 1 - Math.floor(Math.log10(g)) : rule(rules.mass, g);
    return `${halfUp(g, places)} g`;
  };
  const told = (line, times) => {
    const ml = line.ml === null ? null : line.ml * times;
    const g = line.g === null ? null : line.g * times;
    if (ml === null && g === null) {
      const count = line.count * times;
      return [`${halfEven(count, 2)} ${count > 1 ? line.many : line.one}`.trim(), ""];
    }
    if (ml === null) return [mass(g), ""];
    if (g === null) return [volume(ml, line.role), ""];
    const pair = [volume(ml, line.role), mass(g)];
    return ml > given.weigh_from_ml ? pair.reverse() : pair;
  };
  const filled = (words, values) => words.replace(/\{(\w+)\}/g, (_, key) => values[key]);

  const batch = (box, times) => {
    const water = given.water_g * times;
    const wet = water > given.least_water_g;
    const amounts = given.lines.map((line) => told(line, times));
    amounts.push(wet ? [mass(water), large(water / given.water_g_per_ml)] : ["", ""]);
    [...box.querySelectorAll("li")].forEach((line, n) => {
      const [first, small] = amounts[n];
      const at = first.indexOf(" ");
      put(line, at < 0 ? first : first.slice(0, at), at < 0 ? "" : first.slice(at + 1), small);
      line.hidden = n === given.lines.length && !wet;
    });
    [...box.querySelectorAll(".held")].forEach((span, n) => { span.textContent = told(given.held[n], times)[0]; });
    const total = given.total_ml * times;
    const into = given.vessels.find(({ ml }) => total <= ml * (1 + 1e-9)) || given.vessels.at(-1);
    const count = Math.ceil(total / into.ml - 1e-9);
    box.querySelector(".makes").textContent =
      filled(given.words.makes, { volume: large(total), mass: mass(given.total_g * times) });
    box.querySelector(".water").textContent = wet ? filled(given.words.water, { mark: large(total) }) : "";
    box.querySelector(".bottles").textContent =
      filled(count === 1 ? into.one : into.many, { count });
  };

  const show = () => {
    const field = scale.elements.times;
    const asked = field && (field.value !== "" || field.validity.badInput);
    const times = asked ? Number(field.value) : 0;
    const within = asked && times >= given.least && times <= given.most;
    one();
    if (given) {
      const box = document.querySelector(".batch");
      if (within) batch(box, times);
      box.hidden = !within;
      document.querySelector(".one").hidden = within;
      scale.querySelector(".limits").hidden = !asked || within;
      for (const mark of document.querySelectorAll(".of-one")) mark.hidden = !within;
      const told = scale.querySelector("output");
      told.textContent = within ? told.dataset.many.replace("#", field.value) : told.dataset.one;
    }
  };

  scale.addEventListener("input", show);
  scale.addEventListener("submit", (event) => event.preventDefault());
  show();
}
