// Pages printed, and read by ear.

import fs from "node:fs";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { onEach, PHONE, sticksOut } from "./checks.mjs";
import { launch, sample, visit } from "./site.mjs";

const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
/** A4 less a centimetre on each side, in CSS pixels. */
const PAPER = { width: 718, height: 1047 };

let browser;
before(async () => {
  browser = await launch();
});
after(async () => {
  await browser?.close();
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
