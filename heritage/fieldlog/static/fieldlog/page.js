// The field page: every tap is saved in the outbox first, then shown, then sent.

import { watchClock } from "./clock.js";
import { keepPage, throwAllPagesAway, throwPageAway } from "./keep.js";
import { forgetClosed, forgetNames, openOutbox, standing } from "./outbox.js";
import { onHeard, showBriefings } from "./briefings.js";
import { offerChoices } from "./choices.js";
import { onSeen, showOut } from "./out.js";
import { onTap, showPeople } from "./people.js";
import { AWAY, DONE, SIGN_IN, exchange } from "./sender.js";
import { onMending, showSlips } from "./slips.js";
import { showHold, showLight } from "./sky.js";
import { language, tell } from "./texts.js";
import { offerThemes } from "./theme.js";
import { onTurn, showTurn } from "./treading.js";
import { apply, isHere, nameFor } from "./tonight.js";

const AGAIN_MS = 20_000;
const SECOND_MS = 1000;

const find = (id) => document.querySelector(`#${id}`);
const at = document.body.dataset;
const watch = watchClock();
const outbox = await openOutbox(at.gathering, watch).catch((reason) => {
  find("log-state").textContent =
    tell("cannot_save");
  throw reason;
});
const time = new Intl.DateTimeFormat(language, {
  hour: "2-digit",
  minute: "2-digit",
  timeZone: at.zone,
});
const clock = (moment) => time.format(moment);
await outbox.steady().catch(() => {});
let held = await outbox.all();
// Who is here, and whether they are being counted, as the page shows it.
let tonight = { people: [], muster: null };
let signal = navigator.onLine ? "" : tell("no_signal");
let trouble = "";
let isOver = false;

// The phone's clock, corrected by the server's when last heard from.
const now = () => Date.now() + (held.book?.skew ?? 0);

async function refresh() {
  held = await outbox.all();
  const everything = [...held.refused, ...held.waiting].sort((a, b) => a.order - b.order);
  const after = (entries) =>
    entries.reduce((so_far, one) => apply(so_far, one, held.book?.skew), {
      people: held.book?.people ?? [],
      muster: held.book?.muster ?? null,
    });
  // Whom the server would not write in stands here all the same.
  tonight = after(everything.filter(standing));
  const stations = held.book?.stations ?? [];
  showPeople(tonight.people, stations, (person) => outbox.canUndo(person, held));
  showBriefings(tonight.people, held.book);
  showOut(tonight, clock);
  showSlips(held, after(everything).people, (moment) => clock(moment + (held.book?.skew ?? 0)));
  offer("water-ret", "log-water", held.book?.rets ?? []);
  const listed = held.book?.stones ?? [];
  offer("stones-stone", "log-stones", listed.length ? listed : [{ id: "", name: tell("usual_stones") }]);
  offer("stones-ret", "log-stones", held.book?.rets ?? []);
  offer("trod-turn", "log-trod", held.book?.turns ?? []);
  showTurn(held.book?.turns ?? [], tonight.people);
  offer("crop-plot", "log-crop", held.book?.plots ?? []);
  offerChoices("move-lot", [
    { value: "tonight", name: tell("tonights_pull"), on: true },
    ...(held.book?.lots ?? []).map(({ id, name }) => ({ value: id, name })),
  ]);
  find("log-settle").hidden = !held.book?.to_settle;
  showState();
  tick();
}

function showState() {
  const { waiting, refused, sent, book } = held;
  const words = [trouble || signal];
  if (isOver) words.push(tell("closed"));
  else if (!book) words.push(tell("no_names"));
  if (waiting.length) words.push(tell("unsent", { count: waiting.length }));
  if (sent.length) words.push(tell("sent", { count: sent.length }));
  else if (!waiting.length) words.push(tell("nothing"));
  if (refused.length) words.push(tell("refused", { count: refused.length }));
  const line = find("log-state");
  const said = words.filter(Boolean).join(" ");
  line.dataset.state = refused.length || trouble ? "trouble" : waiting.length ? "waiting" : "sent";
  if (line.textContent !== said) line.textContent = said;
  showSignIn(signal === WORDS[SIGN_IN]);
}

const WORDS = {
  [DONE]: "",
  [SIGN_IN]: tell("sign_in_again"),
};

function showSignIn(isAsked) {
  if (!isAsked) return;
  const link = document.createElement("a");
  link.href = at.signIn;
  link.textContent = tell("sign_in");
  find("log-state").append(" ", link);
}

async function tick() {
  // The clock was set: everything is reckoned by it as it is now, then shown again.
  if (watch({ isAsking: false })) {
    await outbox.steady();
    held = await outbox.all();
  }
  showLight(find("log-light"), held.book, now(), clock);
  showHold(find("log-hold"), held, now(), clock);
}

