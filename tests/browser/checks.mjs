// Checks over many pages, and what they measure. Knows no page's content.

import assert from "node:assert/strict";

export const PHONE = { width: 390, height: 844 };

/** Runs one check over many pages and tells all that fail, not only the first. */
export async function onEach(pages, check) {
  assert.ok(pages.length > 0, "no pages to check");
  const wrong = [];
  for (const page of pages) {
    const found = await check(page);
    if (found.length > 0) wrong.push(`${page}:\n  ${found.join("\n  ")}`);
  }
  assert.equal(wrong.join("\n"), "");
}

/** What sticks out to the right of the page, if the page scrolls sideways. */
export function sticksOut() {
  const root = document.documentElement;
  if (root.scrollWidth <= root.clientWidth) return [];
  const wide = [...document.body.querySelectorAll("*")].filter((e) => e.getBoundingClientRect().right > root.clientWidth + 0.5);
  const names = wide.slice(0, 3).map((e) => `${e.tagName.toLowerCase()}.${e.getAttribute("class") ?? ""}`);
  return [`${root.scrollWidth} px wide where ${root.clientWidth} fit: ${names.join(", ")}`];
}
