// For one guest: of all that is ticked, each drink takes the gravest answer. The page reads need by
// need without it; what it tells stands on the page, nothing is fetched.
"use strict";

const form = document.querySelector(".needs");
const answers = document.querySelector(".answers");
const byNeed = document.querySelector(".by-need");
const drinks = JSON.parse(form.dataset.drinks);
// Places of the answers on the page, gravest first: not safe, unknown, safe without, safe.
const GRAVEST = [2, 3, 1, 0];

const link = (drink, lines) => {
  const item = document.createElement("li");
  const name = Object.assign(document.createElement("a"), { href: `${drink.slug}.html`, textContent: drink.name.replaceAll("'", "’") });
  item.append(name, lines.length ? `: ${lines.join(", ")}` : "");
  return item;
};

const tell = () => {
  const ticked = [...form.elements.need].filter((box) => box.checked).map((box) => box.value);
  const groups = [[], [], [], []];
  for (const drink of drinks) {
    const told = ticked.map((need) => drink.answers[need] ?? [0, []]);
    const answer = GRAVEST.find((one) => told.some(([given]) => given === one)) ?? 0;
    const lines = told.filter(([given]) => given === answer).flatMap(([, of]) => of);
    groups[answer].push(link(drink, answer === 0 ? [] : [...new Set(lines)]));
  }
  [...answers.querySelectorAll("section")].forEach((section, at) => {
    section.hidden = groups[at].length === 0;
    section.querySelector("ul").replaceChildren(...groups[at]);
  });
  answers.hidden = ticked.length === 0;
  byNeed.hidden = ticked.length > 0;
};

form.hidden = false;
form.addEventListener("change", tell);
tell(); // a browser may bring ticks back
