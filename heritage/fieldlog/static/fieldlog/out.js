// Everybody out: who was in the field, and who has been seen at the meeting point.
// It works without a signal, from what this phone knows; every press is an entry.

import { tell } from "./texts.js";
import { nameFor, toCount } from "./tonight.js";

const find = (id) => document.querySelector(`#${id}`);
const rows = new Map();

export function showOut({ muster, people }, clock) {
  find("log-out-call").hidden = Boolean(muster);
  find("log-out-going").hidden = !muster;
  find("log-out-banner").hidden = !muster;
  if (!muster) return;
  const counted = toCount(people);
  const missing = counted.filter((one) => !one.safe);
  say(
    find("log-out-banner"),
    tell("called_out", {
      at: clock(new Date(muster.called_at)),
      so_far: soFar(counted.length, missing.length),
    }),
  );
  find("log-out-nobody").hidden = counted.length > 0;
  // Once some have been seen, anybody who is missing is named before the list.
  find("log-out-missing").hidden = !missing.length || missing.length === counted.length;
  say(find("log-out-missing"), tell("not_seen", { who: missing.map(whereabouts).join(", ") }));
  find("log-out-note").required = missing.length > 0;
  const list = find("log-out-list");
  const wanted = counted.map((one) => rowOf(one));
  const isSame = list.children.length === wanted.length && wanted.every((row, n) => list.children[n] === row);
  if (!isSame) list.replaceChildren(...wanted);
}

// Call `tap(person, what)` when somebody is ticked seen, or the tick is taken back.
export function onSeen(tap) {
  find("log-out-list").addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (button) tap(button.closest("li").dataset.person, button.dataset.tap);
  });
}

function soFar(all, missing) {
  if (!all) return tell("none_counted");
  return tell(missing ? "missing" : "all_seen", { missing, all });
}

// Everybody keeps their line: a second press never falls on somebody else.
function rowOf(person) {
  const key = person.walk_in || person.id;
  if (!rows.has(key)) {
    rows.set(key, find("log-out-row").content.firstElementChild.cloneNode(true));
  }
  const row = rows.get(key);
  row.dataset.person = nameFor(person);
  row.dataset.safe = Boolean(person.safe);
  row.querySelector(".log-name").textContent = person.name;
  row.querySelector(".log-station").textContent = person.station ?? "";
  row.querySelector(".tag").hidden = !person.safe;
  for (const button of row.querySelectorAll("button")) {
    button.hidden = (button.dataset.tap === "seen") === Boolean(person.safe);
    button.setAttribute("aria-label", `${button.textContent}, ${person.name}`);
  }
  return row;
}

// The station is the first place to look for somebody.
function whereabouts({ name, station }) {
  return station ? tell("at_station", { who: name, station }) : name;
}

function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
}
