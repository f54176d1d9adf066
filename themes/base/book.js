// The spec book: finding a recipe as one types, and amounts in ounces or for more than one.
// Pages read whole without it; every figure comes from the page, nothing is fetched or stored.
"use strict";

const find = document.querySelector(".find");
if (find) {
  const rows = [...document.querySelectorAll("[data-words]")];
  const shelves = [...document.querySelectorAll(".shelf")];
  const told = find.querySelector("output");

  const look = () => {
    const words = find.elements.words.value.toLowerCase().split(/\s+/).filter(Boolean);
    const chosen = [...find.querySelectorAll("select")].filter((select) => select.value);
    for (const row of rows) {
      const named = words.every((word) => row.dataset.words.includes(word));
      const tagged = chosen.every((select) =>
        (row.dataset[select.name] ?? "").split(" ").includes(select.value));
      row.hidden = !(named && tagged);
    }
    for (const shelf of shelves) shelf.hidden = !shelf.querySelector("li:not([hidden])");
    const left = rows.filter((row) => !row.hidden).length;
    const words = left === rows.length ? told.dataset.all : told.dataset.some;
    told.textContent = words.replace("##", rows.length).replace("#", left);
  };

  find.addEventListener("input", look);
  find.addEventListener("reset", () => setTimeout(look));
  find.addEventListener("submit", (event) => event.preventDefault());
  find.hidden = false;
  look();
}

const scale = document.querySelector(".scale");
if (scale) {
  const OUNCE_ML = 29.5735295625; // US fluid ounce; a batch is measured, not jiggered
  const lines = [...document.querySelectorAll(".pours li")].map((line) => {
    const [number, unit, ounces] = [".number", ".unit", ".ounces"].map((c) => line.querySelector(c));
    return {
      number, unit, ounces, ml: Number(line.dataset.ml), many: line.dataset.many,
      first: [number.textContent, unit.textContent, ounces.textContent],
    };
  });

  const plain = (value, digits) => String(Number(value.toFixed(digits)));
  const inMl = (ml) => (ml < 2000 ? [plain(ml, ml < 10 ? 2 : 1), "ml"] : [plain(ml / 1000, 2), scale.dataset.litres]);
  const inOunces = (ml) => [plain(ml / OUNCE_ML, 2), "oz"];

  const show = () => {
    const times = Math.min(500, Math.max(1, Math.round(Number(scale.elements.times.value)) || 1));
    const ounces = scale.elements.unit.value === "oz";
    for (const line of lines) {
      let [number, unit, small] = line.first;
      const counted = Number(number);
      if (line.ml && (times > 1 || ounces)) {
        const large = ounces ? inOunces(line.ml * times) : inMl(line.ml * times);
        small = (ounces ? inMl(line.ml * times) : inOunces(line.ml * times)).join(" ");
        [number, unit] = large;
        if (ounces && times === 1 && line.first[2]) [number, unit] = [line.first[2], ""];
      } else if (times > 1 && number && Number.isFinite(counted)) {
        number = plain(counted * times, 2);
        unit = line.many ?? unit;
        small = "";
      }
      line.number.textContent = number;
      line.unit.textContent = unit;
      line.ounces.textContent = small;
      line.number.classList.toggle("long", number.length > 5);
    }
    const told = scale.querySelector("output");
    told.textContent = times > 1 ? told.dataset.many.replace("#", times) : told.dataset.one;
  };

  scale.addEventListener("input", show);
  scale.addEventListener("submit", (event) => event.preventDefault());
  scale.hidden = false;
}
