// Pages opened from files as a reader would: on a phone, with scripts on and off, printed, and by ear.

import assert from "node:assert/strict";
import fs from "node:fs";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { guidesOf, launch, pagesIn, sample, spread, visit } from "./site.mjs";

const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const PHONE = { width: 390, height: 844 };
/** A4 less a centimetre on each side, in CSS pixels. */
const PAPER = { width: 718, height: 1047 };

let browser;
before(async () => {
  browser = await launch();
});
after(async () => {
  await browser?.close();
});

/** Runs one check over many pages and tells all that fail, not only the first. */
async function onEach(pages, check) {
  assert.ok(pages.length > 0, "no pages to check");
  const wrong = [];
  for (const page of pages) {
    const found = await check(page);
    if (found.length > 0) wrong.push(`${page}:\n  ${found.join("\n  ")}`);
  }
  assert.equal(wrong.join("\n"), "");
}

/** What sticks out to the right of the page, if the page scrolls sideways. */
function sticksOut() {
  const root = document.documentElement;
  if (root.scrollWidth <= root.clientWidth) return [];
  const wide = [...document.body.querySelectorAll("*")].filter((e) => e.getBoundingClientRect().right > root.clientWidth + 0.5);
  const names = wide.slice(0, 3).map((e) => `${e.tagName.toLowerCase()}.${e.getAttribute("class") ?? ""}`);
  return [`${root.scrollWidth} px wide where ${root.clientWidth} fit: ${names.join(", ")}`];
}

for (const javaScriptEnabled of [true, false]) {
  const scripts = javaScriptEnabled ? "on" : "off";

  test(`with scripts ${scripts} pages load without errors and do not scroll sideways on a phone`, async () => {
    await onEach(sample(), async (page) => {
      const found = [];
      const options = { viewport: PHONE, javaScriptEnabled };
      const trouble = await visit(browser, page, options, async (tab) => {
        found.push(...(await tab.evaluate(sticksOut)));
        const words = (await tab.locator("body").innerText()).trim();
        if (words.length < 20) found.push("hardly any text to read");
        if ((await tab.title()).trim() === "") found.push("no title");
      });
      return [...found, ...trouble];
    });
  });

  test(`with scripts ${scripts} a guide that goes shows its steps, its safety notes and its drawing`, async () => {
    const goes = [...guidesOf("goes"), ...guidesOf("measure")];
    assert.ok(goes.length > 0, "no guide in the demo book goes");
    await onEach(goes.slice(0, 8), async (page) => {
      const found = [];
      const trouble = await visit(browser, page, { javaScriptEnabled }, async (tab) => {
        for (const wanted of ["article.guide ol.steps > li", "section.safety", 'svg[data-drawing="assembled"]']) {
          const first = tab.locator(wanted).first();
          const box = (await first.count()) > 0 ? await first.boundingBox() : null;
          if (!box || box.width < 10 || box.height < 10) found.push(`nothing to see of ${wanted}`);
        }
        const metal = await tab.locator('svg[data-drawing="assembled"][data-unit="mm"] g[data-item] path').count();
        if (metal === 0) found.push("the assembled drawing has no parts");
      });
      return [...found, ...trouble];
    });
  });
}

test("a guide page says which fork, which system and which verdict, as its path does", async () => {
  await onEach(spread(pagesIn("guides"), 40), async (page) => {
    const [, fork, file] = page.split("/");
    const system = file.replace(/\.html$/, "");
    let told;
    const trouble = await visit(browser, page, {}, async (tab) => {
      told = await tab.locator("article.guide").evaluateAll((all) => all.map((one) => ({ ...one.dataset })));
    });
    if (told.length !== 1) return [`${told.length} guides on the page`];
    const right = told[0].fork === fork && told[0].system === system && ["goes", "measure", "no"].includes(told[0].verdict);
    return right ? trouble : [JSON.stringify(told[0])];
  });
});

test("axe finds nothing serious", async () => {
  await onEach(sample(), async (page) => {
    let found = [];
    await visit(browser, page, { viewport: PHONE }, async (tab) => {
      await tab.evaluate(axe);
      const report = await tab.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
      found = report.violations
        .filter((violation) => ["serious", "critical"].includes(violation.impact))
        .map((violation) => `${violation.id}: ${violation.help}: ${violation.nodes[0].html.slice(0, 160)}`);
    });
    return found;
  });
});

test("pages print on A4, nothing cut off at the side", async () => {
  await onEach(sample(), async (page) => {
    const found = [];
    await visit(browser, page, { viewport: PAPER }, async (tab) => {
      await tab.emulateMedia({ media: "print" });
      found.push(...(await tab.evaluate(sticksOut)));
      const pdf = (await tab.pdf({ format: "A4", preferCSSPageSize: true })).toString("latin1");
      const sheets = pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? [];
      if (sheets.length === 0) found.push("prints no sheet");
      const sizes = [...pdf.matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/g)];
      // A4 is 595.28 by 841.89 points (ISO 216); the browser rounds to whole pixels.
      const isA4 = ([, width, height]) => Math.abs(width - 595.28) < 1 && Math.abs(height - 841.89) < 1;
      if (sizes.length === 0 || !sizes.every(isA4)) found.push(`not A4: ${sizes.map((size) => size[0]).join(" ")}`);
    });
    return found;
  });
});
