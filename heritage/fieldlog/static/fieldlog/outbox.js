// The outbox: every entry is in the phone's own store before anything is sent, and
// leaves it only for a receipt. Nothing here knows about pages or about the network.

import { apply } from "./tonight.js";

// A clock is off by less than this without having been set.
const SLACK_MS = 60_000;
const STORES = ["entries", "photographs", "sent", "books"];
// What writes somebody in, who is known by the entry's key until the server answers.
const WRITES_IN = ["walk_in", "child"];
// What is looked at as things stand: sent again, it counts from then.
const AS_THINGS_STAND = ["child", "station"];
// What takes an entry back once it may have reached the server.
const COUNTER = { came: "struck", left: "stayed", beets: "uncount" };

// Whether an entry counts for what the page shows: one that was refused does not, but
// somebody written in is here whatever the server said of it.
export function standing(entry) {
  return !entry.refused || WRITES_IN.includes(entry.kind);
}

export async function openOutbox(gathering, watch = () => 0) {
  const db = await open();
  // Before anything is written, what was noted by a clock that was set since is moved along.
  const within = (mode, work) =>
    inTransaction(db, mode, async (at) => {
      const set = mode === "readwrite" ? watch() : 0;
      if (set) await moveAlong(at, set);
      return work(at);
    });
  const mine = (all) => all.filter((one) => one.gathering === gathering);
  let isLetGo = false;

  return {
    // Save an entry under a key of its own; it is safe once this has been awaited.
    add: (kind, data, bytes) =>
      within("readwrite", (at) => write(at, gathering, kind, data, bytes)),

    // Say everything there is for this gathering, oldest first.
    all: () =>
      within("readonly", async (at) => {
        const entries = mine(await asked(at.entries.getAll()));
        return {
          waiting: entries.filter((one) => !one.refused),
          refused: entries.filter((one) => one.refused),
          sent: mine(await asked(at.sent.getAll())),
          book: await asked(at.books.get(gathering)),
        };
      }),

    // Take the oldest entries to send. From here on they may be on the server, and
    // that is written down first: taking one back then needs a counter-entry.
    // Photographs go one at a time, and let the small entries pass.
    take: (most) =>
      within("readwrite", async (at) => {
        const waiting = mine(await asked(at.entries.getAll())).filter(
          (one) => !one.refused,
        );
        const small = waiting.filter((one) => one.kind !== "picture");
        const batch = small.length ? small.slice(0, most) : waiting.slice(0, 1);
        for (const one of batch) at.entries.put({ ...one, tried: true });
        const [first] = batch;
        const photograph =
          first?.kind === "picture" && (await asked(at.photographs.get(first.key)));
        return { batch, photograph: photograph || null };
      }),

    // Put receipts beside their entries: what is kept goes, what is refused stays.
    // Say how many found theirs.
    settle: (receipts) =>
      within("readwrite", async (at) => {
        const book = await asked(at.books.get(gathering));
        let settled = 0;
        for (const receipt of receipts) {
          const entry = await asked(at.entries.index("key").get(receipt.key));
          if (!entry) continue;
          settled += 1;
          if (receipt.outcome === "refused") {
            at.entries.put({ ...entry, refused: receipt.words });
            continue;
          }
          at.entries.delete(entry.order);
          at.photographs.delete(entry.key);
          at.sent.put({ ...entry, data: without(entry.data, "name", "text") });
          if (book) {
            Object.assign(book, apply(book, entry, book.skew));
          }
        }
        if (book) at.books.put(book);
        return settled;
      }),

    // Take back the last entry made here for somebody. What was never sent is simply
    // removed; for what may have arrived a counter-entry follows it.
    undo: (person) =>
      within("readwrite", async (at) => {
        const last = lastFor(person, [
          ...mine(await asked(at.entries.getAll())),
          ...mine(await asked(at.sent.getAll())),
        ]);
        if (!last) return;
        if (!last.tried) {
          at.entries.delete(last.order);
          return;
        }
        const store = (await asked(at.sent.get(last.key))) ? at.sent : at.entries;
        store.put({ ...last, undone: true });
        const { count } = last.data;
        await write(at, gathering, COUNTER[last.kind], { of: last.key, person, count });
      }),

    canUndo: (person, { waiting, sent }) =>
      lastFor(person, [...waiting, ...sent]) !== undefined,

    // Send a refused entry again, mended, under a new key: the old answer stands.
    mend: (key, changes) =>
      within("readwrite", async (at) => {
        const entry = await asked(at.entries.index("key").get(key));
        if (!entry) return;
        const bytes = await asked(at.photographs.get(key));
        at.entries.delete(entry.order);
        at.photographs.delete(key);
        const data = { ...entry.data, ...changes };
        const when = AS_THINGS_STAND.includes(entry.kind) ? undefined : entry.at;
        const fresh = await write(at, gathering, entry.kind, data, bytes, when);
        // What was tapped for somebody who was written in follows them to the new key.
        if (WRITES_IN.includes(entry.kind)) {
          for (const one of mine(await asked(at.entries.getAll()))) {
            at.entries.put({ ...one, data: spokenOfAs(one.data, key, fresh) });
          }
        }
      }),

    drop: (key) =>
      within("readwrite", async (at) => {
        const entry = await asked(at.entries.index("key").get(key));
        if (entry) at.entries.delete(entry.order);
        at.photographs.delete(key);
      }),

    // Nothing was noted later than now: if it seems so, the clock was set back meanwhile.
    steady: () =>
      within("readwrite", async (at) => {
        const book = await asked(at.books.get(gathering));
        const noted = mine(await asked(at.entries.getAll())).map((one) => Date.parse(one.at));
        if (book) noted.push(Date.parse(book.now) - book.skew);
        const ahead = Math.max(...noted) - Date.now();
        if (ahead > SLACK_MS) await moveAlong(at, -ahead);
      }),

    // Which briefings' words are on this phone: they need not come again.
    words: () =>
      within("readonly", async (at) => {
        const book = await asked(at.books.get(gathering));
        return (book?.briefings ?? []).map((one) => one.id);
      }),

    saveBook: async (book) => {
      if (isLetGo) return;
      await within("readwrite", async (at) => {
        const held = (await asked(at.books.get(gathering)))?.briefings ?? [];
        const briefings = book.briefings.map((one) => ({
          ...held.find(({ id }) => id === one.id),
          ...one,
        }));
        at.books.put({ ...book, briefings, gathering });
      });
    },

    // Somebody signs out: names that are still on their way are not written down,
    // or they would come back after they have been forgotten.
    letGo: () => {
      isLetGo = true;
    },
  };
}

