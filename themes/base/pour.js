// The pour: a slider, or a button held down, runs a glass along its turn. The page reads whole
// without it. Every figure comes from the page; nothing is fetched and nothing is stored.
"use strict";

// A page opened from a disk has no app to install, and a browser complains of being asked.
if (location.protocol.startsWith("http")) {
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = document.currentScript.dataset.manifest;
  document.head.append(link);
}

const still = matchMedia("(prefers-reduced-motion: reduce)");
const SECONDS = 3.2;

for (const drink of document.querySelectorAll("[data-pour]")) {
  const turn = JSON.parse(drink.dataset.pour);
  const glass = drink.querySelector(".glass");
  const box = drink.querySelector(".pour");
  const slider = box.querySelector("input");
  const button = box.querySelector("button");
  const now = box.querySelector(".now");
  const title = glass.querySelector("title").textContent;
  const last = turn.y.length - 1;
  let frame = 0;
  let told = -1;

  const mix = (a, b, t) => a + (b - a) * t;
  const shade = (i, c) => parseInt(turn.hex.slice(6 * i + 2 * c, 6 * i + 2 * c + 2), 16);

  function show(percent) {
    const place = (percent / 100) * last;
    const i = Math.min(Math.floor(place), last - 1);
    const t = place - i;
    const parts = [0, 1, 2].map((c) => Math.round(mix(shade(i, c), shade(i + 1, c), t)));
    glass.style.color = `rgb(${parts.join(" ")})`;
    const y = mix(turn.y[i], turn.y[i + 1], t).toFixed(2);
    const rx = mix(turn.rx[i], turn.rx[i + 1], t);
    glass.querySelector("rect.body").setAttribute("y", y);
    for (const surface of glass.querySelectorAll("ellipse")) {
      surface.setAttribute("cy", y);
      surface.setAttribute("rx", rx.toFixed(2));
      surface.setAttribute("ry", (rx * 0.09).toFixed(2));
    }
    const near = Math.round(place);
    if (near !== told) {
      told = near;
      const words = `${turn.name[turn.at[2 * near]]}, ${turn.sharp[turn.at[2 * near + 1]]}`;
      slider.setAttribute("aria-valuetext", words);
      now.textContent = words;
      glass.querySelector("title").textContent = near ? words : title;
    }
    button.textContent = percent >= 100 ? button.dataset.again : button.dataset.first;
  }

  function set(percent) {
    slider.value = percent;
    show(percent);
  }

  function stop() {
    cancelAnimationFrame(frame);
    frame = 0;
    drink.classList.remove("pouring");
  }

  function start() {
    if (frame) return;
    if (Number(slider.value) >= 100) {
      set(0);
      return;
    }
    if (still.matches) {
      set(100);
      return;
    }
    let before = performance.now();
    let poured = Number(slider.value);
    drink.classList.add("pouring");
    frame = requestAnimationFrame(function step(time) {
      poured = Math.min(100, poured + (Math.max(0, time - before) / 1000 / SECONDS) * 100);
      before = time;
      set(poured);
      frame = poured < 100 ? requestAnimationFrame(step) : 0;
      if (!frame) stop();
    });
  }

  slider.addEventListener("input", () => {
    stop();
    show(Number(slider.value));
  });
  button.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    button.setPointerCapture(event.pointerId);
    start();
  });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture", "blur"]) {
    button.addEventListener(end, stop);
  }
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  button.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) start();
  });
  button.addEventListener("keyup", (event) => {
    event.preventDefault();
    stop();
  });
  // What speaks to a screen presses without pointer or key: it is given the whole pour at once.
  button.addEventListener("click", (event) => {
    if (event.detail === 0 && !frame) set(Number(slider.value) >= 100 ? 0 : 100);
  });

  box.hidden = false;
  drink.classList.add("ready");
  set(0);
}
