// Choosing: counts again what each choice would leave, says how many drinks there are, and keeps the
// choice until the tab is closed, over reloads and languages. The sheet hides drinks without it.
"use strict";

const form = document.getElementById("choice");
const KEPT = "choice";

if (form) {
  const drinks = [...document.querySelectorAll(".drink")].map((drink) => ({
    of: drink.dataset.of ?? drink.id, has: new Set(drink.classList), section: drink.closest("section"),
  }));
  const inputs = [...form.querySelectorAll("input[id]")];
  const said = document.querySelector(".shown");
  const bar = document.querySelector(".bar");

  // What is chosen, by the name of its group; what is ticked stands alone.
  const chosen = () => inputs.filter((one) => one.checked);
  const fits = (drink, choices) => choices.every((one) =>
    one.type === "radio" ? drink.has.has(one.id) : !drink.has.has(one.id.replace("no-", "has-")));
  const many = (list) => new Set(list.map((drink) => drink.of)).size;

  function count() {
    const now = chosen();
    for (const one of inputs) {
      const others = now.filter((other) => other !== one && (one.type !== "radio" || other.name !== one.name));
      const left = many(drinks.filter((drink) => fits(drink, [...others, one])));
      one.closest("label").querySelector(".many").textContent = left;
      one.closest("label").classList.toggle("bare", left === 0);
    }
    const left = drinks.filter((drink) => fits(drink, now));
    const full = new Set(left.map((drink) => drink.section));
    for (const section of new Set(drinks.map((drink) => drink.section))) {
      if (!section) continue;
      section.hidden = !full.has(section);
      const link = bar.querySelector(`[href="#${CSS.escape(section.getAttribute("aria-labelledby"))}"]`);
      link.parentElement.hidden = section.hidden;
    }
    const unsure = left.filter((drink) => now.some((one) => one.type !== "radio" && drink.has.has(one.id.replace("no-", "may-"))));
    const words = left.length ? [form.dataset.said.replace("{n}", many(left))] : [form.dataset.none];
    if (unsure.length) words.push(form.dataset.ask.replace("{n}", many(unsure)));
    said.textContent = now.length ? words.join("; ") : "";
  }

  function keep() {
    try {
      sessionStorage.setItem(KEPT, JSON.stringify(chosen().map((one) => one.id)));
    } catch { /* a browser may keep nothing; the page works without */ }
  }

  function recall() {
    let ids = [];
    try {
      ids = JSON.parse(sessionStorage.getItem(KEPT)) ?? [];
    } catch { /* as above */ }
    form.reset();
    for (const one of inputs) one.checked = ids.includes(one.id);
    for (const group of new Set(inputs.filter((one) => one.type === "radio").map((one) => one.name))) {
      if (!form.querySelector(`[name="${group}"]:checked`)) form.querySelector(`[name="${group}"]`).checked = true;
    }
    count();
  }

  form.addEventListener("change", () => { count(); keep(); });
  form.addEventListener("reset", () => setTimeout(() => { count(); keep(); }));
  addEventListener("pageshow", recall); // also when a browser brings the page back with old ticks

  // A sheet that hangs open is closed by what leads away from it, a press beside it, or Escape.
  const close = (one) => { one.open = false; };
  const open = () => [...bar.querySelectorAll("details[open]")];
  bar.addEventListener("click", (event) => {
    if (event.target.closest("a")) open().forEach(close);
  });
  document.addEventListener("pointerdown", (event) => {
    if (!bar.contains(event.target)) open().forEach(close);
  });
  bar.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    for (const one of open()) {
      close(one);
      one.querySelector("summary").focus();
    }
  });

  // Which part of the menu one is in: its link is marked, and brought to where it is seen.
  const links = new Map([...bar.querySelectorAll(".parts a")].map((link) => [link.getAttribute("href").slice(1), link]));
  const watch = new IntersectionObserver((seen) => {
    for (const entry of seen) {
      if (!entry.isIntersecting) continue;
      for (const link of links.values()) link.removeAttribute("aria-current");
      const link = links.get(entry.target.getAttribute("aria-labelledby"));
      link.setAttribute("aria-current", "true");
      const list = link.closest("ul");
      const [at, all] = [link.getBoundingClientRect(), list.getBoundingClientRect()];
      list.scrollBy({ left: (at.left + at.right - all.left - all.right) / 2 });
    }
  }, { rootMargin: "-20% 0px -75% 0px" });
  for (const section of document.querySelectorAll("section[aria-labelledby]")) watch.observe(section);
}
