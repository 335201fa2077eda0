// How long a guide is to read and to scroll, every pairing; and to print, a share of them (all: BENCHLEAF_EVERY_PAGE=1).

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { PHONE } from "./checks.mjs";
import { launch, pairingPages, reader, spread } from "./site.mjs";

/** Words that each step beyond the fourteenth may add. */
const A_STEP = 45;
const STEPS = 14;

/** Most words in the open part of a guide of fourteen steps, phone screens to step 1 and printed sheets, by what a page answers. */
const MOST = {
  goes: { words: 900, screens: 2, sheets: 3 },
  "permanent-change": { words: 1100, screens: 3, sheets: 3 },
  measure: { words: 1300, screens: 4, sheets: 4 },
  no: { words: 250, screens: 0, sheets: 1 },
  // The question on a sheet of its own, then each of two revisions in full.
  depends: { words: 250, screens: 0, sheets: 7 },
  unsettled: { words: 250, screens: 0, sheets: 1 },
};

/** Words that are read without opening anything, and where the first step begins, in screens; 0 where there is none open. */
function readable() {
  const main = document.querySelector("main");
  const walk = document.createTreeWalker(main, NodeFilter.SHOW_TEXT);
  let words = 0;
  while (walk.nextNode()) {
    const parent = walk.currentNode.parentElement;
    if (parent.closest("svg, script, style, .print-only")) continue;
    const folded = parent.closest("details:not([open])");
    const own = parent.closest("summary")?.parentElement;
    if (folded && (own !== folded || folded.parentElement.closest("details:not([open])"))) continue;
    words += (walk.currentNode.data.match(/\S+/g) ?? []).length;
  }
  const steps = [...document.querySelectorAll("ol.steps > li")].filter((li) => !li.closest("details:not([open])"));
  const step = steps[0];
  const top = step ? step.getBoundingClientRect().top + window.scrollY : 0;
  const { verdict, supply } = document.querySelector("article.guide").dataset;
  return { verdict: supply === "permanent-change" ? supply : verdict, steps: steps.length, words, screens: top / window.innerHeight };
}

let browser;
before(async () => {
  browser = await launch();
});
after(async () => {
  await browser?.close();
});

test("no guide is longer to read, to scroll or to print than its answer allows", async () => {
  const wrong = [];
  const seen = {};
  // Printing takes longest.
  const printed = new Set(process.env.BENCHLEAF_EVERY_PAGE ? pairingPages() : spread(pairingPages(), 12));
  const measure = async (page, read) => {
    await read(page, async (tab) => {
      const { verdict, steps, ...found } = await tab.evaluate(readable);
      const more = { words: A_STEP * Math.max(0, steps - STEPS) };
      if (printed.has(page)) {
        const pdf = (await tab.pdf({ format: "A4", preferCSSPageSize: true })).toString("latin1");
        found.sheets = (pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
      } else {
        found.sheets = 0;
      }
      (seen[verdict] ??= []).push(found);
      for (const [what, most] of Object.entries(MOST[verdict])) {
        const limit = most + (more[what] ?? 0);
        if (found[what] > limit) wrong.push(`${page}: ${found[what].toFixed(1)} ${what}, at most ${limit}`);
      }
    });
  };
  const open = pairingPages();
  const worker = async () => {
    const read = reader(browser, { viewport: PHONE });
    for (let page = open.pop(); page; page = open.pop()) await measure(page, read);
  };
  await Promise.all([worker(), worker(), worker()]);
  for (const [verdict, all] of Object.entries(seen)) {
    const middle = (what) => all.map((one) => one[what]).sort((a, b) => a - b)[all.length >> 1];
    const most = (what) => Math.max(...all.map((one) => one[what]));
    const told = ["words", "screens", "sheets"].map((what) => `${what} ${middle(what).toFixed(1)}, at most ${most(what).toFixed(1)}`);
    console.log(`${verdict} (${all.length}): ${told.join("; ")}`);
  }
  assert.equal(wrong.join("\n"), "");
});
