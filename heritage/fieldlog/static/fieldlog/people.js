// Tonight's names on the page: one row each, in the list where they stand.

import { isNamed, offerChoices } from "./choices.js";
import { showStations, whyNotYet } from "./stations.js";
import { language, tell } from "./texts.js";
import { isAlone, isHere, nameFor } from "./tonight.js";

const find = (id) => document.querySelector(`#${id}`);
const LISTS = { here: find("log-here"), expected: find("log-expected"), gone: find("log-gone") };
// So many names are at hand, of those still to come a few at the least; the rest are
// folded, and found by a typed name.
const AT_HAND = 8;
const A_FEW = 3;
const BUTTONS = { here: ["beets"], expected: ["came", "undo"], gone: ["came", "undo"] };
const template = find("log-row");
const rows = new Map();
let shown = { people: [], stations: [] };
let lists = { here: [], expected: [], gone: [] };

// Show everybody; rows stay the same elements, so that a thumb or a reader on one
// of them is not thrown off it.
export function showPeople(people, stations, canUndo) {
  shown = { people, stations };
  lists = { here: [], expected: [], gone: [] };
  for (const person of people) {
    const place = placeOf(person);
    const row = rowOf(person, place, canUndo(nameFor(person)));
    row.querySelector(".log-alone").hidden = !isAlone(person, people);
    lists[place].push(row);
  }
  const alone = people.filter((one) => isAlone(one, people));
  const who = new Intl.ListFormat(language).format(alone.map((one) => one.name));
  const asking = alone.length ? tell("alone", { who }) : "";
  if (find("log-alone").textContent !== asking) find("log-alone").textContent = asking;
  showLists();
  const adults = people.filter((one) => one.adult && isHere(one));
  offerChoices("child-adult", adults.map((one) => ({ value: nameFor(one), name: one.name })));
  find("log-child").hidden = !adults.length;
  find("log-no-adult").hidden = adults.length > 0;
  find("log-nobody").hidden = lists.here.length > 0;
  find("log-here-count").textContent = lists.here.length ? `(${lists.here.length})` : "";
  find("log-expected-head").hidden = lists.expected.length === 0;
}

// Show each list: what is at hand or sought, and the rest folded.
function showLists() {
  const everybody = Object.values(lists).flat();
  find("log-names").hidden = everybody.length <= AT_HAND;
  const sought = find("log-names").hidden ? "" : find("log-names-sought").value;
  const nameOf = (row) => row.querySelector(".log-name").textContent;
  const still = Math.max(AT_HAND - lists.here.length, A_FEW);
  const atHand = { here: AT_HAND, expected: still, gone: 0 };
  for (const [place, wanted] of Object.entries(lists)) {
    const found = wanted.filter((row) => isNamed(nameOf(row), sought));
    const many = sought.trim() ? found.length : atHand[place];
    const rest = found.slice(many);
    const fold = find(`log-${place}-rest`);
    arrange(LISTS[place], found.slice(0, many));
    arrange(fold.querySelector("ul"), rest);
    fold.hidden = !rest.length;
    const words = place === "gone" ? "gone_home" : "and_more";
    fold.querySelector("summary").textContent = tell(words, { count: rest.length });
  }
}

// Call `tap(person, what, data)` whenever somebody's button is pressed.
export function onTap(tap) {
  // The event of opening does not rise, so it is caught on its way down.
  const part = find("log-people").parentElement;
  const opened = (event) => event.target.closest("li.log-person");
  part.addEventListener("toggle", (event) => opened(event) && fill(opened(event)), true);
  find("log-names-sought").addEventListener("input", showLists);
  for (const list of document.querySelectorAll("ul.log-tonight")) {
    list.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button) return;
      const row = button.closest("li.log-person");
      const { tap: what, count, station, title } = button.dataset;
      if (what === "station") {
        tap(row.dataset.person, what, { station, title });
        row.querySelector(".log-opens").open = false;
        row.querySelector("summary").focus();
      } else tap(row.dataset.person, what, what === "beets" ? { count: Number(count) } : {});
    });
  }
}

function fill(row) {
  const person = shown.people.find((one) => nameFor(one) === row.dataset.person);
  if (person) showStations(row, person, shown.stations, shown.people);
}

function placeOf(person) {
  if (isHere(person)) return "here";
  return person.arrived_at ? "gone" : "expected";
}

function rowOf(person, place, mayUndo) {
  const key = person.walk_in || person.id;
  if (!rows.has(key)) rows.set(key, template.content.firstElementChild.cloneNode(true));
  const row = rows.get(key);
  row.dataset.person = nameFor(person);
  row.dataset.place = place;
  row.querySelector(".log-name").textContent = person.name;
  const isLoose = place === "here" && !person.station;
  const notYet = isLoose ? tell("no_station") : whyNotYet(person, shown.stations);
  row.querySelector(".log-station").textContent = person.station ?? "";
  row.querySelector(".log-not-yet").textContent = notYet;
  row.querySelector(".log-not-yet").hidden = !notYet;
  row.querySelector(".log-count").textContent = person.beets;
  row.querySelector(".log-beets").hidden = place === "expected" && !person.beets;
  openable(row, place === "here");
  for (const button of row.querySelectorAll(".log-taps button")) {
    const { tap } = button.dataset;
    button.disabled = tap === "undo" && !mayUndo;
    button.setAttribute("aria-label", `${button.textContent}, ${person.name}`);
  }
  for (const button of row.querySelectorAll(".log-at-hand button")) {
    button.hidden = button.disabled || !BUTTONS[place].includes(button.dataset.tap);
  }
  return row;
}

// Only who is here opens, by their name.
function openable(row, isOpenable) {
  const part = row.querySelector(".log-opens");
  const who = row.querySelector(".log-who");
  const home = isOpenable ? part.querySelector("summary") : row;
  if (who.parentElement !== home) home.prepend(who);
  part.hidden = !isOpenable;
  if (isOpenable) fill(row);
  else part.open = false;
}

function arrange(list, wanted) {
  const isSame =
    list.children.length === wanted.length &&
    wanted.every((row, place) => list.children[place] === row);
  if (isSame) return;
  const focused = document.activeElement;
  list.replaceChildren(...wanted);
  // A row that moved to another list takes the focus along.
  const row = wanted.find((one) => one.contains(focused));
  const fold = list.closest("details:not([open])")?.querySelector("summary");
  if (row) (fold ?? row.querySelector(".log-at-hand button:not([hidden])"))?.focus();
}
