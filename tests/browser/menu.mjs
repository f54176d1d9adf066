// Walks the guest menu in Chromium or Firefox, tells what it found as JSON on standard output.
// node menu.mjs TASK '{"modules": …, "browser": "chrome"|"firefox", "program": …, "urls": […], …}'
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const [task, given] = process.argv.slice(2);
const options = JSON.parse(given);
const require = createRequire(`${options.modules}/`);
const puppeteer = require("puppeteer-core");
const firefox = options.browser === "firefox";
const browser = await puppeteer.launch({
  browser: firefox ? "firefox" : "chrome", executablePath: options.program,
  extraPrefsFirefox: { "ui.systemUsesDarkTheme": options.scheme === "dark" ? 1 : 0 },
  args: firefox ? ["--headless"] : ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run"],
});
const page = await browser.newPage();
const phone = (width = 360, height = 740) => page.setViewport({ width, height });
const shown = () => page.evaluate(() =>
  [...document.querySelectorAll(".drink")].filter((d) => d.getClientRects().length).map((d) => d.id));
const said = () => page.evaluate(() => document.querySelector(".shown").textContent);

const tasks = {
  // What a first view asks for and shows, before a finger has moved.
  async first() {
    const asked = [];
    page.on("response", async (r) => {
      if (!/\.(png|webp|jpg|avif|svg)$/.test(r.url())) asked.push([r.url(), (await r.buffer().catch(() => "")).length]);
    });
    await phone();
    await page.evaluateOnNewDocument(() => {
      globalThis.shift = 0;
      new PerformanceObserver((list) => { for (const e of list.getEntries()) globalThis.shift += e.value; }).observe({ type: "layout-shift", buffered: true });
    });
    await page.goto(options.urls[0], { waitUntil: "networkidle0" });
    const seen = await page.evaluate(() => {
      const drink = document.querySelector(".drink");
      const box = (s) => drink.querySelector(s).getBoundingClientRect();
      return { glass: box(".seen img").bottom, name: box("h4").bottom, price: box(".price").bottom, shift: globalThis.shift };
    });
    return { ...seen, asked: asked.map(([url]) => url), bytes: asked.reduce((a, [, b]) => a + b, 0) };
  },

  // Each choice alone: the number beside it, and how many drinks it leaves; then remembered.
  async choose() {
    await phone();
    await page.goto(options.urls[0]);
    const each = await page.evaluate(async (filters) => {
      const seen = () => new Set([...document.querySelectorAll(".drink")].filter((d) => d.getClientRects().length).map((d) => d.dataset.of ?? d.id)).size;
      const form = document.getElementById("choice");
      const told = [];
      for (const one of [...form.querySelectorAll("input[id]")].slice(0, filters)) {
        const number = Number(one.closest("label").querySelector(".many").textContent);
        one.click();
        const left = seen();
        const empty = [...document.querySelectorAll("section")].filter((s) => s.getClientRects().length && ![...s.querySelectorAll(".drink")].some((d) => d.getClientRects().length)).length;
        form.reset();
        await new Promise((r) => setTimeout(r)); // counted again behind the event
        told.push({ id: one.id, told: number, left, empty });
      }
      return told;
    }, options.filters ?? 99);
    const all = await shown();
    const quiet = await said();
    await page.click(".bar details:nth-of-type(2) summary");
    for (const id of options.picks) await page.click(`label:has(#${id})`);
    const picked = { shown: await shown(), said: await said() };
    await page.reload();
    const reloaded = { shown: await shown(), said: await said() };
    await page.goto(options.urls[1]);
    const other = { shown: await shown(), said: await said() };
    await page.click(".again");
    await new Promise((r) => setTimeout(r, 50));
    const again = { shown: await shown(), said: await said() };
    return { each, all, quiet, picked, reloaded, other, again };
  },

  // What one who does not see is told: headings, names, live words, order of focus.
  async spoken() {
    await phone();
    await page.goto(options.urls[0]);
    const tree = await page.accessibility.snapshot({ interestingOnly: false });
    const nodes = [];
    const gather = (node) => { nodes.push({ role: node.role, name: node.name, level: node.level }); (node.children ?? []).forEach(gather); };
    gather(tree);
    const sizes = await page.evaluate(() => [...document.querySelectorAll("h1, h2, h3, h4")].map((h) => [Number(h.tagName[1]), parseFloat(getComputedStyle(h).fontSize)]));
    const focus = [];
    for (let n = 0; n < 8; n += 1) {
      await page.keyboard.press("Tab");
      focus.push(await page.evaluate(() => document.activeElement.textContent.trim().replace(/\s+/g, " ")));
    }
    await page.keyboard.press("Escape");
    return { nodes, sizes, focus };
  },

  // Where Tab leads first.
  async stops() {
    await phone();
    await page.goto(options.urls[0]);
    const focus = [];
    for (let n = 0; n < 8; n += 1) {
      await page.keyboard.press("Tab");
      focus.push(await page.evaluate(() => document.activeElement.textContent.trim().replace(/\s+/g, " ")));
    }
    return { focus };
  },

  // axe-core with all details open, in the scheme that is asked for.
  async axe() {
    const source = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
    const found = [];
    if (!firefox) {
      await page.setBypassCSP(true);
      await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: options.scheme }]);
    }
    for (const url of options.urls) {
      await page.goto(url);
      if (!(await page.evaluate((name) => matchMedia(`(prefers-color-scheme: ${name})`).matches, options.scheme))) found.push(`${url} is not ${options.scheme}`);
      await page.evaluate(source);
      const wrong = await page.evaluate(async () => {
        document.querySelectorAll("details").forEach((d) => { d.open = true; });
        return (await window.axe.run()).violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join(", ")}`);
      });
      found.push(...wrong.map((one) => `${url} ${one}`));
    }
    return { found };
  },

  // A processor six times slower: loaded, chosen from, poured.
  async slow() {
    await phone();
    const client = await page.createCDPSession();
    await client.send("Emulation.setCPUThrottlingRate", { rate: 6 });
    await page.evaluateOnNewDocument(() => {
      globalThis.shift = 0;
      new PerformanceObserver((list) => { for (const e of list.getEntries()) if (!e.hadRecentInput) globalThis.shift += e.value; }).observe({ type: "layout-shift", buffered: true });
    });
    await page.goto(options.urls[0], { waitUntil: "networkidle0" });
    const shift = await page.evaluate(() => globalThis.shift);
    const [pours, ready] = await page.evaluate(() => [document.querySelectorAll("[data-pour]").length, document.querySelectorAll(".ready .pour:not([hidden])").length]);
    await page.click(".drink .seen");
    await page.waitForFunction(() => document.querySelector(".drink input").value === "100");
    const poured = await page.evaluate(() => Number(document.querySelector(".drink input").value));
    await page.click(".bar details:nth-of-type(2) summary");
    await page.click("label:has(#no-egg)");
    return { shift, pours, ready, poured, said: await said() };
  },

  // As it is printed: what is seen that nobody can press on paper, and whether each glass is there.
  async print() {
    await page.goto(options.urls[0], { waitUntil: "networkidle0" });
    await page.waitForSelector(".reeling");
    await page.emulateMediaType("print");
    return page.evaluate(() => {
      const seen = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility === "visible";
      return {
        hidden: [...document.querySelectorAll(".bar, button, input, .tongues, .why")].filter(seen).map((e) => e.className || e.tagName),
        glasses: [...document.querySelectorAll(".drink .seen img")].filter(seen).length,
        drinks: document.querySelectorAll(".drink").length,
        ground: getComputedStyle(document.body).backgroundColor,
      };
    });
  },

  // Every drink of a long menu: open the list, tap its name, see it.
  async taps() {
    await phone();
    // Jumps without a ride, so that a busy machine is not waited for.
    if (!firefox) await page.emulateMediaFeatures([{ name: "prefers-reduced-motion", value: "reduce" }]);
    await page.goto(options.urls[0]);
    const names = await page.evaluate(() => [...document.querySelectorAll(".all a")].map((a) => a.getAttribute("href")));
    const missed = [];
    for (const name of names) {
      await page.evaluate((href) => {
        document.querySelector(".bar summary").click();
        document.querySelector(`.all a[href="${href}"]`).click();
      }, name);
      const there = await page.waitForFunction((id) => {
        const top = document.getElementById(id).getBoundingClientRect().top;
        return top >= 40 && top < innerHeight - 100;
      }, { timeout: 4000 }, name.slice(1)).catch(() => null);
      if (!there) missed.push(name);
    }
    const open = await page.evaluate(() => document.querySelectorAll(".bar details[open]").length);
    await page.evaluate(() => scrollTo(0, document.body.scrollHeight));
    const bar = await page.evaluate(() => document.querySelector(".bar").getBoundingClientRect().top);
    const height = await page.evaluate(() => document.querySelector(".bar").getBoundingClientRect().height);
    return { drinks: names.length, missed, open, bar, height, wide: await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth) };
  },

  // Either way of reading: no sideways scroll with long words in large letters, strip and slider agree.
  async ways() {
    const seen = {};
    for (const way of ["ltr", "rtl"]) {
      await phone(320, 640);
      await page.goto(options.urls[0]);
      await page.evaluate((dir, word) => {
        document.documentElement.dir = dir;
        document.documentElement.style.fontSize = "200%";
        for (const e of document.querySelectorAll("h1, h2, h3, h4 a, .story p, .made-of, .parts a, .steps li, .voice")) e.textContent = word;
        document.querySelectorAll("details").forEach((d) => { d.open = true; });
      }, way, "Wetterstationsbarometerablesegewohnheitsdonnerstagsausschankx");
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      await phone();
      await page.reload();
      await page.evaluate((dir) => { document.documentElement.dir = dir; }, way);
      const strip = await page.$(".drink .strip");
      await strip.scrollIntoView();
      const box = await strip.boundingBox();
      const values = [];
      for (const share of [0, 0.5, 1]) {
        await page.mouse.click(box.x + 1 + share * (box.width - 2), box.y + box.height / 2);
        values.push(await page.evaluate(() => Number(document.querySelector(".drink input[type=range]").value)));
      }
      const mirrored = await page.evaluate(() => new DOMMatrix(getComputedStyle(document.querySelector(".turn")).transform).a);
      seen[way] = { wide, values, mirrored };
    }
    return seen;
  },

  // Daylight, a dark room, a hand-picked palette of the reader's own.
  async lights() {
    const seen = {};
    for (const [name, value] of [["prefers-color-scheme", "light"], ["prefers-color-scheme", "dark"]]) {
      await page.emulateMediaFeatures([{ name, value }]);
      await page.goto(options.urls[0]);
      seen[value] = await page.evaluate(() => getComputedStyle(document.querySelector(".liquid")).filter);
    }
    return seen;
  },
};

try {
  console.log(JSON.stringify(await tasks[task]()));
} finally {
  await browser.close();
}