// Count what has not been sent, of any gathering.
export async function countUnsent() {
  const db = await open();
  return inTransaction(db, "readonly", (at) => asked(at.entries.count()));
}

// Forget the names of all gatherings: somebody signs out.
export function forgetNames() {
  return forget(() => true);
}

// Forget the names of every gathering that has closed by the server's clock, in
// milliseconds. If that is not known, this phone's may say anything: then a gathering
// stays while somebody is marked here, is being counted, or has something unsent.
export function forgetClosed(told) {
  return forget((book, unsent) => {
    const closes = Date.parse(book.closes_at);
    if (told) return closes <= told;
    const isGoing = book.muster || book.people.some((one) => one.here) || unsent.length;
    return !isGoing && closes <= Date.now() + (book.skew ?? 0);
  });
}

// Entries that were not sent stay, and of the names only those that they speak of,
// until they are sent.
async function forget(isOver) {
  const db = await open();
  return inTransaction(db, "readwrite", async (at) => {
    const entries = await asked(at.entries.getAll());
    const unsentOf = (book) => entries.filter((one) => one.gathering === book.gathering);
    const closed = (await asked(at.books.getAll())).filter((book) => isOver(book, unsentOf(book)));
    for (const book of closed) {
      const unsent = unsentOf(book);
      const needed = new Set(unsent.flatMap(({ data }) => [data.person, data.reader, ...(data.here ?? [])]));
      const people = book.people.filter(
        (one) => needed.has(one.id) || needed.has(one.walk_in),
      );
      if (unsent.length) at.books.put({ ...book, people });
      else at.books.delete(book.gathering);
    }
    const gone = new Set(closed.map((book) => book.gathering));
    for (const one of await asked(at.sent.getAll())) {
      if (gone.has(one.gathering)) at.sent.delete(one.key);
    }
    return [...gone];
  });
}

// The phone's clock was set: say the times of all that waits by the clock as it is now.
async function moveAlong(at, set) {
  for (const one of await asked(at.entries.getAll())) {
    at.entries.put({ ...one, at: new Date(Date.parse(one.at) + set).toISOString() });
  }
  for (const book of await asked(at.books.getAll())) {
    at.books.put({ ...book, skew: (book.skew ?? 0) - set });
  }
}

async function write(at, gathering, kind, data, bytes, when) {
  const key = crypto.randomUUID();
  const entry = { key, gathering, kind, data, tried: false, undone: false };
  await asked(at.entries.add({ ...entry, at: when ?? new Date().toISOString() }));
  if (bytes) at.photographs.put(bytes, key);
  return key;
}

// Say the same of somebody under the key that they have now.
function spokenOfAs(data, key, fresh) {
  const renamed = { ...data };
  if (data.person === key) renamed.person = fresh;
  if (data.reader === key) renamed.reader = fresh;
  if (data.here) renamed.here = data.here.map((one) => (one === key ? fresh : one));
  return renamed;
}

function lastFor(person, entries) {
  return entries
    .filter((one) => one.data.person === person && isTakenBack(one))
    .filter((one) => !one.undone && !one.refused)
    .sort((one, other) => other.order - one.order)[0];
}

// Hearing a briefing is sealed once it is sent: till then it is simply removed.
function isTakenBack({ kind, tried }) {
  return kind in COUNTER || (kind === "heard" && !tried);
}

function without(data, ...names) {
  return Object.fromEntries(
    Object.entries(data).filter(([name]) => !names.includes(name)),
  );
}

function open() {
  const request = indexedDB.open("field", 1);
  request.onupgradeneeded = () => {
    const db = request.result;
    // The order of entries is counted, not read off a clock that may be set back.
    const entries = db.createObjectStore("entries", {
      keyPath: "order",
      autoIncrement: true,
    });
    entries.createIndex("key", "key", { unique: true });
    db.createObjectStore("photographs");
    db.createObjectStore("sent", { keyPath: "key" });
    db.createObjectStore("books", { keyPath: "gathering" });
  };
  return asked(request);
}

// Do some work in one transaction; it is on the disk before the promise is kept.
async function inTransaction(db, mode, work) {
  const transaction = db.transaction(STORES, mode, { durability: "strict" });
  const finished = new Promise((keep, fail) => {
    transaction.oncomplete = keep;
    transaction.onabort = () => fail(transaction.error);
  });
  const at = Object.fromEntries(
    STORES.map((name) => [name, transaction.objectStore(name)]),
  );
  const [result] = await Promise.all([work(at), finished]);
  return result;
}

function asked(request) {
  return new Promise((keep, fail) => {
    request.onsuccess = () => keep(request.result);
    request.onerror = () => fail(request.error);
  });
}
