// One thing, one number: what a page says of a price, a count, a size or a range in one place it says in every other, and
// what leads to a guide promises what stands on it.

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, before, test } from "node:test";
import { onEach } from "./checks.mjs";
import { launch, pagesIn, pairingPages, reader, site, spread } from "./site.mjs";

let browser, open;
before(async () => {
  browser = await launch();
  open = reader(browser);
});
after(async () => {
  await browser?.close();
});

/** What a guide page says, each fact by the places where it says it; answers of several revisions apart. */
function said() {
  for (const all of document.querySelectorAll("details")) all.open = true;
  const plain = (text) => (text ?? "").replace(/\s+/g, " ").trim();
  const many = (root, selector) => [...root.querySelectorAll(selector)].map((one) => plain(one.textContent));
  const folds = [...document.querySelectorAll("section.answer")];
  const answers = folds.length > 0 ? folds : [document.querySelector("article.guide")];
  return answers.map((root) => {
    const row = (name) => [...root.querySelectorAll(".glance > div")].find((div) => plain(div.querySelector("dt").textContent) === name);
    const checks = [...root.querySelectorAll(".numbers tbody tr")].map((tr) => ({
      check: tr.dataset.check,
            value: plain(tr.querySelector('[data-label="Comes to"]').textContent),
    }));
    return {
      summary: plain(root.querySelector(".summary")?.textContent),
      price: plain(row("Price")?.querySelector("dd")?.textContent),
      decks: many(root, ".glance > div:first-child a").length,
      rows: [...root.querySelectorAll(".list-need > td > ul > li")].map((li) => {
        const own = plain([...li.childNodes].filter((node) => node.nodeName !== "UL").map((node) => node.textContent).join(""));
        return { count: Number(own.match(/(\d+) × (?=[A-Z])/)?.[1] ?? 1), price: plain(li.querySelector(":scope > .price")?.textContent) };
      }),
      change: many(root, "section.change .done li"),
      changed: many(root, ".changed"),
      cutStep: [...root.querySelectorAll(".steps > li.warning")].map((li) => plain(li.textContent)),
      cutPicture: [...root.querySelectorAll(".steps > li.warning svg .size")].map((text) => plain(text.textContent)),
      daylight: many(root, ".steps > li")
        .flatMap((text) => text.split(/(?<=[.?]) /))
        .filter((text) => /steerer's end|to the step of the steerer|must be left|above the steerer/.test(text) && / to .* mm/.test(text)),
      gaps: checks.filter((one) => one.check === "closing-gap").map((one) => one.value),
      reasons: many(root, ".why .reason, .facts-together li"),
    };
  });
}

const number = (money) => Number(money.replace(/[^\d.]/g, ""));
const ranges = (text) => text.match(/\d+(?:\.\d+)? to \d+(?:\.\d+)? mm/g) ?? [];

/** Prices and counts of one answer. */
function money(a) {
  const wrong = [];
  const buys = a.rows.length > 0;
  if (/nothing to buy/i.test(a.price) && buys) wrong.push(`nothing to buy, beside ${a.rows.length} rows`);
  if (a.price && !/nothing to buy/i.test(a.price) && !buys) wrong.push(`a price and nothing to buy: ${a.price}`);
  if (/Nothing to buy/.test(a.summary) && buys) wrong.push("its first line says nothing to buy");
  if (a.price && a.decks > 0 && !/the deck is not in it/.test(a.price)) wrong.push(`the price does not say that the deck is not in it: ${a.price}`);
  const counted = a.summary.match(/[Bb]uy (one thing|\d+ things)/)?.[1];
  if (counted) {
    const things = a.rows.reduce((sum, row) => sum + row.count, 0);
    if ((counted === "one thing" ? 1 : parseInt(counted, 10)) !== things) wrong.push(`"${counted}" beside ${things}`);
  }
  const spend = a.price.match(/€[\d.,]+/)?.[0];
  const inSummary = a.summary.match(/€[\d.,]+\d/)?.[0];
  if (spend && inSummary && number(spend) !== number(inSummary)) wrong.push(`${inSummary} in the first line, ${spend} below`);
  if (spend && a.rows.every((row) => /^€/.test(row.price))) {
    const sum = a.rows.reduce((all, row) => all + row.count * number(row.price), 0);
    if (Math.abs(sum - number(spend)) > 0.004) wrong.push(`rows come to ${sum.toFixed(2)}, said ${spend}`);
  }
  return wrong;
}

/** A cut: one aim and one range in every place. */
function cuts(a) {
  if (a.change.length === 0) return [];
  const wrong = [];
  for (const line of a.change) {
    const [, aim] = line.match(/(?:down|up) to (\d+\.\d+ mm)/) ?? [];
    const [good] = ranges(line);
    if (!aim) continue;
    const [low, high] = good.match(/\d+(?:\.\d+)?/g).map(Number);
    const middle = (low + high) / 2;
    if (Math.abs(parseFloat(aim) - middle) > 0.11) wrong.push(`aims at ${aim}, the middle of ${good} is ${middle.toFixed(2)}`);
    for (const [where, texts] of [["box", a.changed], ["step", a.cutStep], ["picture", a.cutPicture]]) {
      if (!texts.some((text) => text.includes(aim))) wrong.push(`${aim} is not in the ${where}: ${texts.join(" | ").slice(0, 200)}`);
    }
    if (!a.cutStep.some((text) => text.includes(good))) wrong.push(`${good} is not in the step`);
  }
  return wrong;
}

/** How far the spigots of the book's caps reach below what they rest on, least and most, in millimetres. */
const placed = JSON.parse(fs.readFileSync(path.join(site, "data/pairings.json"), "utf8")).flatMap((pair) => pair.placed ?? []);
const feet = placed.flatMap((item) => item.half_section.map((column) => column.segments[0])).filter((foot) => foot?.outside_surface === "spigot");
const spigots = [...new Set(feet.map((foot) => [foot.length.least / 1e6, foot.length.most / 1e6].join()))].map((pair) => pair.split(",").map(Number));

/**
 * How far its parts may still go down, as steps let measure it: the least of it is the closing gap of the table. What is read before a
 * cap with a spigot goes on is more by that.
 */
function gaps(a) {
  const told = a.daylight.filter((text) => !/below the steerer's end/.test(text)).flatMap(ranges);
  const least = (range) => Number(range.match(/[\d.]+/)[0]);
  const under = told.filter((range) => a.gaps.some((gap) => least(range) < least(gap)));
  const ends = (range) => range.match(/[\d.]+/g).map(Number);
  const alike = (range, gap, add) => ends(range).every((end, i) => Math.abs(end - ends(gap)[i] - add[i]) < 0.011);
  const tells = (range) => a.gaps.some((gap) => ranges(gap).length > 0 && spigots.some((add) => alike(range, gap, add)));
  const missing = told.length > 0 && a.gaps.length > 0 && !told.some((range) => a.gaps.includes(range) || tells(range));
  const wrong = under.map((range) => `daylight ${range}, closing gap ${a.gaps.join()}`);
  return missing ? [...wrong, `closing gap ${a.gaps.join()}, daylight ${told.join()}`] : wrong;
}

/** By how much it misses: the same in the first line, the reason and the table. */
function misses(a) {
  const by = a.summary.match(/^No: .*?(\d+(?:\.\d+)? mm)/)?.[1];
  if (!by || a.reasons.length === 0) return [];
  return a.reasons.slice(1).some((text) => text.includes(by)) ? [] : [`${by} in the first line, not in the reason: ${a.reasons.slice(1).join(" ")}`];
}

/** Changes from another system whose price has a deck in it, and what is said beside that price. */
function withDeck() {
  const plain = (text) => (text ?? "").replace(/\s+/g, " ").trim();
  return [...document.querySelectorAll("details.coming-from")].map((fold) => ({
    decks: [...fold.querySelectorAll("li > .price")].map((price) => plain(price.parentElement.textContent)).filter((text) => / deck /.test(text)),
    summary: plain(fold.querySelector("summary").textContent),
  }));
}

/** Guides of the pairings and for other bars, each opened once. */
const known = new Map();
async function read(page) {
  if (!known.has(page)) {
    const found = await open(page, async (tab) => {
      const links = await tab.evaluate(() =>
        [...document.querySelectorAll("a.guide-link")]
          .filter((link) => link.parentElement.querySelector(".price"))
          .map((link) => [new URL(link.href).pathname, link.parentElement.querySelector(".price").textContent.trim()]),
      );
      const changes = await tab.evaluate(withDeck);
      return { links, changes, answers: page.startsWith("guides/") ? await tab.evaluate(said) : [] };
    });
    known.set(page, found);
  }
  return known.get(page);
}

const others = pagesIn("guides").filter((name) => name.split("/").length > 3);
// Half of them in the usual run.
const every = process.env.BENCHLEAF_EVERY_PAGE;
const guides = every ? [...pairingPages(), ...others] : [...spread(pairingPages(), 45), ...spread(others, 6)];

test("no two places of a guide give different numbers for one thing", async () => {
  await onEach(guides, async (page) => {
    const { answers } = await read(page);
    return answers.flatMap((a) => [...money(a), ...cuts(a), ...gaps(a), ...misses(a)]);
  });
});

test("a link that names a price leads to a guide that has it", async () => {
  await onEach([...guides, ...pagesIn("forks"), ...pagesIn("systems")], async (page) => {
    const { links } = await read(page);
    const wrong = [];
    for (const [href, price] of links) {
      const to = decodeURI(href.slice(href.indexOf("/guides/") + 1));
      const { answers } = await read(to);
      const own = answers.map((a) => a.price.match(/€[\d.,]*\d/)?.[0]).filter(Boolean);
      if (own.length > 0 && !own.includes(price)) wrong.push(`${price} to ${to}, which says ${own.join()}`);
    }
    return wrong;
  });
});

test("what these tests read is there to be read", async () => {
  const seen = { price: 0, rows: 0, change: 0, daylight: 0, misses: 0, links: 0 };
  for (const page of guides) {
    const { answers, links } = await read(page);
    seen.links += links.length;
    for (const a of answers) {
      seen.price += Number(/€/.test(a.price));
      seen.rows += a.rows.length;
      seen.change += a.change.length;
      seen.daylight += a.daylight.length;
      seen.misses += Number(/^No: .*\d mm/.test(a.summary));
    }
  }
  // A cut is on few pages: it may be in the other half.
  const needed = Object.entries(seen).filter(([what]) => every || what !== "change");
  assert.ok(needed.every(([, count]) => count > 0), JSON.stringify(seen));
});

test("a price that has a new deck in it says so, and what that costs", async () => {
  let seen = 0;
  await onEach(guides, async (page) => {
    const { changes } = await read(page);
    return changes.flatMap(({ decks, summary }) => {
      seen += decks.length;
      return decks.filter((deck) => !summary.includes(deck.replace(" €", ", €"))).map((deck) => `${deck} is not in: ${summary}`);
    });
  });
  assert.ok(seen > 0, "no price has a deck in it");
});
