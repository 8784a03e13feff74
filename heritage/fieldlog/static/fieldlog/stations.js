// Giving somebody who is here a station: by what the server last told of the stations,
// and with every entry applied that is still on its way. The server looks again.

import { tell } from "./texts.js";

// Say why somebody may not be put at a station, in a word or two; nothing if they may.
export function whyNot(person, station, people) {
  if (person.station_id === station.id) return tell("theirs");
  const barred = barredFrom(person, station);
  if (barred) return barred;
  if (isToHear(person, station)) return tell("to_hear");
  const held = people.filter((one) => one.station_id === station.id).length;
  return held >= station.places ? tell("full") : "";
}

// Say why somebody may not begin at the station that is theirs; nothing if they may.
export function whyNotYet(person, stations) {
  const own = stations.find((one) => one.id === person.station_id);
  if (!own) return "";
  return barredFrom(person, own) || (isToHear(person, own) ? tell("not_heard") : "");
}

export function isToHear(person, { version }) {
  return version !== "" && !person.heard.includes(version);
}

// Of somebody written in here nobody knows what they can do.
function barredFrom(person, station) {
  return (person.id ? person.barred?.[station.id] : station.barred[person.age]) ?? "";
}

// Fill a row's list of stations, but only while it is open: there may be many rows.
export function showStations(row, person, stations, people) {
  const part = row.querySelector(".log-give");
  part.hidden = !stations.length;
  if (!row.querySelector(".log-opens").open || part.hidden) return;
  const wanted = stations.map((one) => [one, whyNot(person, one, people)]);
  const list = part.querySelector("ul");
  const said = JSON.stringify(wanted.map(([one, why]) => [one.id, one.title, why]));
  if (list.dataset.said === said) return;
  list.dataset.said = said;
  list.replaceChildren(...wanted.map(([one, why]) => choice(person, one, why)));
}

function choice(person, station, why) {
  const line = document.createElement("li");
  const button = document.createElement("button");
  button.type = "button";
  button.className = "act-quiet act-big act-wide";
  button.textContent = why ? `${station.title}: ${why}` : station.title;
  button.disabled = Boolean(why);
  Object.assign(button.dataset, { tap: "station", station: station.id, title: station.title });
  button.setAttribute("aria-label", `${button.textContent}, ${person.name}`);
  line.append(button);
  if (isToHear(person, station) && why === tell("to_hear")) line.append(wayToWords(person, station));
  return line;
}

function wayToWords(person, station) {
  const link = document.createElement("a");
  link.href = `#briefing-${station.version}`;
  link.textContent = tell("read_to");
  link.setAttribute("aria-label", tell("read_for", { station: station.title, who: person.name }));
  return link;
}
