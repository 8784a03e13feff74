// Who trod a turn and who watched: the people of the turn, and everybody here tonight.

import { offerChoices } from "./choices.js";
import { tell } from "./texts.js";
import { isHere, nameFor } from "./tonight.js";

const find = (id) => document.querySelector(`#${id}`);

// Show whom a turn may be ticked for; people who come or leave change nothing ticked.
export function showTurn(turns, people) {
  const turn = turns.find((one) => String(one.id) === find("trod-turn").value);
  const listed = turn?.people ?? [];
  const others = people
    .filter((one) => isHere(one) && one.adult && !listed.some((other) => other.id === one.id))
    .map((one) => ({ id: nameFor(one), name: one.name }));
  const names = [...listed, ...others];
  const trod = names.map(({ id, name, on }) => ({ value: id, name, on }));
  offerChoices("trod-people", trod, turn?.id);
  const nobody = { value: "", name: tell("nobody"), on: !names.some((one) => one.watches) };
  const watchers = names.map(({ id, name, watches }) => ({ value: id, name, on: watches }));
  offerChoices("trod-watcher", [nobody, ...watchers], turn?.id);
}

export function onTurn(choose) {
  find("trod-turn").addEventListener("change", choose);
}
