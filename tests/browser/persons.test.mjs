// Three persons with a question each: from the page where they begin to the answer in three steps.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, pairingPages, text, visit } from "./site.mjs";

const PHONE = { width: 390, height: 844 };
const DESK = { width: 1280, height: 900 };

let browser;
before(async () => {
  browser = await launch();
});
after(async () => {
  await browser?.close();
});

const shelf = () => JSON.parse(text("what-i-have.html").match(/<script type="application\/json" id="shelf-data">(.*?)<\/script>/s)[1]);

/** Counts what a person does; more than three is a failure. */
function steps() {
  let taken = 0;
  return async (what) => {
    taken += 1;
    assert.ok(taken <= 3, "more than three steps");
    await what;
  };
}

/** The way over a link, until the page behind it stands. */
const follow = (tab, link) => Promise.all([tab.waitForLoadState("load"), link.click()]);

const inSight = (place) => place.evaluate((element) => {
  const { top, bottom } = element.getBoundingClientRect();
  return element.checkVisibility({ contentVisibilityAuto: true }) && bottom > 0 && top < innerHeight;
});

test("a parent at the grid finds the fork, opens its answer and reads verdict, deck and price without scrolling", async () => {
  const page = pairingPages().find((name) => text(name).includes('data-verdict="goes"') && text(name).includes("is not in it"));
  const [, fork] = page.split("/");
  const trouble = await visit(browser, "index.html", { viewport: DESK }, async (tab) => {
    const step = steps();
    const name = await tab.locator(`th[scope="row"] a[href="forks/${fork}.html"]`).innerText();
    await step(tab.locator("nav.jump a", { hasText: name }).first().click());
    const cell = tab.locator(`a.cell[href="${page}"]`);
    assert.ok(await inSight(cell), "the fork's line is not in sight");
    const said = await cell.locator(".word").first().innerText();
    await step(follow(tab, cell));
    assert.match(await tab.locator("h1").innerText(), new RegExp(said, "i"));
    for (const told of ["Price", "For"]) {
      const place = tab.locator("dt", { hasText: new RegExp(`^${told}$`) }).first();
      assert.ok(await inSight(place), `${told} is not in sight`);
    }
  });
  assert.deepEqual(trouble, []);
});

test("a rider with second-hand bars names fork and bars and comes to the page for just these bars, at the price told", async () => {
  const { forks, texts } = shelf();
  const found = Object.entries(forks).flatMap(([fork, { systems }]) =>
    systems.flatMap((s) => s.ways.filter((w) => w[0] < 0 && w[1] < 0 && w[2] >= 0 && w[3] < 0 && w[10] > 0 && w[11] < 0 && w[4] === 0).map((way) => ({ fork, system: s, way }))),
  );
  assert.ok(found.length > 0, "no bars lead to a page of their own");
  const { fork, system, way } = found[0];
  const trouble = await visit(browser, "what-i-have.html", { viewport: DESK }, async (tab) => {
    const step = steps();
    await step(tab.selectOption("#has-fork", fork));
    await step(tab.selectOption("#has-bars", { index: way[2] + 1 }));
    const bars = await tab.locator("#has-bars option:checked").innerText();
    const row = tab.locator(`li[data-system="${system.id}"]`);
    assert.equal(await row.locator(".word").innerText(), texts[way[7]]);
    await step(follow(tab, row.locator("a")));
    assert.ok(tab.url().endsWith(system.pages[way[10]][0]));
    assert.match(await tab.locator(".needs, .head-text, main").first().innerText(), new RegExp(bars.split(" ")[0]));
    const price = await tab.locator("dt", { hasText: /^Price$/ }).first().locator("xpath=following-sibling::dd").innerText();
    assert.ok(price.startsWith(texts[way[7]]), `${price} on the page, ${texts[way[7]]} promised`);
  });
  assert.deepEqual(trouble, []);
});

test("an employee on the phone names fork and deck and comes to the line of this deck", async () => {
  const { forks, rows } = shelf();
  const found = Object.entries(forks).flatMap(([fork, { systems }]) =>
    systems.flatMap((system) => {
      const [, own, told] = system.pages[0];
      return [...system.decks].map((on, deck) => ({ fork, system, deck, on })).filter((f) => told && f.on === "g" && f.deck !== own);
    }),
  );
  assert.ok(found.length > 0, "every answer is on the guide's own deck");
  const { fork, system, deck } = found[0];
  const trouble = await visit(browser, "what-i-have.html", { viewport: PHONE }, async (tab) => {
    const step = steps();
    await step(tab.selectOption("#has-fork", fork));
    await step(tab.selectOption("#has-deck", { index: deck + 1 }));
    assert.match(tab.url(), /#fork=.*&deck=/);
    await step(follow(tab, tab.locator(`li[data-system="${system.id}"] a`)));
    const line = tab.locator(`tr[id="on-${rows[deck]}"]`);
    await line.waitFor({ state: "visible" });
    assert.ok(await inSight(line), "the line of the deck is not in sight");
    assert.match(await line.innerText(), /goes/);
  });
  assert.deepEqual(trouble, []);
});

test("on every deck what I have says what the guide's line of that deck says", async () => {
  const { forks, rows } = shelf();
  const words = { g: "goes", m: "measure", n: "no" };
  let compared = 0;
  const wrong = [];
  for (const [fork, { systems }] of Object.entries(forks)) {
    for (const system of systems.filter((s) => s.decks && s.pages[0][2])) {
      const guide = text(system.pages[0][0]);
      [...system.decks].forEach((on, deck) => {
        const line = guide.match(new RegExp(`<tr id="on-${rows[deck]}">.*?</tr>`, "s"))?.[0] ?? "";
        const mark = line.match(/class="mark mark-(\w+)"/)?.[1];
        if (on !== "u" && mark !== words[on]) wrong.push(`${fork} with ${system.id} on ${rows[deck]}: ${on}, the guide ${mark}`);
        compared += 1;
      });
    }
  }
  assert.ok(compared > 50);
  assert.deepEqual(wrong, []);
});

test("where a plan is told to be the page's own, the page has its price", async () => {
  const { forks, texts } = shelf();
  const wrong = [];
  let compared = 0;
  for (const [fork, { systems }] of Object.entries(forks)) {
    for (const system of systems.filter((s) => s.ways.length > 0)) {
      for (const way of system.ways) {
        const [headset, clamp, bars, deck] = way;
        const [href, , one] = system.pages[way[10]];
        // With nothing ticked it is the guide's; with bars that have a page, that page's. Other parts in hand cost less than told there.
        const its = way[10] > 0 ? bars >= 0 : bars < 0;
        if (!its || !one || headset >= 0 || clamp >= 0 || deck >= 0 || way[11] >= 0) continue;
        const told = text(href).match(/<dt>Price<\/dt><dd>(?:<strong class="price">)?([^<]*)/)?.[1].trim();
        if (told !== texts[way[7]]) wrong.push(`${fork} with ${system.id}: ${texts[way[7]]}, ${href} ${told}`);
        compared += 1;
      }
    }
  }
  assert.ok(compared > 20, `${compared} compared`);
  assert.deepEqual(wrong, []);
});
