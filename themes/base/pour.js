// The pour: touch the glass, hold the button or move the slider, and it runs along its turn. The
// page reads whole without it. Every figure comes from the page, pictures from beside it; nothing is
// stored. A swipe that begins on the glass scrolls: only a tap pours.
"use strict";

// A page opened from a disk has no app to install, and a browser complains of being asked.
if (location.protocol.startsWith("http")) {
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = document.currentScript.dataset.manifest;
  document.head.append(link);
}

const still = matchMedia("(prefers-reduced-motion: reduce)");
const light = matchMedia("(prefers-color-scheme: light)");
const added = CSS.supports("mix-blend-mode", "plus-lighter");
const FRAMES = 10;
// Pictures of a turn are asked for when their glass is about to be seen.
const coming = new IntersectionObserver((seen) => {
  for (const one of seen) {
    if (!one.isIntersecting) continue;
    coming.unobserve(one.target);
    one.target.dispatchEvent(new Event("coming"));
  }
}, { rootMargin: "300px" });

for (const drink of document.querySelectorAll("[data-pour]")) {
  const turn = JSON.parse(drink.dataset.pour);
  const glass = drink.querySelector(".glass"); // flat, where there is no picture
  const box = drink.querySelector(".pour");
  const slider = box.querySelector("input");
  const button = box.querySelector("button");
  const idle = button.textContent;
  const now = box.querySelector(".now");
  const said = box.querySelector(".said");
  const seen = drink.querySelector("[data-reel]");
  const frames = seen ? [0, 1].map(() => document.createElement("div")) : [];
  const shown = seen ?? glass.querySelector("title");
  const first = seen?.querySelector("img").alt ?? shown.textContent;
  const last = turn.at.length / 2 - 1;
  let frame = 0;
  let told = -1;

  const mix = (a, b, t) => a + (b - a) * t;
  const shade = (i, c) => parseInt(turn.hex.slice(6 * i + 2 * c, 6 * i + 2 * c + 2), 16);

  // Two pictures over one another, one fading into the other: what lies between them. Where their
  // light can be added the sum is exact; else the lower one stays, so that nothing shows through.
  function reel(percent) {
    const at = (percent / 100) * (FRAMES - 1);
    const lower = Math.min(Math.floor(at), FRAMES - 2);
    frames.forEach((frame, n) => {
      if (added) frame.style.mixBlendMode = "plus-lighter"; // validators of styles do not know it yet
      frame.style.backgroundPositionX = `${((lower + n) / (FRAMES - 1)) * 100}%`;
    });
    frames[0].style.opacity = added ? 1 - (at - lower) : 1;
    frames[1].style.opacity = at - lower;
  }

  function fill(place) {
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
  }

  function show(percent) {
    const place = (percent / 100) * last;
    if (seen) reel(percent);
    else fill(place);
    const near = Math.round(place);
    if (near !== told) {
      told = near;
      const words = `${turn.name[turn.at[2 * near]]}, ${turn.sharp[turn.at[2 * near + 1]]}`;
      slider.setAttribute("aria-valuetext", words);
      now.textContent = words;
      if (seen) seen.setAttribute("aria-label", near ? words : first);
      else shown.textContent = near ? words : first;
    }
    button.textContent = percent >= 100 ? button.dataset.again : idle;
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
      said.textContent = now.textContent;
      return;
    }
    let before = performance.now();
    let poured = Number(slider.value);
    drink.classList.add("pouring");
    frame = requestAnimationFrame(function step(time) {
      poured = Math.min(100, poured + (Math.max(0, time - before) / 1000 / turn.s) * 100);
      before = time;
      set(poured);
      frame = poured < 100 ? requestAnimationFrame(step) : 0;
      if (!frame) {
        stop();
        said.textContent = now.textContent;
      }
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

  if (seen) {
    seen.setAttribute("role", "img");
    // A turn is painted for the page it stands on: another one comes where the guest turns the light.
    seen.addEventListener("coming", () => {
      const picture = new Image();
      const address = light.matches ? seen.dataset.day : seen.dataset.reel;
      picture.src = address;
      picture.decode().then(() => {
        for (const one of frames) {
          one.className = "frame";
          one.style.backgroundImage = `url("${address}")`;
          seen.append(one);
        }
        seen.classList.add("reeling");
        reel(Number(slider.value));
      }, () => {});
    });
    coming.observe(seen);
    light.addEventListener("change", () => coming.observe(seen));
    seen.addEventListener("click", () => {
      if (frame) stop();
      else start();
    });
  }

  box.hidden = false;
  drink.classList.add("ready");
  set(0);
}
