// What is saved here, what was refused, and how it is changed.

import { isPerson } from "./tonight.js";

const find = (id) => document.querySelector(`#${id}`);
const MOST_SHOWN = 12;
// What of a refused entry may be changed before it is sent again.
const MENDS = {
  beets: ["count", "How many beets", "numeric"],
  note: ["text", "The note", "text"],
  temperature: ["temp_c", "Degrees Celsius", "decimal"],
  stones: ["how_many", "How many stones", "numeric"],
  trod: ["why_alone", "Why one trod alone, or nobody watched", "text"],
  move: ["beets", "How many beets", "numeric"],
  observation: ["height_cm", "Height in centimetres", "numeric"],
  picture: ["caption", "What it shows, in a few words", "text"],
  walk_in: ["name", "Their name", "text"],
  child: ["name", "Name of the child", "text"],
  counted: ["note", "Who was not seen, and where they are", "text"],
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
  find("log-none").hidden = waiting.length > 0;
  const more = waiting.length - newest.length;
  find("log-more").hidden = !more;
  find("log-more").textContent = `and ${more} before these`;
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
    const [field, label, mode] = mend;
    row.dataset.field = field;
    const input = row.querySelector("input");
    input.id = `mend-${entry.key}`;
    input.value = entry.data[field] ?? "";
    input.inputMode = mode;
    row.querySelector("label").textContent = label;
    row.querySelector("label").htmlFor = input.id;
    row.querySelector(".field").hidden = false;
  }
  return row;
}

function inWords({ kind, data }, people) {
  const who = people.find((one) => isPerson(one, data.person))?.name ?? "somebody";
  const beets = data.count === 1 ? "1 beet" : `${data.count} beets`;
  const said = {
    came: `${who} came`,
    struck: `${who} did not come after all`,
    left: `${who} left`,
    stayed: `${who} had not left after all`,
    walk_in: `${data.name} walked in`,
    child: `${data.name}, a child, came with ${who}`,
    station: `${who} at ${data.title}`,
    heard: `${who} heard “${data.title}”`,
    beets: `${beets} for ${who}`,
    uncount: `${beets} taken back from ${who}`,
    note: `Note: ${data.text}`,
    temperature: `Water ${data.temp_c} °C`,
    stones: `${data.how_many} stones ${data.way === "on" ? "put on" : "taken off"}`,
    trod: `Treading: ${data.people?.length ?? 0} trod, ${data.watcher ? "watched" : "nobody watched"}`,
    observation: `Crop: ${seenInWords(data)}`,
    move: `${data.beets === "1" ? "1 beet" : `${data.beets} beets`} ${PLACES[data.target] ?? "lost"}`,
    thunder: "Thunder heard",
    muster: "Everybody called out",
    seen: `${who} seen, safe`,
    unseen: `${who} not seen after all`,
    counted: "Head-count ended",
    picture: `Photograph: ${data.caption}`,
  };
  return said[kind] ?? kind;
}

const PLACES = { cart: "moved to the cart", store: "moved to the store", stook: "moved to the field" };

function seenInWords(data) {
  const flowers = { none: "no flowers yet", start: "first flowers open", full: "in full flower", end: "flowers over" };
  const bolls = ["green", "yellow", "brown"].filter((colour) => data[`bolls_${colour}`]);
  const said = [
    flowers[data.flower],
    data.height_cm && `${data.height_cm} cm tall`,
    data.stems_yellow && `stems ${data.stems_yellow} % yellow`,
    data.leaves_fallen && `leaves off ${data.leaves_fallen} %`,
    ...bolls.map((colour) => `${data[`bolls_${colour}`]} ${colour} bolls`),
    data.lodged && `${data.lodged} % lying flat`,
    data.note,
  ];
  return said.filter(Boolean).join(", ");
}
