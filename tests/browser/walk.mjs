// Drives real Chromium over published pages and tells what it found as JSON on standard output.
// node walk.mjs TASK '{"modules": …, "chromium": …, "urls": […], …}'; one task a run, see below.
import { createRequire } from "node:module";
import { readFileSync, writeFileSync } from "node:fs";

const [task, given] = process.argv.slice(2);
const options = JSON.parse(given);
const require = createRequire(`${options.modules}/`);
const puppeteer = require("puppeteer-core");
const browser = await puppeteer.launch({
  executablePath: options.chromium,
  args: ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});

// A page that notes every message and every request that leaves the folder it was opened from.
async function open(heard, outside) {
  const page = await browser.newPage();
  page.on("console", (m) => heard.push(`${page.url()} ${m.type()}: ${m.text()}`));
  page.on("pageerror", (e) => heard.push(`${page.url()} error: ${e.message}`));
  page.on("request", (r) => {
    if (!r.url().startsWith(options.home) && !r.url().startsWith("data:")) outside.push(r.url());
  });
  page.on("requestfailed", (r) => heard.push(`${r.url()} failed: ${r.failure().errorText}`));
  page.on("response", (r) => {
    if (r.status() >= 400) heard.push(`${r.url()} answered ${r.status()}`);
  });
  return page;
}

