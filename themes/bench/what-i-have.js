// Looks up what a rider ticked. Every answer was computed when the book was compiled and stands in the page: nothing
// here knows what fits, and no sentence stands here.
(() => {
  "use strict";
  const form = document.getElementById("shelf");
  const answer = document.getElementById("shelf-answer");
  const source = document.getElementById("shelf-data");
  if (!form || !answer || !source) return;
  const data = JSON.parse(source.textContent);
  const fields = ["fork", "headset", "clamp", "bars"];
  const [HEADSET, CLAMP, BARS, MEASURE, UNPRICED, MINOR, COST, BUY] = [0, 1, 2, 3, 4, 5, 6, 7];
  const places = { headset: HEADSET, clamp: CLAMP, bars: BARS };
  const at = (name) => form.elements[name].selectedIndex - 1;
  const nameOf = (name) => form.elements[name].selectedOptions[0].textContent;

  /** A link carries the choice after `#` (or `?`): fork=…&bars=…. What the page does not know is passed over. */
  function readLink() {
    const typed = new URLSearchParams(location.hash.slice(1) || location.search.slice(1));
    for (const name of fields) {
      const known = [...form.elements[name].options].some((option) => option.value === typed.get(name));
      form.elements[name].value = known ? typed.get(name) : "";
    }
  }

  function link() {
    const chosen = fields.filter((name) => form.elements[name].value !== "");
    return "#" + new URLSearchParams(chosen.map((name) => [name, form.elements[name].value])).toString();
  }

  const price = (way) => [way[MEASURE], way[UNPRICED], way[MINOR]];
  const uses = (way) => [HEADSET, CLAMP, BARS].filter((place) => way[place] >= 0).length;

  function before(a, b) {
    const [left, right] = [[...price(a), -uses(a)], [...price(b), -uses(b)]];
    const i = left.findIndex((value, i) => value !== right[i]);
    return i >= 0 && left[i] < right[i];
  }

  const best = (ways) => ways.reduce((found, way) => (found === null || before(way, found) ? way : found), null);
  const onlyWith = (have) => (way) => [HEADSET, CLAMP, BARS].every((place) => way[place] < 0 || way[place] === have[place]);

  function row(system, way, have, mine) {
    const item = document.getElementById("shelf-row").content.firstElementChild.cloneNode(true);
    item.dataset.system = system.id;
    item.querySelector("a").href = (way && system.pages[way[BARS]]) || system.href;
    item.querySelector(".guide-name").textContent = system.name;
    item.querySelector(".word").textContent = way ? data.texts[way[COST]] : system.words;
    const buy = way ? data.texts[way[BUY]] : "";
    if (buy) item.querySelector(".shelf-buy span").textContent = buy;
    else item.querySelector(".shelf-buy").remove();
    const unused = item.querySelector(".shelf-unused");
    const no = item.querySelector(".shelf-no");
    for (const name of way ? ["clamp", "bars"] : []) {
      const place = places[name];
      if (have[place] < 0 || way[place] === have[place]) continue;
      const other = best(mine.filter((w) => w[place] === have[place]));
      const line = (other ? unused : no).cloneNode(true);
      line.querySelector(".part").textContent = nameOf(name);
      if (other) line.querySelector(".with strong").textContent = data.texts[other[COST]];
      item.append(line);
    }
    unused.remove();
    no.remove();
    return item;
  }

  function fill(id, rows) {
    const section = document.getElementById(id);
    section.querySelector("ul").replaceChildren(...rows);
    const none = section.querySelector(".none");
    if (none) none.hidden = rows.length > 0;
    section.hidden = rows.length === 0 && !none;
  }

  function routes(fork, now) {
    const shown = now.map((system) => {
      const block = document.getElementById("shelf-route").content.firstElementChild.cloneNode(true);
      block.querySelector("summary").textContent = system.name;
      const goal = (name, cheapest, fewest, href) => {
        const line = document.getElementById("shelf-goal").content.firstElementChild.cloneNode(true);
        line.querySelector("a").textContent = name;
        line.querySelector("a").href = href;
        line.querySelector(".cheapest").textContent = cheapest;
        if (fewest === null) line.querySelector(".fewest").remove();
        else line.querySelector(".fewest span").textContent = fewest;
        return line;
      };
      const nameOfSystem = (id) => fork.systems.find((s) => s.id === id)?.name ?? id;
      const here = fork.edges.filter((e) => e[0] === system.id).map((e) => goal(nameOfSystem(e[1]), e[2], null, e[3]));
      const away = fork.goals.filter((g) => g[0] === system.id);
      const there = away.map((g) => goal(g[1], data.texts[g[2]], g[3] === null ? null : data.texts[g[3]], g[4]));
      block.querySelector("ul").replaceChildren(...here, ...there);
      return block;
    });
    document.querySelector(".shelf-routes").replaceChildren(...shown);
    document.getElementById("shelf-routes").hidden = shown.length === 0;
  }

  function show() {
    const fork = data.forks[form.elements.fork.value];
    document.getElementById("shelf-prompt").hidden = Boolean(fork);
    for (const section of answer.querySelectorAll("section")) section.hidden = !fork;
    const carried = document.getElementById("shelf-link");
    carried.href = link();
    carried.parentElement.hidden = !fork;
    if (!fork) return;
    const have = [at("headset"), at("clamp"), at("bars")];
    const found = { now: [], for: [], measure: [], depends: [], change: [], not: [], starts: [] };
    for (const system of fork.systems) {
      const mine = system.ways.filter(onlyWith(have));
      const way = best(mine);
      const free = way && way[UNPRICED] === 0 && way[MINOR] === 0;
      const without = ["change", "depends"].includes(system.verdict) ? system.verdict : "not";
      const where = !way ? without : way[MEASURE] ? "measure" : free ? "now" : "for";
      found[where].push({ way, item: row(system, way, have, mine) });
      if (where === "now") found.starts.push(system);
    }
    const cheap = (a, b) => a.way[UNPRICED] - b.way[UNPRICED] || a.way[MINOR] - b.way[MINOR];
    found.for.sort(cheap);
    for (const where of ["now", "for", "measure", "depends", "change", "not"]) fill(`shelf-${where}`, found[where].map((f) => f.item));
    routes(fork, found.starts);
  }

  form.addEventListener("change", () => {
    history.replaceState(null, "", link());
    show();
  });
  window.addEventListener("hashchange", () => {
    readLink();
    show();
  });
  readLink();
  form.hidden = false;
  answer.hidden = false;
  show();
})();
