// What is saved here, what was refused, and how it is changed.

import { tell } from "./texts.js";
import { isPerson } from "./tonight.js";

const find = (id) => document.querySelector(`#${id}`);
const MOST_SHOWN = 12;
// What of a refused entry may be changed before it is sent again.
const MENDS = {
  beets: ["count", "numeric"],
  note: ["text", "text"],
  temperature: ["temp_c", "decimal"],
  stones: ["how_many", "numeric"],
  trod: ["why_alone", "text"],
  move: ["beets", "numeric"],
  observation: ["height_cm", "numeric"],
  picture: ["caption", "text"],
  walk_in: ["name", "text"],
  child: ["name", "text"],
  counted: ["note", "text"],
};
const shown = new Map();

export function showSlips({ waiting, refused }, people, clock) {
  const words = (entry) => `${clock(Date.parse(entry.at))}  ${inWords(entry, people)}`;
  const newest = waiting.slice(-MOST_SHOWN).reverse();
  const lines = newest.map((entry) => {
    const row = find("log-slip").content.firstElementChild.cloneNode(true);
    row.querySelector(".log-slip-words").textContent = words(entry);
    return row;
  });
  find("log-waiting").replaceChildren(...lines);
  find("log-waiting-part").hidden = waiting.length === 0;
  const more = waiting.length - newest.length;
  find("log-more").hidden = !more;
  find("log-more").textContent = tell("more_before", { count: more });
  find("log-refused-part").hidden = !refused.length;
  // A refused entry's row stays while it is being mended: what was typed stays too.
  for (const key of [...shown.keys()]) {
    if (!refused.some((entry) => entry.key === key)) shown.delete(key);
  }
  for (const entry of refused) {
    if (!shown.has(entry.key)) shown.set(entry.key, refusedRow(entry, words(entry)));
  }
  const rows = [...shown.values()];
  const list = find("log-refused");
  if (rows.length !== list.children.length || rows.some((row, n) => list.children[n] !== row)) {
    list.replaceChildren(...rows);
  }
}

// Call `mend(key, changes)` and `drop(key)` as the person decides.
export function onMending({ mend, drop }) {
  const list = find("log-refused");
  list.addEventListener("submit", (event) => {
    event.preventDefault();
    const { key, field } = event.target.closest("li").dataset;
    const typed = event.target.querySelector("input").value.trim();
    const value = field === "count" ? Number(typed) : typed;
    mend(key, field ? { [field]: value, asked: key } : {});
  });
  list.addEventListener("click", (event) => {
    const row = event.target.closest("li");
    const what = event.target.closest("button")?.dataset.do;
    if (what === "drop") {
      const sure = row.querySelector('[data-do="drop-now"]');
      sure.hidden = false;
      sure.focus();
    }
    if (what === "drop-now") drop(row.dataset.key);
  });
}

function refusedRow(entry, words) {
  const row = find("log-refused-slip").content.firstElementChild.cloneNode(true);
  row.dataset.key = entry.key;
  row.querySelector(".log-slip-words").textContent = words;
  row.querySelector(".log-slip-why").textContent = entry.refused;
  const mend = MENDS[entry.kind];
  if (mend) {
    const [field, mode] = mend;
    row.dataset.field = field;
    const input = row.querySelector("input");
    input.id = `mend-${entry.key}`;
    input.value = entry.data[field] ?? "";
    input.inputMode = mode;
    row.querySelector("label").textContent = tell(`mend_${entry.kind}`);
    row.querySelector("label").htmlFor = input.id;
    row.querySelector(".field").hidden = false;
  }
  return row;
}

// Where the text of a kind is not named as the kind is.
const NAMES = {
  left: () => "left_field",
  thunder: () => "thunder_heard",
  stones: ({ way }) => `stones_${way === "on" ? "on" : "off"}`,
  trod: ({ watcher }) => (watcher ? "trod" : "trod_unwatched"),
  move: ({ target }) => `moved_${target || "lost"}`,
};

function inWords({ kind, data }, people) {
  const who = people.find((one) => isPerson(one, data.person))?.name ?? tell("somebody");
  const said = { count: data.people?.length ?? 0, ...data, who, seen: seenInWords(data) };
  return tell(NAMES[kind]?.(data) ?? kind, said);
}

const SEEN = {
  height_cm: "height",
  stems_yellow: "stems",
  leaves_fallen: "leaves",
  bolls_green: "bolls_green",
  bolls_yellow: "bolls_yellow",
  bolls_brown: "bolls_brown",
  lodged: "lodged",
};

function seenInWords(data) {
  const flower = data.flower ? [tell(`flower_${data.flower}`)] : [];
  const figures = Object.keys(SEEN).filter((name) => data[name]);
  const said = [...flower, ...figures.map((name) => tell(SEEN[name], data)), data.note];
  return said.filter(Boolean).join(", ");
}
