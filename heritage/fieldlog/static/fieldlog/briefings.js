// The safety briefings: their words to be read aloud, and who has heard them.

import { chosenOf, offerChoices } from "./choices.js";
import { tell } from "./texts.js";
import { isHere, nameFor } from "./tonight.js";

const find = (id) => document.querySelector(`#${id}`);
const parts = new Map();

// Show each briefing that a station asks for, with those here who have not heard it.
export function showBriefings(people, { briefings = [], reader } = {}) {
  find("log-briefings").hidden = briefings.length === 0;
  const here = people.filter(isHere);
  const you = reader ? [{ value: reader.id, name: tell("you", { who: reader.name }) }] : [];
  const adults = here.filter((one) => one.adult && one.id !== reader?.id);
  const readers = [...you, ...adults.map((one) => ({ value: nameFor(one), name: one.name }))];
  offerChoices("briefing-reader", readers.map((one, at) => ({ ...one, on: at === 0 })));
  nameReader();
  const wanted = briefings.map((one) => partOf(one, here));
  const list = find("log-briefing-list");
  const isSame = wanted.length === list.children.length && wanted.every((one, n) => one === list.children[n]);
  if (!isSame) list.replaceChildren(...wanted);
}

// Call `tap(person, data)` when somebody is ticked as having heard one.
export function onHeard(tap) {
  find("log-briefing-list").addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    const { person, version, title } = button.dataset;
    const in_short = isInShort(button.closest("details"));
    tap(person, { version, title, in_short, reader: chosenOf("briefing-reader")[0] });
  });
  find("briefing-reader").addEventListener("change", nameReader);
  addEventListener("hashchange", () => {
    const part = document.querySelector("#log-briefing-list details:target");
    if (part) part.open = true;
  });
}

function nameReader() {
  const chosen = find("briefing-reader").querySelector(":checked");
  find("briefing-reader-name").textContent = chosen?.parentElement.textContent ?? "";
}

function partOf(briefing, here) {
  const { id, title, number, words } = briefing;
  if (!parts.has(id)) {
    const part = find("log-briefing").content.firstElementChild.cloneNode(true);
    part.id = `briefing-${id}`;
    // The server wrote these words for the page, every one of them escaped.
    part.querySelector(".log-words").innerHTML = words;
    parts.set(id, part);
  }
  const part = parts.get(id);
  const left = here.filter((one) => !one.heard.includes(id));
  const said = JSON.stringify([title, here.length, left.map((one) => [nameFor(one), one.name])]);
  if (part.dataset.said === said) return part;
  part.dataset.said = said;
  part.querySelector(".log-title").textContent = tell("version", { title, number });
  part.querySelector(".log-left").textContent = countOf(left, here);
  const names = part.querySelector(".log-hearers");
  const isFocused = names.contains(document.activeElement);
  names.replaceChildren(...left.map((one) => choice(one, briefing)));
  if (isFocused) (names.querySelector("button") ?? part.querySelector("summary")).focus();
  return part;
}

// The short form is read out first; once the whole is open, it is that which was heard.
function isInShort(part) {
  const whole = part.querySelector(".log-whole");
  return whole !== null && !whole.open;
}

function countOf(left, here) {
  if (!here.length) return tell("nobody_here");
  return left.length ? tell("still_to_hear", { count: left.length }) : tell("all_heard");
}

function choice(person, { id, title }) {
  const line = document.createElement("li");
  const button = document.createElement("button");
  button.type = "button";
  button.className = "act-quiet act-big act-wide";
  button.textContent = tell("heard_it", { who: person.name });
  button.setAttribute("aria-label", tell("heard_that", { who: person.name, title }));
  Object.assign(button.dataset, { person: nameFor(person), version: id, title });
  line.append(button);
  return line;
}