const tasks = {
  // axe-core on every page in light and in dark, in turn, everything that opens opened.
  async axe() {
    const source = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
    const found = [];
    const page = await open([], []);
    await page.setBypassCSP(true); // so that the checker itself may be put in
    for (const [n, url] of options.urls.entries()) {
      const scheme = ["light", "dark"][n % 2];
      await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
      await page.goto(url);
      await page.evaluate(source);
      await page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
      const result = await page.evaluate(() => window.axe.run());
      for (const v of result.violations) {
        found.push(`${url} ${scheme} ${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join(", ")}`);
      }
    }
    return { found };
  },

  // How each painted attribute of a page is computed, on a screen that shows no more than sRGB and
  // on one that shows Display P3.
  async painted() {
    const page = await open([], []);
    const client = await page.createCDPSession();
    const found = {};
    for (const gamut of ["srgb", "p3"]) {
      const features = [{ name: "color-gamut", value: gamut }];
      await client.send("Emulation.setEmulatedMedia", { features });
      await page.goto(options.urls[0]);
      found[gamut] = await page.evaluate(() => {
        const told = [];
        for (const key of ["fill", "color", "stop-color"])
          for (const element of document.querySelectorAll(`[${key}^="#"]`))
            told.push([key, element.getAttribute(key), getComputedStyle(element)[key]]);
        return told;
      });
    }
    return found;
  },

  // No sideways scroll at any width, no console message, nothing asked of another place.
  async widths() {
    const heard = [], outside = [], wide = [];
    const page = await open(heard, outside);
    for (const url of options.urls) {
      await page.setViewport({ width: options.widths[0], height: 900 });
      await page.goto(url, { waitUntil: "load" });
      await page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
      for (const width of options.widths) { // a window that is drawn wider, as loading takes longest
        await page.setViewport({ width, height: 900 });
        const past = await page.evaluate((w) => {
          const out = [];
          if (document.documentElement.scrollWidth > w) out.push(`page ${document.documentElement.scrollWidth}`);
          for (const e of document.querySelectorAll("h1, h2, h3, h4, p, li, td, th, input, button, select, .glass, figure")) {
            const box = e.getBoundingClientRect();
            const unseen = e.closest(".unseen, .skip, .parts, [hidden]") || !box.width || !box.height;
            if (!unseen && (box.right > w + 1 || box.left < -1)) out.push(`${e.tagName} ${e.className} ${box.left}-${box.right}`);
          }
          return out.slice(0, 4);
        }, width);
        for (const what of past) wide.push(`${url} at ${width}: ${what}`);
      }
    }
    return { heard, outside, wide };
  },

  // What a tap's turn costs the main thread, and how many pictures a second it shows.
  async turning() {
    const page = await open([], []);
    await page.setViewport({ width: 390, height: 844, hasTouch: true, deviceScaleFactor: 2 });
    await page.goto(options.urls[0]);
    await page.waitForSelector("[data-pour] .reeling");
    await page.emulateCPUThrottling(options.slower);
    const told = [];
    for (let n = 0; n < (await page.$$("[data-pour]")).length; n += 1) {
      await page.evaluate((n) => {
        document.querySelectorAll("[data-pour]")[n].scrollIntoView();
        window.frames_ = 0;
        const count = () => { window.frames_ += 1; window.counting = requestAnimationFrame(count); };
        count();
      }, n);
      await new Promise((r) => setTimeout(r, 500));
      const spent = async () => (await page.metrics()).TaskDuration;
      const [before, from] = [await spent(), await page.evaluate(() => window.frames_)];
      await page.evaluate((n) => document.querySelectorAll("[data-pour] button")[n].click(), n);
      await new Promise((r) => setTimeout(r, 2000));
      const [after, to] = [await spent(), await page.evaluate(() => {
        cancelAnimationFrame(window.counting);
        return window.frames_;
      })];
      told.push({ frames: to - from, ms: (1000 * (after - before)) / (to - from) });
    }
    return { told };
  },

  // The pour by keyboard alone, then by holding a pointer, then by touch, then without motion.
  async pour() {
    const heard = [];
    const page = await open(heard, []);
    await page.setViewport({ width: 390, height: 844, hasTouch: true });
    await page.goto(options.urls[0]);
    await page.waitForSelector("[data-pour] .reeling");
    const look = () => page.evaluate(() => {
      const drink = document.querySelector("[data-pour]");
      const slider = drink.querySelector("input");
      return {
        frames: [...drink.querySelectorAll(".frame")].map((f) => [parseFloat(f.style.backgroundPositionX), Number(f.style.opacity || 1)]),
        value: Number(slider.value), says: slider.getAttribute("aria-valuetext"),
        now: drink.querySelector(".now").textContent,
        button: drink.querySelector("button").textContent,
        picture: drink.querySelector(".seen").getAttribute("aria-label"),
      };
    });
    const focused = () => page.evaluate(() => {
      const e = document.activeElement;
      return { tag: e.tagName, type: e.type ?? "", ring: getComputedStyle(e).outlineStyle !== "none" };
    });
    const steps = { first: await look(), tabbed: [] };
    for (let n = 0; n < 30; n += 1) {
      await page.keyboard.press("Tab");
      const at = await focused();
      steps.tabbed.push(at);
      if (at.type === "range") break;
    }
    for (let n = 0; n < 10; n += 1) await page.keyboard.press("ArrowRight");
    steps.arrows = await look();
    await page.keyboard.press("End");
    steps.end = await look();
    await page.keyboard.press("Home");
    await page.keyboard.press("Tab");
    steps.onButton = await focused();
    await page.keyboard.down("Space");
    await new Promise((r) => setTimeout(r, 400));
    await page.keyboard.up("Space");
    steps.held = await look();
    await new Promise((r) => setTimeout(r, 300));
    steps.rested = await look();
    await page.keyboard.press("Shift+Tab").catch(() => {});
    const button = await page.$("[data-pour] button");
    await button.scrollIntoView();
    const box = await button.boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await new Promise((r) => setTimeout(r, 400));
    await page.mouse.up();
    steps.pointer = await look();
    await page.touchscreen.touchStart(box.x + box.width / 2, box.y + box.height / 2);
    await new Promise((r) => setTimeout(r, 400));
    await page.touchscreen.touchEnd();
    steps.touch = await look();
    await page.emulateMediaFeatures([{ name: "prefers-reduced-motion", value: "reduce" }]);
    await page.reload();
    await page.waitForSelector("[data-pour] .reeling");
    await page.focus("[data-pour] button");
    await page.keyboard.press("Enter");
    steps.still = await look();
    await page.keyboard.press("Enter");
    steps.again = await look();
    return { heard, steps };
  },

  // The pour of drinks by light: a tap, then the picture at every tenth of its time, by a clock of our
  // own; then a swipe from the glass and one from the button.
  async reveals() {
    const heard = [], drinks = {}, swipes = [];
    const page = await open(heard, []);
    await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: "light" }]);
    await page.setViewport({ width: 390, height: 844, hasTouch: true, isMobile: true });
    await page.evaluateOnNewDocument(() => {
      let now = 0, number = 0;
      const due = new Map();
      performance.now = () => now;
      globalThis.requestAnimationFrame = (call) => due.set(++number, call) && number;
      globalThis.cancelAnimationFrame = (one) => due.delete(one);
      globalThis.pass = (ms) => {
        for (const end = now + ms; now < end - 1e-6;) {
          now = Math.min(end, now + 16);
          const those = [...due.values()];
          due.clear();
          for (const call of those) call(now);
        }
      };
    });
    await page.goto(options.urls[0]);
    for (const slug of options.drinks) {
      const seen = await page.$(`#${slug} .seen`);
      await seen.evaluate((e) => e.scrollIntoView({ block: "center", behavior: "instant" }));
      await page.waitForSelector(`#${slug} .reeling`);
      const box = await seen.boundingBox();
      const shot = () => seen.screenshot({ encoding: "base64" });
      const value = () => page.$eval(`#${slug} input`, (e) => Number(e.value));
      const told = { seconds: await page.$eval(`#${slug}`, (e) => JSON.parse(e.dataset.pour).s), pictures: [await shot()], values: [] };
      told.address = await page.$eval(`#${slug} .frame`, (e) => e.style.backgroundImage);
      await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 2);
      await page.evaluate(() => globalThis.pass(300));
      told.soon = await shot();
      await page.evaluate((ms) => globalThis.pass(ms), told.seconds * 1000);
      told.values.push(await value());
      for (let tenth = 1; tenth <= 10; tenth += 1) {
        await page.$eval(`#${slug} input`, (e, at) => { e.value = at; e.dispatchEvent(new Event("input")); }, 10 * tenth);
        told.pictures.push(await shot());
      }
      drinks[slug] = told;
    }
    for (const part of [".seen", ".pour button"]) {
      const one = await page.$(`#${options.drinks[0]} ${part}`);
      await one.evaluate((e) => e.scrollIntoView({ block: "center", behavior: "instant" }));
      await page.$eval(`#${options.drinks[0]} input`, (e) => { e.value = 0; e.dispatchEvent(new Event("input")); });
      const box = await one.boundingBox(), before = await page.evaluate(() => scrollY);
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      await page.touchscreen.touchStart(x, y);
      for (let n = 1; n <= 10; n += 1) await page.touchscreen.touchMove(x, y - 30 * n);
      await page.touchscreen.touchEnd();
      await new Promise((r) => setTimeout(r, 300));
      swipes.push([part, await page.evaluate(() => scrollY) - before, await page.$eval(`#${options.drinks[0]} input`, (e) => Number(e.value))]);
    }
    return { heard, drinks, swipes };
  },

  // The page without any script: what can be read, and the filter that needs none.
  async plain() {
    const page = await open([], []);
    await page.setJavaScriptEnabled(false);
    await page.setViewport({ width: 1280, height: 900 });
    await page.goto(options.urls[0]);
    const client = await page.createCDPSession();
    const ask = async (expression) => (await client.send("Runtime.evaluate", { expression, returnByValue: true })).result.value;
    const shown = 'JSON.stringify([...document.querySelectorAll(".drink")].filter((d) => d.getBoundingClientRect().height).map((d) => d.id))';
    const before = JSON.parse(await ask(shown));
    const text = await ask("document.body.innerText");
    await page.click(".bar details:nth-of-type(2) summary");
    await page.click(`label:has(#no-${options.allergen})`);
    const after = JSON.parse(await ask(shown));
    const unsure = Number(await ask('[...document.querySelectorAll(".unsure")].filter((d) => d.getBoundingClientRect().height).length'));
    await page.click("#choice [type=reset]");
    const again = JSON.parse(await ask(shown));
    const pictures = Number(await ask('[...document.querySelectorAll(".seen img")].filter((i) => i.getBoundingClientRect().height > 50).length'));
    return { before, text, after, unsure, again, pictures };
  },

  // A reader's own palette, light and dark: what axe finds, and which drawn colours are left.
  async forced() {
    const source = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
    const seen = {};
    const page = await open([], []);
    await page.setBypassCSP(true);
    await page.setViewport({ width: 390, height: 844, isMobile: true });
    const client = await page.createCDPSession();
    for (const url of options.urls) {
      for (const scheme of ["light", "dark"]) {
        const features = [{ name: "forced-colors", value: "active" }, { name: "prefers-color-scheme", value: scheme }];
        await client.send("Emulation.setEmulatedMedia", { features });
        await page.goto(url);
        await page.evaluate(source);
        seen[`${url} ${scheme}`] = await page.evaluate(async () => {
          document.querySelectorAll("details").forEach((d) => { d.open = true; });
          const of = (selector, key) => [...new Set([...document.querySelectorAll(selector)].map((e) => getComputedStyle(e)[key]))];
          const box = document.querySelector("#choice [type=checkbox]");
          const edge = () => box && getComputedStyle(box.closest("label")).borderColor;
          const before = edge();
          box?.click();
          return {
            active: matchMedia("(forced-colors: active)").matches,
            axe: (await window.axe.run()).violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join(", ")}`),
            ground: getComputedStyle(document.body).backgroundColor,
            hues: of(".hues td", "backgroundColor").length, panel: of(".panel", "borderTopStyle"),
            kept: of(".strip, .disc, .dot, .shades, .curve", "forcedColorAdjust"),
            ticked: box ? before !== edge() : null,
          };
        });
      }
    }
    return { seen };
  },

  // The spec book without any script: what is read, and that nothing is offered that would not work.
  async bare() {
    const page = await open([], []);
    await page.setJavaScriptEnabled(false);
    await page.setViewport({ width: 390, height: 844, isMobile: true });
    const client = await page.createCDPSession();
    const ask = async (expression) => (await client.send("Runtime.evaluate", { expression, returnByValue: true })).result.value;
    const seen = {};
    for (const url of options.urls) {
      await page.goto(url);
      const dead = JSON.parse(await ask('JSON.stringify([...document.querySelectorAll("form, input, select, button, .answers")].filter((e) => e.getClientRects().length).map((e) => e.outerHTML.slice(0, 60)))'));
      seen[url] = { dead, links: await ask('document.querySelectorAll("main a").length'), text: await ask("document.body.innerText") };
      if (await ask('Boolean(document.querySelector(".by-need summary"))')) {
        await page.click(".by-need summary");
        seen[url].opened = await ask('document.querySelector(".by-need details").innerText');
      }
    }
    return { seen };
  },

  // A shift on a processor six times slower, where motion is unwelcome: found, opened, scaled, told.
  async slow() {
    const heard = [];
    const page = await open(heard, []);
    await page.setViewport({ width: 390, height: 800, isMobile: true });
    const client = await page.createCDPSession();
    await client.send("Emulation.setCPUThrottlingRate", { rate: 6 });
    await page.emulateMediaFeatures([{ name: "prefers-reduced-motion", value: "reduce" }]);
    await page.evaluateOnNewDocument(() => {
      globalThis.shift = 0;
      new PerformanceObserver((list) => { for (const e of list.getEntries()) if (!e.hadRecentInput) globalThis.shift += e.value; }).observe({ type: "layout-shift", buffered: true });
    });
    const told = { shift: [], moves: 0 };
    const note = async () => {
      told.shift.push(await page.evaluate(() => globalThis.shift));
      told.moves += await page.evaluate(() => document.getAnimations().length + (getComputedStyle(document.documentElement).scrollBehavior === "smooth"));
    };
    await page.goto(options.urls[0], { waitUntil: "networkidle0" });
    await note();
    await page.type("[name=words]", "glas faling");
    await page.waitForSelector(".found:not([hidden]) li");
    await Promise.all([page.waitForNavigation({ waitUntil: "networkidle0" }), page.keyboard.press("Enter")]);
    told.opened = page.url();
    await note();
    await page.type("[name=times]", "12");
    await page.waitForSelector(".batch:not([hidden]) li");
    told.batch = await page.evaluate(() => [...document.querySelectorAll(".batch li")].length);
    for (const url of options.urls.slice(1)) {
      await page.goto(url, { waitUntil: "networkidle0" });
      await note();
    }
    return { heard, ...told };
  },

  // A house that is read from the right: how wide its pages are, what stands where, what keeps its order.
  async from_the_right() {
    const heard = [], seen = {};
    const page = await open(heard, []);
    await page.emulateMediaFeatures([{ name: "prefers-reduced-motion", value: "reduce" }]); // jumps without a ride
    for (const url of options.urls) {
      await page.setViewport({ width: 320, height: 640, isMobile: true });
      await page.goto(url, { waitUntil: "load" });
      const wide = await page.evaluate(() => {
        document.documentElement.style.fontSize = "200%";
        document.querySelectorAll("details").forEach((d) => { d.open = true; });
        return document.documentElement.scrollWidth - document.documentElement.clientWidth;
      });
      await page.setViewport({ width: 800, height: 900 });
      await page.goto(url, { waitUntil: "load" });
      seen[url] = { wide, ...await page.evaluate(() => {
        document.querySelectorAll("details").forEach((d) => { d.open = true; });
        const shown = (e) => e.getClientRects().length && !e.closest(".unseen, svg, .codes, [lang=en], [lang=la]");
        const at = (node, n) => {
          const range = document.createRange();
          range.setStart(node, n);
          range.setEnd(node, n + 1);
          return range.getBoundingClientRect();
        };
        const turned = [];
        let figures = 0;
        const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
        for (let node = texts.nextNode(); node; node = texts.nextNode()) {
          if (!shown(node.parentElement)) continue;
          for (const found of node.data.matchAll(/(?:pH[ \u00a0]|L\* )[\d.]+|\d[\d.,]*[ \u00a0]?(?:ml|g\/l|%[ \u00a0]vol|°C|kcal)/g)) {
            const [first, last] = [at(node, found.index), at(node, found.index + found[0].length - 1)];
            if (Math.abs(first.top - last.top) > 4) continue; // on two lines
            figures += 1;
            if (first.left >= last.left) turned.push(`${found[0]}: ${node.data.trim()}`);
          }
        }
        for (const amount of document.querySelectorAll(".pours .amount")) {
          const [number, unit] = [".number", ".unit"].map((part) => amount.querySelector(part).getBoundingClientRect());
          if (!number.width || !unit.width) continue;
          figures += 1;
          if (number.left >= unit.left) turned.push(amount.textContent);
        }
        const left = [...document.querySelectorAll("h1, h2, h3, h4, .story p, .method li, th[scope=row]")].filter(shown)
          .filter((e) => {
            const { direction, textAlign } = getComputedStyle(e);
            return textAlign === "left" || (textAlign === "start" && direction === "ltr");
          }).map((e) => e.outerHTML.slice(0, 80));
        return { dir: document.documentElement.dir, lang: document.documentElement.lang, left, turned, figures };
      }) };
      const strip = await page.$(".drink .strip");
      if (!strip) continue;
      await page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = false; }));
      await strip.scrollIntoView();
      const box = await strip.boundingBox();
      const values = [], thumb = [];
      for (const share of [0, 0.5, 1]) {
        await page.mouse.click(box.x + 1 + share * (box.width - 2), box.y + box.height / 2);
        const value = await page.evaluate(() => Number(document.querySelector(".drink input[type=range]").value));
        values.push(value);
        // Where the browser draws the thumb's middle: from edge to edge of the track less its width.
        thumb.push(await page.evaluate((value, share) => {
          const track = document.querySelector(".drink input[type=range]").getBoundingClientRect();
          const strip = document.querySelector(".drink .strip").getBoundingClientRect();
          const wide = 0.6 * parseFloat(getComputedStyle(document.documentElement).fontSize);
          const middle = track.right - wide / 2 - (value / 100) * (track.width - wide);
          return Math.round((middle - (strip.left + share * strip.width)) / 2); // to two pixels
        }, value, share) || 0);
      }
      seen[url].strip = { values, thumb, mirrored: await page.evaluate(() => new DOMMatrix(getComputedStyle(document.querySelector(".turn")).transform).a) };
    }
    return { heard, seen };
  },

  // The same pixels with the network and without it.
  async offline() {
    const heard = [], outside = [], pictures = [];
    for (const cut of [false, true]) {
      const page = await open(heard, outside);
      await page.setViewport({ width: 768, height: 900 });
      if (cut) await page.setOfflineMode(true);
      for (const url of options.urls) {
        await page.goto(url, { waitUntil: "load" });
        await page.evaluate(() => document.fonts.ready.then(() => document.fonts.size));
        // Pictures come when a browser likes, and a turn when its glass is near: both are waited for.
        await page.evaluate(async () => {
          const near = (e) => e.getBoundingClientRect().top < innerHeight + 200;
          for (const i of document.images) { i.loading = "eager"; i.decoding = "sync"; }
          await Promise.all([...document.images].map((i) => i.decode()));
          const late = () => [...document.querySelectorAll("[data-reel]")].some((e) => near(e) && !e.classList.contains("reeling"));
          while (late()) await new Promise((r) => setTimeout(r, 20));
          await new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r)));
        });
        // Faces of the spec book are optional: whether one came in time is no matter of a network.
        await page.evaluate(() => { document.body.style.fontFamily = "sans-serif"; for (const e of document.querySelectorAll("*")) e.style.fontFamily = "sans-serif"; });
        pictures.push(await page.screenshot({ encoding: "base64" }));
      }
      await page.close();
    }
    return { heard, outside, pictures };
  },

  // The spec book: search as one types, filters, other units, batches.
  async book() {
    const heard = [];
    const page = await open(heard, []);
    await page.setViewport({ width: 390, height: 844 });
    await page.goto(options.urls[0]);
    const shown = () => page.evaluate(() =>
      [...document.querySelectorAll(".list:not([hidden]) li")].filter((r) => r.getClientRects().length).map((r) => r.querySelector("a").textContent));
    const all = await shown();
    await page.type("[name=words]", options.words);
    await page.waitForSelector(".found:not([hidden]) li");
    const found = await shown();
    await page.click(".find button");
    await new Promise((r) => setTimeout(r, 50));
    const reset = await shown();
    await page.evaluate(() => { document.querySelector(".find details").open = true; });
    await page.select(`[name=${options.filter[0]}]`, options.filter[1]);
    await page.waitForSelector(".found:not([hidden]) li");
    const filtered = await shown();
    await page.goto(options.urls[1]);
    const amounts = () => page.evaluate(() =>
      [...document.querySelectorAll(".pours .one li")].map((l) => l.innerText.replace(/\s+/g, " ")));
    const one = await amounts();
    await page.click("[value=oz]");
    const ounces = await amounts();
    await page.click("[value=ml]");
    const again = await amounts();
    return { heard, all, found, reset, filtered, one, ounces, again };
  },

  // What a search shows and says, query by query.
  async search() {
    const page = await open([], []);
    await page.goto(options.urls[0]);
    const seen = [];
    for (const words of options.words) {
      await page.evaluate((text) => {
        const field = document.querySelector("[name=words]");
        field.value = text;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      }, words);
      await page.waitForFunction(() => !/recipes$/.test(document.querySelector("output").textContent));
      seen.push(await page.evaluate(() => ({
        says: document.querySelector("output").textContent,
        rows: [...document.querySelectorAll(".found li a:first-of-type")].map((a) => a.textContent),
      })));
    }
    return { seen };
  },

  // Typed, entered, gone back to; and asked for from another page.
  async find() {
    const heard = [];
    const page = await open(heard, []);
    const state = async () => {
      await page.waitForSelector(".found:not([hidden]) li");
      return page.evaluate(() => ({
        words: document.querySelector("[name=words]").value,
        first: document.querySelector(".found a").textContent,
      }));
    };
    await page.goto(options.urls[0]);
    await page.type("[name=words]", "glas faling");
    await page.waitForSelector(".found:not([hidden]) li");
    await Promise.all([page.waitForNavigation(), page.keyboard.press("Enter")]);
    const opened = page.url();
    await page.goBack();
    const back = await state();
    await page.goto(options.urls[1]);
    await page.type(".go input", "hibiscus agave");
    await Promise.all([page.waitForNavigation(), page.keyboard.press("Enter")]);
    return { heard, opened, back, elsewhere: await state() };
  },

  // What a guest may be served by what is ticked; then all of one answer.
  async for_guest() {
    const heard = [];
    const page = await open(heard, []);
    await page.goto(options.urls[0]);
    const told = [];
    for (const ticks of options.ticks) {
      await page.evaluate((keys) => {
        for (const box of document.querySelectorAll("[name=need]")) if (box.checked !== keys.includes(box.value)) box.click();
      }, ticks);
      await page.waitForFunction((none) => (document.querySelector("[role=status]").textContent === "") === none, {}, !ticks.length);
      told.push(await page.evaluate(() => ({
        groups: Object.fromEntries([...document.querySelectorAll(".answers section")].filter((s) => s.getClientRects().length).map((s) => [
          s.querySelector("h2 span").textContent,
          { many: Number(s.querySelector(".many").textContent), names: [...s.querySelectorAll("li a")].map((a) => a.textContent) },
        ])),
        says: document.querySelector("[role=status]").textContent,
        by_need: document.querySelector(".by-need").getClientRects().length > 0,
      })));
    }
    if (!options.all) return { heard, told };
    const all = await page.evaluate((name) => {
      const section = [...document.querySelectorAll(".answers section")].find((s) => s.querySelector("h2 span").textContent.toLowerCase() === name);
      section.querySelector("button").click();
      return [...section.querySelectorAll("li a")].map((a) => a.textContent);
    }, options.all);
    return { heard, told, all };
  },

  // How far down a thing begins on a phone, and how much the page jumps while it loads.
  async layout() {
    const heard = [], seen = {};
    const page = await open(heard, []);
    await page.setViewport({ width: 390, height: 800, isMobile: true });
    await page.evaluateOnNewDocument(() => {
      globalThis.shift = 0;
      new PerformanceObserver((list) => {
        for (const entry of list.getEntries()) globalThis.shift += entry.value;
      }).observe({ type: "layout-shift", buffered: true });
    });
    for (const url of options.urls) {
      await page.goto(url, { waitUntil: "networkidle0" });
      seen[url] = await page.evaluate((selector) => ({
        top: document.querySelector(selector)?.getBoundingClientRect().top, shift: globalThis.shift,
      }), options.top);
    }
    return { heard, seen };
  },

  // On a desk: amounts and method side by side; then on paper, a PDF of each page.
  async on_a_desk() {
    const heard = [], seen = {};
    const page = await open(heard, []);
    await page.setViewport({ width: 1280, height: 900 });
    for (const [n, url] of options.urls.entries()) {
      await page.goto(url, { waitUntil: "networkidle0" });
      seen[url] = await page.evaluate(() => {
        const [amounts, method] = [".pours .one", ".method"].map((one) => document.querySelector(one).getBoundingClientRect());
        return { beside: method.left >= amounts.right && method.top < amounts.bottom, bottom: method.top };
      });
      await page.pdf({ path: `${options.papers}/${n}.pdf`, format: "A4", margin: { top: "12mm", bottom: "12mm", left: "12mm", right: "12mm" } });
    }
    return { heard, seen };
  },

  // The book kept by its service worker: every page again with the network cut, then a search.
  async kept() {
    const heard = [], dead = [];
    const page = await open(heard, []);
    await page.goto(options.urls[0]);
    await page.evaluate(async () => {
      await navigator.serviceWorker.ready;
      if (!navigator.serviceWorker.controller) await new Promise((done) => navigator.serviceWorker.addEventListener("controllerchange", done));
    });
    await page.setOfflineMode(true);
    for (const url of options.urls) {
      const answer = await page.goto(url).catch(() => null);
      const styled = answer && await page.evaluate(() => getComputedStyle(document.body).margin === "0px");
      if (!answer || !answer.ok() || !styled) dead.push(url);
    }
    await page.goto(`${options.home}/staff/index.html#find=glass%20falling`).catch(() => null);
    await page.waitForSelector(".found:not([hidden]) li");
    const found = await page.evaluate(() => document.querySelector(".found a").textContent);
    return { heard, dead, found };
  },

  // Many tabs of one preview: each opens, and each is reloaded after one save.
  async tabs() {
    const tabs = [];
    const number = () => document.querySelector("[data-number]")?.dataset.number ?? "";
    for (const url of options.urls) {
      const page = await browser.newPage();
      await page.goto(url, { waitUntil: "load", timeout: 60000 });
      tabs.push(page);
    }
    const first = await Promise.all(tabs.map((page) => page.evaluate(number)));
    writeFileSync(options.file, readFileSync(options.file, "utf8").replace(options.was, options.is));
    await Promise.all(tabs.map((page) => page.waitForFunction(
      (old) => document.readyState === "complete" && Number(document.querySelector("[data-number]")?.dataset.number) > Number(old),
      { timeout: 30000, polling: 200 }, first[0])));
    const panel = await tabs[0].evaluate(() => document.body.innerText.slice(0, 600));
    return { first, panel };
  },

  // The batch of every page for every number: what is shown, and what marks the amounts of one.
  async batches() {
    const heard = [], told = {};
    const page = await open(heard, []);
    for (const url of options.urls) {
      await page.goto(url);
      told[url] = {};
      for (const times of options.times) {
        await page.evaluate((value) => {
          const field = document.querySelector("[name=times]");
          field.value = value;
          field.dispatchEvent(new Event("input", { bubbles: true }));
        }, times);
        told[url][times] = await page.evaluate(() => {
          const text = (e) => e.innerText.replace(/\s+/g, " ").trim();
          const seen = (selector) => [...document.querySelectorAll(selector)].filter((e) => e.getClientRects().length);
          return {
            lines: seen(".batch li").map((l) => [text(l.querySelector(".what")), text(l.querySelector(".amount")), text(l.querySelector(".ounces"))]),
            makes: seen(".makes").map(text).join(), said: seen(".batch .finish").map(text),
            one: seen(".one li").length, marks: seen(".of-one").length,
            of: document.querySelectorAll(".of-one").length, limits: seen(".limits").map(text),
          };
        });
      }
    }
    return { heard, told };
  },
};

try {
  console.log(JSON.stringify(await tasks[task]()));
} finally {
  await browser.close();
}
