// For one guest: of all that is ticked, each drink takes the gravest answer. The page reads need by
// need without it; what it tells stands in pieces beside the page, asked for with the first tick.
"use strict";

const form = document.querySelector(".needs");
const answers = document.querySelector(".answers");
const byNeed = document.querySelector(".by-need");
const status = document.querySelector("[role=status]");
// Places of the answers on the page, gravest first: not safe, unknown, safe without, safe.
const GRAVEST = [2, 3, 1, 0];
const MOST = 60; // names of one answer, until all are asked for
let loaded;

// Scripts, because a page that is opened from a disk may load those and nothing else.
const load = () => loaded ??= Promise.all(form.dataset.index.split(" ").map((address) => new Promise((done) => {
  const script = Object.assign(document.createElement("script"), { src: address, async: false });
  script.onload = script.onerror = done;
  document.head.append(script);
}))).then(() => globalThis.anthocardGuests ?? []);

const link = ([drink, lines]) => {
  const item = document.createElement("li");
  const name = Object.assign(document.createElement("a"), { href: `${drink.slug}.html`, textContent: drink.name.replaceAll("'", "’"), dir: "auto" });
  const why = Object.assign(document.createElement("span"), { textContent: lines.join(", "), dir: "auto" });
  item.append(name, ...(lines.length ? [": ", why] : []));
  return item;
};

const fill = (section, drinks, most) => {
  section.hidden = drinks.length === 0;
  section.querySelector(".many").textContent = drinks.length;
  section.querySelector("ul").replaceChildren(...drinks.slice(0, most).map(link));
  const more = section.querySelector("button");
  more.hidden = drinks.length <= most;
  more.onclick = () => fill(section, drinks, Infinity);
};

const tell = async () => {
  const ticked = [...form.elements.need].filter((box) => box.checked).map((box) => box.value);
  answers.hidden = ticked.length === 0;
  byNeed.hidden = ticked.length > 0;
  status.textContent = "";
  if (answers.hidden) return;
  const groups = [[], [], [], []];
  for (const drink of await load()) {
    const told = ticked.map((need) => drink.answers[need] ?? [0, []]);
    const answer = GRAVEST.find((one) => told.some(([given]) => given === one)) ?? 0;
    const lines = told.filter(([given]) => given === answer).flatMap(([, of]) => of);
    groups[answer].push([drink, answer === 0 ? [] : [...new Set(lines)]]);
  }
  const now = [...form.elements.need].filter((box) => box.checked).map((box) => box.value);
  if (`${now}` !== `${ticked}`) return; // somebody ticked on while the answers came
  const sections = [...answers.querySelectorAll("section")];
  sections.forEach((section, at) => fill(section, groups[at], MOST));
  status.textContent = sections.filter((section) => !section.hidden).map((section) => section.querySelector("h2").textContent).join(", ");
};

form.addEventListener("change", tell);
tell(); // a browser may bring ticks back
