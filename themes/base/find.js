// The search of the spec book: ranks rows by what was typed, forgives slips, knows “no egg”.
// The index is a script beside the page (so it opens from a disk too), asked for when first needed.
"use strict";

// Letters without accents, case or apostrophes; words without anything between.
const plainly = (text) => text.normalize("NFKD").replace(/\p{M}|['’]/gu, "").toLowerCase().replaceAll("ß", "ss");
const wordsOf = (text) => plainly(text).match(/[\p{L}\p{N}]+/gu) ?? [];

// Slips of a thumb between two words (optimal string alignment), or more than `most`.
function slips(a, b, most) {
  if (Math.abs(a.length - b.length) > most) return most + 1;
  let [before, last] = [[], Array.from({ length: b.length + 1 }, (_, n) => n)];
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= b.length; j += 1) {
      const same = a[i - 1] === b[j - 1];
      row[j] = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        row[j] = Math.min(row[j], before[j - 2] + 1);
      }
    }
    if (Math.min(...row) > most) return most + 1;
    [before, last] = [last, row];
  }
  return last[b.length];
}

// How well a word stands in a field: 3 whole (or with an ending, or written in two), 2 as a
// beginning, 1 with a slip in each four letters, 0 not at all. Never from inside another word.
const ENDING = /^(s|es|e|n|en|er)$/;
function fit(word, field) {
  let best = 0;
  for (const one of field.whole) {
    if (one === word) return 3;
    const [short, long] = one.length < word.length ? [one, word] : [word, one];
    if (short.length > 2 && long.startsWith(short) && ENDING.test(long.slice(short.length))) best = 3;
    else if (one.startsWith(word)) best = Math.max(best, 2);
    else if (best === 0 && slips(word, one, Math.floor(word.length / 4)) <= Math.floor(word.length / 4)) best = 1;
  }
  return field.joined.includes(word) ? 3 : best;
}

const fieldOf = (text) => {
  const whole = wordsOf(text);
  return { whole: [...new Set(whole)], joined: whole.slice(1).map((word, n) => whole[n] + word) };
};

// One row of the index as it is searched. Name before what is in it before how it looks.
const WEIGHTS = [6, 3, 2, 1];
function prepared(row) {
  const [, name, , , , , , , called, made, looks, holds] = row;
  return { row, name: wordsOf(name).join(" "), fields: [called, made, holds, looks].map(fieldOf), holds: fieldOf(holds) };
}

// What was asked: words to have, words to be without.
function asked(text, without) {
  const have = [], lack = [];
  let no = false;
  for (const word of wordsOf(text)) {
    if (without.includes(word)) no = true;
    else {
      (no ? lack : have).push(word);
      no = false;
    }
  }
  // “drift wood” is “driftwood” as well: neighbours are tried as one word where either fails.
  return { have, lack };
}

// The rows that answer, best first, and whether they have all that was asked for.
function ranked(rows, text, without) {
  const { have, lack } = asked(text, without);
  const free = rows.filter(({ holds }) => !lack.some((word) => fit(word, holds) > 1));
  const at = (word) => {
    const fits = free.map(({ fields }) => fields.map((field) => fit(word, field)));
    const best = Math.max(0, ...fits.flat());
    return fits.map((of) => Math.max(0, ...of.map((one, n) => (one === best && one > 0 ? one * WEIGHTS[n] : 0))));
  };
  const scores = have.map(at);
  for (let n = 1; n < have.length; n += 1) {
    const pair = at(have[n - 1] + have[n]);
    const told = scores[n - 1].some((one, r) => one && scores[n][r]);
    if (!told && pair.some(Boolean)) [scores[n - 1], scores[n]] = [pair, pair];
  }
  const found = free.map((one, r) => {
    const of = scores.map((score) => score[r]);
    const whole = have.length > 0 && one.name.startsWith(have.join(" ")) ? 10 : 0;
    return { row: one.row, had: of.filter(Boolean).length, score: of.reduce((a, b) => a + b, whole) };
  });
  const most = Math.max(0, ...found.map(({ had }) => had));
  if (have.length && !most) return { rows: [], all: false };
  const best = found.filter(({ had }) => had === most);
  best.sort((a, b) => b.score - a.score); // stable: the order of the book where all else is equal
  return { rows: best.map(({ row }) => row), all: most === have.length };
}

if (typeof document !== "undefined") {
  const find = document.querySelector(".find");
  const field = find.elements.words;
  const told = find.querySelector("output");
  const list = document.querySelector(".found");
  const shelves = document.querySelectorAll(".shelf, .pages");
  const without = find.dataset.without.split(" ");
  let loaded;

  const load = () => loaded ??= Promise.all(find.dataset.index.split(" ").map((address) => new Promise((done) => {
    const script = Object.assign(document.createElement("script"), { src: address, async: false });
    script.onload = script.onerror = done;
    document.head.append(script);
  }))).then(() => (globalThis.anthocardRows ?? []).map(prepared));

  const svg = (name, attributes, ...inside) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  };
  const html = (name, attributes, ...inside) => {
    const made = Object.assign(document.createElement(name), attributes);
    made.append(...inside);
    return made;
  };
  const drawn = (symbol, colour, badge) => {
    if (badge) return html("span", { className: "badge" }, badge);
    return svg("svg", { class: symbol ? "glass" : "chip", color: colour, "aria-hidden": "true" },
      svg("use", { href: `#${symbol || "chip"}` }));
  };
  const item = ([slug, name, , line, symbol, colour, badge, card]) => {
    const link = html("a", { href: `${slug}.html`, dir: "auto" }, name.replaceAll("'", "’"));
    const box = html("li", {}, drawn(symbol, colour, badge), html("div", {}, link, html("p", {}, line)));
    if (card) box.append(html("a", { className: "paper", href: `cards/${slug}.pdf` }, find.dataset.card));
    return box;
  };

  const look = async () => {
    const chosen = [...find.querySelectorAll("select")].filter((select) => select.value);
    const text = field.value.trim();
    const idle = !text && !chosen.length;
    const hash = text ? `#find=${encodeURIComponent(text)}` : " ";
    if (location.hash !== hash.trim()) history.replaceState(null, "", hash.trim() || location.pathname + location.search);
    list.hidden = idle;
    find.querySelector("button").hidden = idle;
    for (const shelf of shelves) shelf.hidden = !idle;
    if (idle) {
      told.textContent = told.dataset.all;
      return;
    }
    const rows = await load();
    if (text !== field.value.trim()) return; // somebody typed on while the index came
    const tagged = rows.filter(({ row }) => chosen.every((select) => (row[12][select.name] ?? "").split(" ").includes(select.value)));
    const { rows: found, all } = ranked(tagged, text, without);
    list.replaceChildren(...found.slice(0, 60).map(item));
    const says = !found.length ? told.dataset.none : all ? told.dataset.some : told.dataset.near;
    told.textContent = says.replace("##", rows.length).replace("#", found.length);
  };

  find.addEventListener("input", look);
  find.addEventListener("reset", () => setTimeout(look));
  find.addEventListener("submit", async (event) => {
    event.preventDefault();
    await look();
    const first = list.hidden ? null : list.querySelector("a");
    if (first) location.href = first.href;
  });
  const arrive = () => {
    const hash = location.hash.match(/^#find=(.*)$/);
    if (hash) field.value = decodeURIComponent(hash[1]);
    look();
  };
  window.addEventListener("hashchange", arrive);
  window.addEventListener("pageshow", arrive);
}
