// What the preview adds to a page, run against a made-up page: when it loads again, what it lays over it, when it leaves its
// connection to others.

import assert from "node:assert/strict";
import fs from "node:fs";
import { test } from "node:test";
import vm from "node:vm";

const script = fs.readFileSync(new URL("../../src/watch/fresh.js", import.meta.url), "utf8");

/** A page with as much in it as the script asks for, made as `made`; it hears of its making by the event `hears`. */
function open(made, hears = "made") {
  const page = { streams: [], loads: 0, laid: [], heard: {} };
  const element = (name) => ({
    name,
    children: [],
    heard: {},
    append(...more) {
      this.children.push(...more);
      for (const child of more) child.parent = this;
    },
    setAttribute() {},
    addEventListener(what, act) {
      this.heard[what] = act;
    },
    attachShadow() {
      return (this.root = element("root"));
    },
    remove() {
      page.laid = page.laid.filter((laid) => laid !== this);
    },
  });
  const document = {
    hidden: false,
    currentScript: { dataset: { made, hears } },
    createElement: element,
    documentElement: { append: (laid) => page.laid.push(laid) },
    addEventListener: (what, act) => (page.heard[what] = act),
  };
  class EventSource {
    constructor(address) {
      this.address = address;
      this.heard = {};
      page.streams.push(this);
    }
    addEventListener(what, act) {
      this.heard[what] = act;
    }
    close() {
      page.streams = page.streams.filter((stream) => stream !== this);
    }
  }
  const location = { reload: () => (page.loads += 1) };
  const addEventListener = (what, act) => (page.heard[what] = act);
  vm.runInNewContext(script, { document, EventSource, location, addEventListener, Object });
  page.told = (what, data) => page.streams[0].heard[what]({ data });
  page.hide = (hidden) => {
    document.hidden = hidden;
    page.heard.visibilitychange();
  };
  page.section = () => page.laid[0].root.children.find((child) => child.name === "section");
  return page;
}

test("a page loads again when the site was made again, and not before", () => {
  const page = open("a-1");
  assert.equal(page.streams[0].address, "/.benchleaf-preview/news");
  page.told("made", "a-1");
  assert.equal(page.loads, 0);
  page.told("made", "a-2");
  assert.equal(page.loads, 1);
});

test("a page that is not fresh while others are says it, until it is made again", () => {
  const [early, behind] = ["made", "rest"].map((hears) => open("a-1", hears));
  for (const page of [early, behind]) page.told("behind", "");
  assert.equal(early.laid.length, 0);
  assert.equal(behind.section().children[1].textContent, "This is the page before the last change; it is being made again.");
  assert.equal(behind.streams[0].heard.made, undefined);
  behind.told("rest", "a-2");
  assert.equal(behind.loads, 1);
});

test("what is wrong lies over the page until it is mended, as text", () => {
  const page = open("a-1");
  page.told("wrong", "error: <b>one</b>");
  page.told("wrong", "error: two");
  assert.equal(page.laid.length, 1);
  assert.equal(page.section().children.at(-1).textContent, "error: two");
  page.told("made", "a-1");
  assert.equal(page.laid.length, 0);
});

test("what was hidden stays so until something else is wrong", () => {
  const page = open("a-1");
  page.told("wrong", "one");
  page.section().children[0].heard.click();
  assert.equal(page.laid.length, 0);
  page.told("wrong", "one");
  assert.equal(page.laid.length, 0);
  page.told("wrong", "two");
  assert.equal(page.laid.length, 1);
});

test("a page that nobody sees leaves its connection to others and comes back", () => {
  const page = open("a-1");
  page.hide(true);
  assert.equal(page.streams.length, 0);
  page.hide(false);
  assert.equal(page.streams.length, 1);
  page.heard.pageshow();
  assert.equal(page.streams.length, 1);
});
