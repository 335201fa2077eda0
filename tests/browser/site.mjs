// The compiled site as files: which pages there are, and a browser to open them in. Knows no page's content.

import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const here = path.dirname(fileURLToPath(import.meta.url));

/** The site's folder: the one the test command compiled, or the demo book's own. */
export const site = path.resolve(process.env.BENCHLEAF_SITE ?? path.join(here, "../../public"));

/** Every HTML page as a path inside the site, in order. Never empty: no pages is an error, not a pass. */
export function pages() {
  const all = fs.existsSync(site) ? fs.readdirSync(site, { recursive: true }).map((name) => name.replaceAll(path.sep, "/")) : [];
  const html = all.filter((name) => name.endsWith(".html")).sort();
  if (html.length === 0) throw new Error(`no pages in ${site}: compile the demo book first`);
  return html;
}

/** Pages in one folder of the site; at least one. */
export function pagesIn(folder) {
  const found = pages().filter((name) => name.startsWith(`${folder}/`));
  if (found.length === 0) throw new Error(`no pages in ${site}/${folder}`);
  return found;
}

/** Guide pages of one verdict ("goes", "measure", "no"), read from the file. */
/** The guides of the pairings; those for other bars lie one folder further down. */
export const pairingPages = () => pagesIn("guides").filter((name) => name.split("/").length === 3);

export function guidesOf(verdict) {
  return pagesIn("guides").filter((name) => text(name).includes(`data-verdict="${verdict}"`));
}

/** At most `count` of a list, spread evenly, first and last among them. */
export function spread(list, count) {
  if (list.length <= count) return list;
  return Array.from({ length: count }, (_, i) => list[Math.round((i * (list.length - 1)) / (count - 1))]);
}

/** A sample for the slow checks: the start, some guides of each verdict, and one or two of every other kind. */
export function sample() {
  const guides = ["goes", "measure", "no", "depends"].flatMap((verdict) => spread(guidesOf(verdict), 4));
  if (guides.length === 0) throw new Error("no guide page names its verdict");
  const others = ["forks", "systems", "parts", "upgrades"].flatMap((folder) => spread(pagesIn(folder), 2));
  return ["index.html", "key.html", "measure-next.html", "what-i-have.html", ...guides, ...others];
}

export function text(page) {
  return fs.readFileSync(path.join(site, page), "utf8");
}

export function address(page) {
  return pathToFileURL(path.join(site, page)).href;
}

/** The system's own browser; nothing of anybody's profile, nothing sent anywhere. */
export function launch() {
  const executablePath = execFileSync("which", ["chromium"], { encoding: "utf8" }).trim();
  const args = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
  ];
  return chromium.launch({ executablePath, args });
}

/** For what only reads pages: one after the other in one tab. Gives what `read` finds on each. */
export function reader(browser, options) {
  let tab;
  return async (page, read) => {
    tab ??= await browser.newPage(options);
    await tab.goto(address(page), { waitUntil: "load" });
    return read(tab);
  };
}

/** Opens a page, checks it, and returns what went wrong meanwhile: console errors, failed or outside requests. */
export async function visit(browser, page, options, check) {
  const context = await browser.newContext(options);
  const trouble = [];
  try {
    const tab = await context.newPage();
    tab.on("console", (message) => message.type() === "error" && trouble.push(`console: ${message.text()}`));
    tab.on("pageerror", (error) => trouble.push(`script: ${error.message}`));
    tab.on("requestfailed", (request) => trouble.push(`not loaded: ${request.url()}`));
    tab.on("request", (request) => {
      if (!/^(file|data|blob):/.test(request.url())) trouble.push(`leaves the site: ${request.url()}`);
    });
    await tab.goto(address(page), { waitUntil: "load" });
    await check(tab);
  } finally {
    await context.close();
  }
  return trouble;
}
