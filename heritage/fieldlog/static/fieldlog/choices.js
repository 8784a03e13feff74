// People or lots to choose from: all of a short list, and of a long one what a typed
// name finds. Nothing is asked of the server, so it works without a signal.

import { tell } from "./texts.js";

const MOST = 8;
const lists = new Map();

// Offer rows of { value, name, on }: what is chosen stays while it is offered and `key`
// stays the same; else it is what is `on`.
export function offerChoices(id, rows, key = "") {
  const list = lists.get(id) ?? begin(id);
  const isGone = list.part.dataset.kind === "radio" && !rows.some((one) => isIn(list.chosen, one));
  const isNew = list.key !== key || isGone;
  Object.assign(list, { rows, key });
  if (isNew) choose(list);
  show(list);
}

// What is chosen of a list.
export function chosenOf(id) {
  return [...(lists.get(id)?.chosen ?? [])];
}

function begin(id) {
  const part = document.querySelector(`#${id}`);
  const list = { part, rows: [], key: null, chosen: new Set(), find: part.querySelector("[type=search]") };
  lists.set(id, list);
  list.find.addEventListener("input", () => show(list));
  // Enter in the search looks for a name; it does not send the form.
  list.find.addEventListener("keydown", (event) => {
    if (event.key === "Enter") event.preventDefault();
  });
  part.addEventListener("change", ({ target }) => {
    if (target.type === "radio") list.chosen.clear();
    if (target.checked) list.chosen.add(target.value);
    else list.chosen.delete(target.value);
  });
  part.closest("form")?.addEventListener("reset", () => {
    setTimeout(() => {
      choose(list);
      show(list);
    });
  });
  return list;
}

function choose(list) {
  list.chosen = new Set(list.rows.filter((one) => one.on).map((one) => String(one.value)));
}

// Tell whether a name holds each word that was typed; nothing typed holds everybody.
export function isNamed(name, sought) {
  return words(sought).every((word) => folded(name).includes(word));
}

function show({ part, rows, chosen, find }) {
  const isLong = rows.length > MOST;
  part.querySelector(".log-find").hidden = !isLong;
  const found = rows.filter((one) => isNamed(one.name, isLong ? find.value : ""));
  const first = rows.filter((one) => isIn(chosen, one) && !found.includes(one));
  const shown = [...first, ...found.slice(0, MOST)];
  say(part, found.length, found.length - MOST);
  const said = JSON.stringify([shown.map(({ value, name }) => [value, name]), [...chosen]]);
  if (part.dataset.said === said) return;
  part.dataset.said = said;
  part.querySelector(".choices").replaceChildren(...shown.map((one) => choice(part, one, chosen)));
}

// Say how many more there are, or that the name was not found.
function say(part, found, more) {
  const line = part.querySelector(".log-found");
  const told = found ? tell("more_names", { count: more }) : tell("no_such_name");
  const words = found && more <= 0 ? "" : told;
  line.hidden = !words;
  if (line.textContent !== words) line.textContent = words;
}

function choice({ dataset }, { value, name }, chosen) {
  const label = document.createElement("label");
  label.className = "choice";
  const input = document.createElement("input");
  Object.assign(input, { type: dataset.kind, name: dataset.name, value, required: "required" in dataset });
  input.checked = isIn(chosen, { value });
  const text = document.createElement("span");
  text.textContent = name;
  label.append(input, " ", text);
  return label;
}

function isIn(chosen, { value }) {
  return chosen.has(String(value));
}

function words(text) {
  return folded(text).split(/\s+/).filter(Boolean);
}

// A name without its accents, as it is typed in haste.
function folded(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
}