// Offer what there is to choose from; a part without any stays away.
function offer(name, part, rows) {
  const select = find(name);
  find(part).hidden = rows.length === 0;
  const shown = [...select.options].map((one) => one.value + one.text).join();
  if (shown === rows.map((one) => one.id + one.name).join()) return;
  const chosen = select.value;
  select.replaceChildren(...rows.map(({ id, name: words }) => new Option(words, id)));
  if (rows.some((one) => String(one.id) === chosen)) select.value = chosen;
}

// Do what changes the outbox; if the phone cannot save it, say so and claim nothing.
async function saved(work) {
  try {
    await work();
    trouble = "";
  } catch (reason) {
    trouble = tell("not_saved", { why: reason?.name ?? tell("no_reason") });
    showState();
    return false;
  }
  await refresh();
  sendSoon();
  return true;
}

async function send() {
  if (isOver && !held.waiting.length) return;
  const outcome = await exchange(outbox, at, refresh);
  if (outcome === null) return;
  signal = WORDS[outcome] ?? tell(navigator.onLine ? "no_answer" : "no_signal");
  tryAgain(outcome);
  await close(outcome === DONE);
  await refresh();
}

// Taps come in quick runs: those of one second travel together.
let soon = 0;
function sendSoon(wait = SECOND_MS) {
  clearTimeout(soon);
  soon = setTimeout(send, wait);
}

// A signal that has just come back often fails at first: soon again, then less soon.
let wait = SECOND_MS;
function tryAgain(outcome) {
  wait = outcome === DONE ? SECOND_MS : Math.min(2 * wait, AGAIN_MS);
  if (outcome === AWAY && navigator.onLine && wait < AGAIN_MS) sendSoon(wait);
}

function listen() {
  onTap((person, what, data) =>
    saved(() => {
      if (what === "undo") return outbox.undo(person);
      return outbox.add(what, { person, ...data });
    }),
  );
  onHeard((person, data) => saved(() => outbox.add("heard", { person, ...data })));
  onSeen((person, what) => saved(() => outbox.add(what, { person })));
  onTurn(() => showTurn(held.book?.turns ?? [], tonight.people));
  onMending({
    mend: (key, changes) => saved(() => outbox.mend(key, changes)),
    drop: (key) => saved(() => outbox.drop(key)),
  });
  for (const form of document.querySelectorAll("form[data-kind]")) {
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      keepForm(form);
    });
  }
  // What a jump leads to is open when one is there.
  for (const jump of document.querySelectorAll(".log-jumps a")) {
    const fold = document.querySelector(jump.hash).closest("details");
    if (fold) jump.addEventListener("click", () => (fold.open = true));
  }
  find("log-send").addEventListener("click", send);
  find("log-sign-out").addEventListener("click", askToLeave);
  find("log-stay").addEventListener("click", () => (find("log-leave").hidden = true));
  find("log-leave-now").addEventListener("click", leave);
  addEventListener("online", send);
  addEventListener("offline", () => {
    signal = tell("no_signal");
    showState();
  });
  document.addEventListener("visibilitychange", async () => {
    if (document.hidden) return;
    await outbox.steady();
    await send();
  });
}

async function keepForm(form) {
  const typed = Object.fromEntries(new FormData(form));
  const { photograph, ...data } = typed;
  // Whom this page shows as here is said with the press: that is who is counted.
  if (form.dataset.kind === "trod") data.people = new FormData(form).getAll("people");
  if (form.dataset.kind === "muster") data.here = tonight.people.filter(isHere).map(nameFor);
  const bytes = photograph && (await photograph.arrayBuffer());
  if (await saved(() => outbox.add(form.dataset.kind, data, bytes))) {
    form.reset();
    find("log-said").textContent = `${clock(now())}: ${form.dataset.said}`;
  }
}

async function askToLeave() {
  held = await outbox.all();
  const unsent = held.waiting.length + held.refused.length;
  if (!unsent) {
    await leave();
    return;
  }
  find("log-leave-count").textContent = tell("here_alone", { count: unsent });
  find("log-leave").hidden = false;
}

async function leave() {
  outbox.letGo();
  await forgetNames();
  await throwAllPagesAway();
  location.assign(at.signOut);
}

// When a gathering has closed its names go, and its page is no longer kept. Only what
// the server has just said is sure: the phone's clock alone may be set to anything.
async function close(isTold) {
  for (const path of await forgetClosed(isTold && now())) {
    if (path === at.gathering) isOver = true;
    await throwPageAway(path);
  }
}

async function keep() {
  const pages = [at.gathering, at.scope];
  const page = { worker: at.worker, scope: at.scope, pages };
  return keepPage(page).catch(() => false);
}

find("log-book").hidden = false;
offerThemes(find("log-theme"));
listen();
await refresh();
setInterval(tick, SECOND_MS);
setInterval(send, AGAIN_MS);
await send();
if (isOver) find("log-kept").textContent = tell("over");
// Without a signal the page was opened from what is kept.
else find("log-kept").textContent = tell(!navigator.onLine || (await keep()) ? "kept" : "not_kept");
