// What every guide page says, read as a rider reads it: no two of its sentences contradict or repeat each other.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { onEach } from "./checks.mjs";
import { launch, pagesIn, reader, site } from "./site.mjs";
import fs from "node:fs";
import path from "node:path";

/** Every line of text of the page, drawings left out: where it stands, and whether it is folded. */
function lines() {
  for (const all of document.querySelectorAll("details")) all.dataset.shut = all.open ? "" : "shut";
  for (const all of document.querySelectorAll("details")) all.open = true;
  const leaves = [...document.querySelectorAll("main :is(p, li, td, dd, th, h1, h2, h3, h4, summary, caption)")];
  const own = leaves.filter((one) => !one.querySelector("p, li, td, dd, h2, h3") && !one.closest("svg, .print-only"));
  return own.map((one) => {
    const copy = one.cloneNode(true);
    copy.querySelectorAll("svg").forEach((svg) => svg.remove());
    const shut = one.closest('details[data-shut="shut"]');
    const open = !shut || (one.closest("summary")?.parentElement === shut && !shut.parentElement.closest('details[data-shut="shut"]'));
    return { text: copy.textContent.replace(/[ \n\t]+/g, " ").trim(), step: one.className === "say", undo: one.closest("ol.undo") !== null, open };
  });
}

/** What the page opens with, and what its picture says. */
function failure() {
  return {
    summary: document.querySelector(".summary")?.textContent ?? "",
    picture: [...document.querySelectorAll(".picture svg desc")].map((desc) => desc.textContent).join(" "),
  };
}

const pairings = JSON.parse(fs.readFileSync(path.join(site, "data/pairings.json"), "utf8"));
const ids = [...new Set(pairings.flatMap((pair) => (pair.placed ?? []).map((item) => item.slot)))].filter((slot) => slot.includes("-"));
const placed = new Map();
for (const pair of pairings) placed.set(`guides/${pair.fork}/${pair.system}.html`, pair);

/** Names of parts, as links on the page show them, that stand more than once in one sentence of a step. */
const doubled = (text, names) => names.filter((name) => text.split(name).length > 2 && !/\b(first|second|third)\b/.test(text));

let browser, open;
before(async () => {
  browser = await launch();
  open = reader(browser);
});
after(async () => {
  await browser?.close();
});

const known = new Map();

async function read(page) {
  if (known.has(page)) return known.get(page);
  const found = await open(page, async (tab) => ({
    cut: (await tab.locator("section.change, section.last-resort").count()) > 0,
    names: await tab.locator(".needs .numbered a").allTextContents(),
    failure: await tab.evaluate(failure),
    lines: await tab.evaluate(lines),
  }));
  known.set(page, found);
  return found;
}

test("every sentence of every guide is finished, names no id and keeps its number by its unit", async () => {
  await onEach(pagesIn("guides"), async (page) => {
    const { lines: all, names } = await read(page);
    const wrong = [];
    for (const { text, step } of all) {
      if (/[{}]/.test(text)) wrong.push(`a place not filled: ${text}`);
      if (/\b(\w+) \1\b(?! mm)/i.test(text.replace(/\d+/g, ""))) wrong.push(`a word twice: ${text}`);
      if (/\d (mm|kN|N m)\b/.test(text)) wrong.push(`number and unit may part: ${text}`);
      if (/ (,|\.|;|:)( |$)/.test(text)) wrong.push(`a blank before a mark: ${text}`);
      const id = ids.find((slot) => new RegExp(`\\b${slot}\\b(?! seat)`).test(text));
      if (id) wrong.push(`the id ${id}: ${text}`);
      if (step) wrong.push(...doubled(text, names).map((name) => `${name} twice: ${text}`));
    }
    return wrong;
  });
});

test("no sentence stands twice in the open part of a page, and no two actions of taking apart are the same", async () => {
  await onEach(pagesIn("guides"), async (page) => {
    const { lines: all } = await read(page);
    const wrong = [];
    const seen = new Set();
    for (const { text } of all.filter((line) => line.open && !/^Check:/.test(line.text))) {
      for (const sentence of text.split(/(?<=[.!?])\s+/).filter((one) => one.split(" ").length > 5)) {
        if (seen.has(sentence)) wrong.push(`twice: ${sentence}`);
        seen.add(sentence);
      }
    }
    const undo = all.filter((line) => line.undo).map((line) => line.text);
    undo.forEach((text, at) => text === undo[at - 1] && wrong.push(`twice in a row: ${text}`));
    return wrong;
  });
});

test("a page with a cut never forbids cutting, and a page without one does", async () => {
  await onEach(pagesIn("guides"), async (page) => {
    const { lines: all, cut } = await read(page);
    const forbids = all.some(({ text }) => /Do not cut/.test(text));
    const built = all.some((line) => line.step);
    if (cut && forbids) return ["it cuts, and says do not cut"];
    if (!cut && built && !forbids) return ["nothing says that no part is to be cut"];
    return [];
  });
});

test("what a picture of a no says of the failure is what the page opens with", async () => {
  await onEach(pagesIn("guides").filter((page) => placed.get(page)?.verdict === "no"), async (page) => {
    const { failure: said } = await read(page);
    const reason = said.summary.replace(/^No: /, "").replace(/\s+/g, " ").trim();
    const told = said.picture.replace(/\s+/g, " ");
    return told.toLowerCase().includes(reason.toLowerCase()) ? [] : [`page: ${reason}; picture: ${told.slice(0, 160)}`];
  });
});
