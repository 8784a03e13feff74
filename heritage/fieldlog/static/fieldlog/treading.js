// Who trod a turn and who watched: the people of the turn, and everybody here tonight.

import { tell } from "./texts.js";
import { isHere, nameFor } from "./tonight.js";

const find = (id) => document.querySelector(`#${id}`);
let shown = "";

// Show whom a turn may be ticked for; what is ticked stays while nothing changed.
export function showTurn(turns, people) {
  const turn = turns.find((one) => String(one.id) === find("trod-turn").value);
  const listed = turn?.people ?? [];
  const others = people
    .filter((one) => isHere(one) && one.adult && !listed.some((other) => other.id === one.id))
    .map((one) => ({ id: nameFor(one), name: one.name }));
  const names = [...listed, ...others];
  const now = JSON.stringify([turn?.id, names]);
  if (now === shown) return;
  const isSame = shown.startsWith(`[${turn?.id},`);
  const boxes = () => [...find("trod-people").querySelectorAll("input")];
  const chosen = new Map(isSame ? boxes().map((one) => [one.value, one.checked]) : []);
  const watched = find("trod-watcher").value;
  shown = now;
  find("trod-people").replaceChildren(...names.map(box));
  find("trod-watcher").replaceChildren(new Option(tell("nobody"), ""), ...names.map(watcher));
  // People who came or left meanwhile change the list, and nothing that was ticked.
  for (const one of boxes()) one.checked = chosen.get(one.value) ?? one.checked;
  if (isSame) find("trod-watcher").value = watched;
}

export function onTurn(choose) {
  find("trod-turn").addEventListener("change", choose);
}

function box({ id, name, on }) {
  const label = document.createElement("label");
  label.className = "choice";
  const input = document.createElement("input");
  Object.assign(input, { type: "checkbox", name: "people", value: id, defaultChecked: Boolean(on) });
  const words = document.createElement("span");
  words.textContent = name;
  label.append(input, " ", words);
  return label;
}

function watcher({ id, name, watches }) {
  return new Option(name, id, Boolean(watches), Boolean(watches));
}
