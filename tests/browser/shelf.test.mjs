// What a rider has, ticked and carried by a link: opened from a file, with scripts on and off.

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, before, test } from "node:test";
import { address, launch, site, text, visit } from "./site.mjs";

const PAGE = "what-i-have.html";
const PHONE = { width: 390, height: 844 };

let browser;
before(async () => {
  browser = await launch();
});
after(async () => {
  await browser?.close();
});

const data = () => JSON.parse(text(PAGE).match(/<script type="application\/json" id="shelf-data">(.*?)<\/script>/s)[1]);

/** A fork of which something goes now and something for money, with nothing ticked but the fork. */
function richest() {
  const free = (system) => system.ways.some((w) => w.slice(0, 4).every((i) => i < 0) && w[4] + w[5] + w[6] === 0);
  const count = ([, fork]) => fork.systems.filter((s) => s.ways.length > 0).length + fork.systems.filter(free).length;
  const [id] = Object.entries(data().forks).sort((a, b) => count(b) - count(a))[0];
  return id;
}

/** Systems in each list, as the page shows them. */
const shown = (tab) =>
  tab.evaluate(() =>
    Object.fromEntries(
      ["now", "for", "measure", "depends", "change", "not"].map((where) => [where, [...document.querySelectorAll(`#shelf-${where}:not([hidden]) li`)].map((li) => li.dataset.system)]),
    ),
  );

test("a rider ticks a fork, sees an answer for every system, and a link brings the same back", async () => {
  const fork = richest();
  let before;
  let carried;
  const trouble = await visit(browser, PAGE, { viewport: PHONE }, async (tab) => {
    assert.ok(await tab.locator("#shelf-prompt").isVisible());
    await tab.selectOption("#has-fork", fork);
    before = await shown(tab);
    assert.deepEqual(Object.values(before).flat().sort(), data().forks[fork].systems.map((s) => s.id).sort());
    assert.ok(before.now.length + before.for.length > 0, "nothing goes at all");
    carried = await tab.locator("#shelf-link").getAttribute("href");
    const wide = await tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.equal(wide, 0, "it scrolls sideways on a phone");
  });
  assert.deepEqual(trouble, []);
  for (const link of [carried, carried.replace("#", "?")]) {
    const context = await browser.newContext({ viewport: PHONE });
    const tab = await context.newPage();
    await tab.goto(address(PAGE) + link);
    assert.equal(await tab.inputValue("#has-fork"), fork);
    assert.deepEqual(await shown(tab), before);
    await context.close();
  }
});

test("with only a fork ticked the page says what the fork's guides say", async () => {
  const wrong = [];
  await visit(browser, PAGE, { viewport: PHONE }, async (tab) => {
    for (const fork of Object.keys(data().forks).filter((id) => !id.includes(":"))) {
      await tab.selectOption("#has-fork", fork);
      const lists = await shown(tab);
      for (const [where, systems] of Object.entries(lists)) {
        for (const system of systems) {
          const guide = text(`guides/${fork}/${system}.html`);
          const said = guide.match(/data-verdict="(\w+)"(?: data-supply="([\w-]+)")?/);
          const supplied = { "as-boxed": "now", "extra-parts": "for", "permanent-change": "change" };
          const told = { no: "not", measure: "measure" };
          const expected = told[said[1]] ?? supplied[said[2]];
          // Where it depends there may still be a way that goes whatever is in the box.
          if (said[1] === "depends" ? where === "not" : expected !== where) wrong.push(`${fork} with ${system}: guide ${expected}, page ${where}`);
        }
      }
    }
  });
  assert.deepEqual(wrong, []);
});

test("having more never makes a system dearer", async () => {
  const { forks } = data();
  const best = (ways, have) =>
    ways
      .filter((w) => [0, 1, 2].every((i) => w[i] < 0 || w[i] === have[i]) && w[3] < 0)
      .map((w) => [w[4], w[5], w[6]])
      .sort((a, b) => a[0] - b[0] || a[1] - b[1] || a[2] - b[2])[0];
  let compared = 0;
  for (const fork of Object.values(forks)) {
    for (const system of fork.systems.filter((s) => s.ways.length > 0)) {
      const bare = best(system.ways, [-1, -1, -1]);
      for (const way of system.ways.filter((w) => w[3] < 0)) {
        const now = best(system.ways, way.slice(0, 3));
        const cheaper = now[0] - bare[0] || now[1] - bare[1] || now[2] - bare[2];
        assert.ok(cheaper <= 0, JSON.stringify(way));
        compared += 1;
      }
    }
  }
  assert.ok(compared > 0);
});

test("the price of a change is the one that its guide tells first", () => {
  let compared = 0;
  for (const [fork, { edges }] of Object.entries(data().forks)) {
    for (const [from, to, cost, href] of edges) {
      const [page, anchor] = href.split("#");
      const told = text(page).match(new RegExp(`id="${anchor}">\\s*<summary>.*?<strong>([^<]*)</strong>`, "s"))?.[1];
      assert.equal(told, cost, `${fork}: from ${from} to ${to}`);
      compared += 1;
    }
  }
  assert.ok(compared > 50, `${compared} compared`);
});

test("with own clamp and bars ticked, at least one system of some fork costs less", async () => {
  const found = Object.entries(data().forks).flatMap(([fork, { systems }]) =>
    systems.flatMap((s) => s.ways.filter((w) => w[2] >= 0 && w[3] < 0 && w[4] === 0 && w[6] < s.ways[0][6]).map((w) => ({ fork, system: s.id, way: w }))),
  );
  assert.ok(found.length > 0, "owning bars saves nothing anywhere");
  const { fork, system, way } = found[0];
  await visit(browser, PAGE, { viewport: PHONE }, async (tab) => {
    await tab.selectOption("#has-fork", fork);
    const said = () => tab.locator(`li[data-system="${system}"] .word`).innerText();
    const before = await said();
    await tab.selectOption("#has-bars", { index: way[2] + 1 });
    if (way[1] >= 0) await tab.selectOption("#has-clamp", { index: way[1] + 1 });
    if (way[0] >= 0) await tab.selectOption("#has-headset", { index: way[0] + 1 });
    assert.notEqual(await said(), before);
  });
});

test("its links lead to pages that are there", async () => {
  await visit(browser, PAGE, { viewport: PHONE }, async (tab) => {
    await tab.selectOption("#has-fork", richest());
    const links = await tab.evaluate(() => [...document.querySelectorAll("#shelf-answer a")].map((a) => a.getAttribute("href")));
    const dead = links.filter((href) => !href.startsWith("#") && !fs.existsSync(path.join(site, href.split("#")[0])));
    assert.ok(links.length > 5);
    assert.deepEqual(dead, []);
  });
});

test("with scripts off it says what to do and links to every fork", async () => {
  const trouble = await visit(browser, PAGE, { viewport: PHONE, javaScriptEnabled: false }, async (tab) => {
    assert.ok(!(await tab.locator("#shelf").isVisible()));
    const links = await tab.locator("noscript a, .plain a").count();
    assert.equal(links, Object.keys(data().forks).length);
    assert.match(await tab.locator("main").innerText(), /scripts are off/);
  });
  assert.deepEqual(trouble, []);
});
