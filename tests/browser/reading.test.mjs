// Pages opened from files as a reader would: on a phone, with scripts on and off.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { onEach, PHONE, sticksOut } from "./checks.mjs";
import { guidesOf, launch, pagesIn, sample, spread, visit } from "./site.mjs";

let browser;
before(async () => {
  browser = await launch();
});
after(async () => {
  await browser?.close();
});

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
  await onEach(spread(pagesIn("guides"), 24), async (page) => {
    const [, fork, file] = page.split("/");
    const system = file.replace(/\.html$/, "");
    let told;
    const trouble = await visit(browser, page, {}, async (tab) => {
      told = await tab.locator("article.guide").evaluateAll((all) => all.map((one) => ({ ...one.dataset })));
    });
    if (told.length !== 1) return [`${told.length} guides on the page`];
    const right = told[0].fork === fork && told[0].system === system && ["goes", "measure", "no", "depends"].includes(told[0].verdict);
    return right ? trouble : [JSON.stringify(told[0])];
  });
});
