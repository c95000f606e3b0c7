// What a page must hold in a browser: no message, no horizontal scroll at four widths, links that lead somewhere, ids that are
// one, nothing that axe finds in either scheme, no text on another in a drawing, rows and figures that fit a sheet of paper.
import { createRequire } from "node:module";
import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const folder = resolve(process.argv[2]);
const require = createRequire(join(folder, "node_modules", "here.js"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const { HtmlValidate, StaticConfigLoader } = require("html-validate");

const WIDTHS = [320, 360, 768, 1280];
// Height of the paper within its margins, in CSS pixels.
const PAPER = { A4: ((297 - 28) / 25.4) * 96, Letter: ((279.4 - 28) / 25.4) * 96 };
// Pages to write on, each on one sheet.
const FORMS = ["expect.html", "review.html"];
const faults = [];

const validator = new HtmlValidate(new StaticConfigLoader({
  root: true,
  extends: ["html-validate:recommended"],
  rules: {
    // Style, not validity.
    "void-style": "off", "attribute-boolean-style": "off", "no-trailing-whitespace": "off", "long-title": "off",
    // A table that a phone shows as blocks needs its roles said.
    "no-redundant-role": "off", "no-inline-style": "off", "prefer-native-element": "off",
  },
}));

// Pairs of texts in one drawing of which one covers the other, by more than what letters leave of their line.
const overlaps = () => {
  const found = [];
  for (const svg of document.querySelectorAll("svg")) {
    if (svg.getBoundingClientRect().width === 0) continue;
    const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    const texts = [...svg.querySelectorAll("text")].map((text) => {
      const box = text.getBoundingClientRect();
      return { words: text.textContent, left: box.left, right: box.right, top: box.top + 3 * scale, bottom: box.bottom - 3 * scale };
    });
    const own = svg.getBoundingClientRect();
    for (const [i, a] of texts.entries()) {
      if (a.left < own.left - 1 || a.right > own.right + 1) found.push(`${svg.id}: "${a.words}" leaves the drawing`);
      for (const b of texts.slice(i + 1)) {
        const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (wide > 1 && high > 1) found.push(`${svg.id}: "${a.words}" on "${b.words}"`);
      }
    }
  }
  return found;
};

const links = () => {
  const ids = [...document.querySelectorAll("[id]")].map((one) => one.id);
  const twice = ids.filter((id, at) => ids.indexOf(id) !== at).map((id) => `id ${id} stands twice`);
  const hrefs = [...document.querySelectorAll("a")].map((a) => a.getAttribute("href"));
  const outside = hrefs.filter((href) => !href.startsWith("#")).map((href) => `leads outside: ${href}`);
  const lost = hrefs.filter((href) => href.startsWith("#") && !ids.includes(href.slice(1)));
  return [...twice, ...outside, ...lost.map((href) => `leads nowhere: ${href}`)];
};

const tall = (most) => [...document.querySelectorAll("tr, figure, .finding, .rows li, .whole")]
  .filter((one) => one.getBoundingClientRect().height > most)
  .map((one) => `${one.tagName.toLowerCase()} ${one.id} is ${Math.round(one.getBoundingClientRect().height)} px high on paper`);

const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
for (const file of readdirSync(folder).filter((name) => name.endsWith(".html"))) {
  const say = (...what) => faults.push(`${file}: ${what.join(" ")}`);
  const valid = await validator.validateString(readFileSync(join(folder, file), "utf8"));
  for (const { messages } of valid.results) {
    for (const { ruleId, message, line } of messages) say(`line ${line}: ${message} (${ruleId})`);
  }
  for (const colorScheme of ["light", "dark"]) {
    const context = await browser.newContext({ colorScheme });
    const page = await context.newPage();
    page.on("console", (message) => say("console:", message.text()));
    page.on("pageerror", (error) => say("error:", error));
    page.on("request", (request) => request.url().startsWith("file:") || say("asks for", request.url()));
    await page.goto(pathToFileURL(join(folder, file)).href);
    for (const width of WIDTHS) {
      await page.setViewportSize({ width, height: 900 });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      if (wide > width) {
        const who = await page.evaluate((width) => {
          const out = [...document.querySelectorAll("body *")].filter((one) => one.getBoundingClientRect().right > width + 0.5);
          return out.slice(-1).map((one) => `${one.tagName} ${one.className} ${one.textContent.slice(0, 40)}`).join();
        }, width);
        say(`scrolls to ${wide} at ${width}: ${who}`);
      }
      if (colorScheme === "light") (await page.evaluate(overlaps)).forEach((words) => say(`at ${width}:`, words));
      await page.screenshot({ path: join(folder, file.replace(".html", `-${width}-${colorScheme}.png`)), fullPage: true });
    }
    await page.addScriptTag({ content: axe });
    const { violations } = await page.evaluate(() => axe.run({ runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
    for (const { id, nodes } of violations) say(`axe, ${colorScheme}: ${id}:`, nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(" | "));
    if (colorScheme === "light") {
      (await page.evaluate(links)).forEach((words) => say(words));
      await page.emulateMedia({ media: "print" });
      await page.setViewportSize({ width: 694, height: 900 });
      for (const [format, height] of Object.entries(PAPER)) {
        (await page.evaluate(tall, height)).forEach((words) => say(`${format}:`, words));
        const path = join(folder, file.replace(".html", `-${format}.pdf`));
        const sheets = (await page.pdf({ path, format, preferCSSPageSize: false, printBackground: false })).toString("latin1");
        const count = sheets.match(/\/Type\s*\/Page[^s]/g).length;
        if (FORMS.includes(file) && count > 1) say(`${format}: a form to fill in takes ${count} sheets`);
      }
    }
    await context.close();
  }
}
const extreme = readdirSync(join(folder, "extreme")).filter((name) => name.endsWith("-alone.svg"));
const jobs = new Set(extreme.map((name) => name.match(/^extreme-\d+/)?.[0])).size;
if (jobs < 50) faults.push(`drawings of ${jobs} extreme jobs, not of 50`);
const context = await browser.newContext();
const page = await context.newPage();
page.on("console", (message) => faults.push(`${page.url()}: console: ${message.text()}`));
for (const file of extreme) {
  await page.goto(pathToFileURL(join(folder, "extreme", file)).href);
  (await page.evaluate(overlaps)).forEach((words) => faults.push(`${file}: ${words}`));
}
await browser.close();
faults.forEach((fault) => console.error(fault));
console.log(faults.length ? `${faults.length} faults in the browser` : "the pages hold in the browser");
process.exit(faults.length ? 1 : 0);
