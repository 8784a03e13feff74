// The light that is left, and the wait after thunder.

import { tell } from "./texts.js";

const MINUTE_MS = 60_000;
const WAIT_MS = 30 * MINUTE_MS;
const NEAR_MS = 20 * MINUTE_MS;
const CLOSED = "field-hold-closed";

export function showLight(line, book, now, clock) {
  if (!book) return;
  const stop = book.stop_at && Date.parse(book.stop_at);
  const left = stop && stop - now;
  line.dataset.light = !stop || left > NEAR_MS ? "good" : "going";
  say(line, lightWords(book, stop, left, clock));
}

// Thunder heard here counts at once, sent or not. When the wait ends this says so, and
// stays until somebody closes it: no clock may end it without a word.
export function showHold(panel, { book, waiting }, now, clock) {
  const heardHere = waiting
    .filter((one) => one.kind === "thunder")
    .map((one) => Date.parse(one.at) + (book?.skew ?? 0) + WAIT_MS);
  const told = book?.resume_at ? [Date.parse(book.resume_at)] : [];
  const resume = Math.max(...told, ...heardHere);
  const isOver = resume <= now;
  // The server may write the hour down a moment differently from this phone.
  const isClosed = isOver && Math.abs(resume - localStorage.getItem(CLOSED)) < NEAR_MS;
  panel.hidden = !Number.isFinite(resume) || isClosed;
  if (panel.hidden) return;
  const [words, left, close] = panel.children;
  close.hidden = !isOver;
  close.onclick = () => {
    localStorage.setItem(CLOSED, resume);
    panel.hidden = true;
  };
  say(
    words,
    isOver
      ? tell("thunder_over", { at: clock(resume - WAIT_MS) })
      : tell("thunder", { at: clock(resume) }),
  );
  say(left, isOver ? "" : tell("left", { time: span(resume - now) }));
}

function lightWords(book, stop, left, clock) {
  if (!stop) return tell("all_night");
  const sunset = book.sunset ? tell("sunset", { at: clock(Date.parse(book.sunset)) }) : "";
  if (left <= 0) return tell("past_stop", { at: clock(stop) });
  return tell("stop", { at: clock(stop), time: span(left), sunset });
}

function span(left) {
  const minutes = Math.ceil(left / MINUTE_MS);
  const hours = Math.floor(minutes / 60);
  return tell(hours ? "hours" : "minutes", { hours, minutes: hours ? minutes % 60 : minutes });
}

// Written only when it changes, so that a screen reader is not told every second.
function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
}
