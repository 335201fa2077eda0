// Every page as a file: links that lead somewhere, and markup that a strict reader accepts.

import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { pages, pagesIn, site, text, pairingPages } from "./site.mjs";

const plain = (value) =>
  value.replaceAll("&quot;", '"').replaceAll("&#x27;", "'").replaceAll("&#39;", "'").replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");

/** Targets of a page's links and embedded files, as they stand in its tags. */
function targets(html) {
  const tags = html.replace(/<!--.*?-->/gs, "").replace(/(<(script|style)\b[^>]*>).*?<\/\2>/gs, "$1").match(/<[a-z][^>]*>/gi) ?? [];
  return tags.flatMap((tag) => [...tag.matchAll(/\s(?:xlink:)?(?:href|src)\s*=\s*(?:"([^"]*)"|'([^']*)')/g)].map((m) => plain(m[1] ?? m[2])));
}

const idsByPage = new Map();
function ids(page) {
  if (!idsByPage.has(page)) {
    idsByPage.set(page, new Set([...text(page).matchAll(/\sid\s*=\s*(?:"([^"]*)"|'([^']*)')/g)].map((m) => plain(m[1] ?? m[2]))));
  }
  return idsByPage.get(page);
}

/** Why a target leads nowhere; nothing if it leads somewhere. */
function deadEnd(page, target) {
  if (/^(https?:|mailto:|data:)/.test(target)) return null;
  if (/^[a-z][a-z0-9+.-]*:/i.test(target)) return "an odd kind of link";
  if (target.startsWith("/")) return "not relative: it breaks when the site is opened from a file";
  const [whole, fragment] = target.split("#");
  const file = decodeURIComponent(whole.split("?")[0]);
  const led = file === "" ? page : path.posix.normalize(path.posix.join(path.posix.dirname(page), file));
  if (led.startsWith("..")) return "leads out of the site";
  const real = path.join(site, led);
  if (!fs.existsSync(real) || !fs.statSync(real).isFile()) return "no such file";
  if (fragment && led.endsWith(".html") && !ids(led).has(decodeURIComponent(fragment))) return "no such place on the page";
  return null;
}

test("every link leads to a file of the site, and to a place on it", () => {
  let links = 0;
  const dead = [];
  for (const page of pages()) {
    for (const target of targets(text(page))) {
      links += 1;
      const why = deadEnd(page, target);
      if (why) dead.push(`${page}: ${target}: ${why}`);
    }
  }
  assert.ok(links > 0, "no links found at all");
  assert.equal(dead.slice(0, 20).join("\n"), "");
});

test("every page can be reached from the start", () => {
  const reached = new Set(["index.html"]);
  for (const page of reached) {
    for (const target of targets(text(page))) {
      const file = decodeURIComponent(target.split(/[?#]/)[0]);
      const led = path.posix.normalize(path.posix.join(path.posix.dirname(page), file));
      if (/^[a-z]+:/.test(target) || file === "" || !led.endsWith(".html")) continue;
      if (fs.existsSync(path.join(site, led))) reached.add(led);
    }
  }
  assert.deepEqual(pages().filter((page) => !reached.has(page)), []);
});

test("the pairings are there as JSON, one for each guide page", () => {
  const pairings = JSON.parse(fs.readFileSync(path.join(site, "data/pairings.json"), "utf8"));
  const list = Array.isArray(pairings) ? pairings : pairings.pairings;
  assert.equal(list.length, pairingPages().length);
});

test("the checker for HTML finds no errors", () => {
  const packages = path.join(path.dirname(fileURLToPath(import.meta.url)), "node_modules");
  const jar = path.join(packages, "vnu-jar/build/dist/vnu.jar");
  execFileSync("java", ["-version"], { stdio: "ignore" });
  assert.ok(pages().length > 0);
  const options = { encoding: "utf8", maxBuffer: 1 << 28 };
  const run = spawnSync("java", ["-Xss4m", "-jar", jar, "--errors-only", "--format", "json", "--skip-non-html", site], options);
  const { messages } = JSON.parse(run.stderr || '{"messages":[]}');
  const told = messages.map((m) => `${path.relative(site, fileURLToPath(m.url))}:${m.lastLine}: ${m.message}`);
  assert.equal(told.slice(0, 20).join("\n"), "");
  assert.equal(run.status, 0, run.stderr);
});
