// Looks up what a rider ticked. Every answer was computed when the book was compiled and stands in the page: nothing
// here knows what fits, and no sentence stands here.
(() => {
  "use strict";
  const form = document.getElementById("shelf");
  const answer = document.getElementById("shelf-answer");
  const source = document.getElementById("shelf-data");
  if (!form || !answer || !source) return;
  const data = JSON.parse(source.textContent);
  const fields = ["fork", "deck", "bars", "clamp", "headset"].filter((name) => form.elements[name]);
  const [HEADSET, CLAMP, BARS, DECK, MEASURE, UNPRICED, MINOR, COST, BUY, STANDS, PAGE, DIFFERS] = Array(12).keys();
  const places = { headset: HEADSET, clamp: CLAMP, bars: BARS, deck: DECK };
  const ticked = () => {
    const have = [-1, -1, -1, -1];
    for (const name of fields.slice(1)) have[places[name]] = form.elements[name].selectedIndex - 1;
    return have;
  };
  const named = (option) => option.dataset.name ?? option.textContent;
  const nameOf = (name) => named(form.elements[name].selectedOptions[0]);
  const word = (place) => document.querySelector("#shelf-words").content.querySelector(place);

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

  /** The list with one thing in it replaced. */
  const but = (list, place, value) => list.map((old, at) => (at === place ? value : old));
  const price = (way) => [way[MEASURE], way[UNPRICED], way[MINOR]];
  const uses = (way) => [HEADSET, CLAMP, BARS].filter((place) => way[place] >= 0).length;

  function before(a, b) {
    const [left, right] = [[...price(a), -uses(a)], [...price(b), -uses(b)]];
    const i = left.findIndex((value, i) => value !== right[i]);
    return i >= 0 && left[i] < right[i];
  }

  const best = (ways) => ways.reduce((found, way) => (found === null || before(way, found) ? way : found), null);
  const onlyWith = (have) => (way) => [HEADSET, CLAMP, BARS].every((place) => way[place] < 0 || way[place] === have[place]);

  /** The way as it is on that deck; `null` where it does not stand there. */
  function onDeck(way, deck) {
    if (deck < 0 || way[DECK] === deck) return way[DECK] < 0 || deck >= 0 ? way : null;
    const there = way[DECK] < 0 ? way[STANDS][deck] : "n";
    return there === "n" ? null : but(way, MEASURE, there === "m" ? 1 : 0);
  }

  const fitting = (system, have) =>
    system.ways
      .filter(onlyWith(have))
      .map((way) => onDeck(way, have[DECK]))
      .filter(Boolean);

  /** Where a system stands for what is ticked, and what is said beside its name. */
  function answerOf(system, have) {
    const mine = fitting(system, have);
    const way = best(mine);
    const there = have[DECK] < 0 ? "" : system.decks[have[DECK]] ?? "";
    if (!way && (there === "n" || there === "u")) return { where: "not", mine, way, said: word(`[data-word="${there === "n" ? "not" : "unsettled"}"]`).textContent };
    if (!way) return { where: ["change", "depends"].includes(system.verdict) ? system.verdict : "not", mine, way, said: system.words };
    const free = way[UNPRICED] === 0 && way[MINOR] === 0;
    const leaves = [CLAMP, BARS].some((place) => have[place] >= 0 && way[place] !== have[place]);
    return { where: way[MEASURE] ? "measure" : !free ? "for" : leaves ? "without" : "now", mine, way, said: data.texts[way[COST]] };
  }

  /** Of what is ticked beside a deck, what was not looked for there; where the best plan of all stands on it, nothing. */
  function notLookedFor(system, way, have) {
    if (have[DECK] < 0) return [];
    const least = best(system.ways.filter((w) => w[DECK] < 0).filter(onlyWith(have)));
    if (least && price(least).every((value, i) => value === price(way)[i])) return [];
    return have[HEADSET] >= 0 && way[HEADSET] < 0 && system.ways.some((w) => w[HEADSET] === have[HEADSET]) ? ["headset"] : [];
  }

  /** The page whose plan it is; on it the row of the deck, where its steps are for another. */
  function pageOf(system, way, deck) {
    const [href, own, rows] = system.pages[way ? way[PAGE] : 0];
    return deck >= 0 && rows && system.decks && own !== deck ? `${href}#on-${data.rows[deck]}` : href;
  }

  /**
   * The row of the deck tells this very plan: it was looked for on the deck alone, or with the bars that the page is for, or it is no
   * other than what was found so.
   */
  function toldAtDeck(system, way) {
    const ofRow = (w) => w[DECK] >= 0 && w[CLAMP] < 0 && w[HEADSET] < 0 && (w[BARS] < 0 || w[PAGE] > 0);
    const same = (w) => [DECK, PAGE, DIFFERS].every((place) => w[place] === way[place]);
    return ofRow(way) || (way[DECK] >= 0 && system.ways.some((w) => ofRow(w) && same(w)));
  }

  /** What a shop types to have the steps of the way. */
  function command(system, way, have) {
    const id = (name, at) => form.elements[name].options[at + 1].value;
    const words = ["benchleaf pair", form.elements.fork.value.split(":")[0], system.id];
    const add = (option, name, at) => at >= 0 && words.push(option, id(name, at));
    add("--deck", "deck", have[DECK]);
    add("--bars", "bars", way[BARS]);
    add("--have", "clamp", way[CLAMP]);
    add("--have", "headset", way[HEADSET]);
    return words.join(" ");
  }

  /** A price that only holds if a reading is good says so, wherever it stands. */
  const sure = (measure, price) => (measure ? `${word('[data-word="measure"]').textContent}: ${price}` : price);

  function row(system, { way, mine, said }, have) {
    const item = document.getElementById("shelf-row").content.firstElementChild.cloneNode(true);
    const line = (name) => item.querySelector(`.shelf-${name}`);
    item.dataset.system = system.id;
    item.querySelector("a").href = pageOf(system, way, have[DECK]);
    item.querySelector(".guide-name").textContent = system.name;
    item.querySelector(".word").textContent = said;
    const told = {
      buy: way && data.texts[way[BUY]],
      decks: way && have[DECK] < 0 && [...way[STANDS]].flatMap((on, deck) => (on === (way[MEASURE] ? "m" : "g") ? [named(form.elements.deck.options[deck + 1])] : [])).join(", "),
      differs: way && way[DIFFERS] >= 0 && data.texts[way[DIFFERS]],
    };
    for (const [name, text] of Object.entries(told)) {
      if (text) line(name).querySelector("span").textContent = text;
      else line(name).remove();
    }
    if (told.differs) {
      const atDeck = toldAtDeck(system, way) && item.querySelector("a").href.includes("#on-");
      item.querySelector(atDeck ? ".command" : ".at-deck").remove();
      if (!atDeck) item.querySelector("code").textContent = command(system, way, have);
    }
    const lines = Object.fromEntries(["unused", "no", "open", "change"].map((name) => [name, line(name)]));
    const add = (kind, name, strong) => {
      const told = lines[kind].cloneNode(true);
      told.querySelector(".part").textContent = nameOf(name);
      if (strong !== undefined) told.querySelector("strong").textContent = strong;
      item.append(told);
    };
    const open = way ? notLookedFor(system, way, have) : [];
    for (const name of way ? ["clamp", "bars"] : []) {
      const place = places[name];
      if (have[place] < 0 || way[place] === have[place] || open.includes(name)) continue;
      const other = best(mine.filter((w) => w[place] === have[place]));
      add(other ? "unused" : "no", name, other ? sure(other[MEASURE], data.texts[other[COST]]) : undefined);
    }
    for (const name of open) add("open", name);
    for (const name of chosen()) {
      const without = answerOf(system, but(have, places[name], -1));
      if (without.said !== said) add("change", name, sure(without.where === "measure", without.said));
    }
    for (const template of Object.values(lines)) template.remove();
    return item;
  }

  const chosen = () => fields.slice(1).filter((name) => form.elements[name].value !== "");

  /** Under each field, how many answers are others with it. */
  function effects(fork, have) {
    for (const told of form.querySelectorAll("[data-for]")) {
      told.hidden = !fork || !chosen().includes(told.dataset.for);
      if (told.hidden) continue;
      const without = but(have, places[told.dataset.for], -1);
      const count = fork.systems.filter((s) => ["where", "said"].some((key) => answerOf(s, have)[key] !== answerOf(s, without)[key])).length;
      told.replaceChildren(word(`[data-effect="${count > 1 ? "many" : count}"]`).cloneNode(true));
      told.querySelectorAll("b").forEach((b) => b.replaceChildren(String(count)));
    }
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
    const have = ticked();
    effects(fork, have);
    if (!fork) return;
    const found = { now: [], without: [], for: [], measure: [], depends: [], change: [], not: [], starts: [] };
    for (const system of fork.systems) {
      const told = answerOf(system, have);
      found[told.where].push({ way: told.way, item: row(system, told, have) });
      if (["now", "without"].includes(told.where)) found.starts.push(system);
    }
    const cheap = (a, b) => a.way[UNPRICED] - b.way[UNPRICED] || a.way[MINOR] - b.way[MINOR];
    found.for.sort(cheap);
    for (const where of ["now", "without", "for", "measure", "depends", "change", "not"]) fill(`shelf-${where}`, found[where].map((f) => f.item));
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
