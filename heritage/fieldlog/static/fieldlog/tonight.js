// What an entry does to tonight's names and to the head-count: the page shows the book
// as the server told it, with every entry applied that is still on its way. Who is here
// follows from what was tapped, in its order; no clock is asked.

const UNCOUNTED = { awaited: false, safe: false };

// Return { people, muster } as they stand after an entry.
export function apply({ people, muster }, entry, skew = 0) {
  const next = { people: peopleAfter(people, entry), muster: musterAfter(muster, entry, skew) };
  if (!next.muster) return next;
  // A new head-count begins with everybody who is here now, and none of them is seen yet;
  // nobody who is in it leaves it.
  const begun = muster ? next.people : next.people.map((one) => ({ ...one, ...UNCOUNTED }));
  next.people = begun.map((one) => ({
    ...one,
    awaited: one.awaited || isHere(one) || wasShownHere(one, entry),
  }));
  return next;
}

export function isPerson(one, said) {
  return said === one.id || (one.walk_in !== "" && said === one.walk_in);
}

export function isHere(one) {
  return one.here;
}

// A child who is here without their guardian.
export function isAlone(one, people) {
  const theirs = (other) => isHere(other) && isPerson(other, one.guardian);
  return isHere(one) && Boolean(one.guardian) && !people.some(theirs);
}

// Everybody to be counted: here at the press or since, or seen, on a list or not.
export function toCount(people) {
  return people.filter((one) => one.awaited || one.safe || isHere(one));
}

// Somebody written in is known by the entry's key until the server gives a number.
export function nameFor(one) {
  return one.id || one.walk_in;
}

const CHANGES = {
  came: (one, at) => ({ arrived_at: one.arrived_at ?? at, here: true }),
  struck: () => ({ arrived_at: null, here: false }),
  left: () => ({ here: false }),
  stayed: () => ({ here: true }),
  beets: (one, at, data) => ({ beets: one.beets + data.count }),
  seen: () => ({ safe: true }),
  unseen: () => ({ safe: false }),
  station: (one, at, data) => ({ station: data.title, station_id: data.station }),
  heard: (one, at, data) => ({ heard: [...one.heard, data.version] }),
  uncount: (one, at, data) => ({ beets: one.beets - data.count }),
};

function peopleAfter(people, { kind, key, at, data }) {
  if (kind === "walk_in") return withNewcomer(people, key, at, { name: data.name, age: "adult" });
  if (kind === "child") {
    return withNewcomer(people, key, at, { name: data.name, age: data.age_band, guardian: data.person });
  }
  if (kind === "counted") return people.map((one) => ({ ...one, safe: false }));
  const change = CHANGES[kind];
  if (!change) return people;
  return people.map((one) =>
    isPerson(one, data.person) ? { ...one, ...change(one, at, data) } : one,
  );
}

// The phone's time is shown as the server's: as far as it was out when last heard from.
function musterAfter(muster, { kind, at }, skew) {
  if (kind === "muster") return muster ?? { called_at: Date.parse(at) + skew };
  return kind === "counted" ? null : muster;
}

function wasShownHere(one, { kind, data }) {
  return kind === "muster" && (data.here ?? []).some((said) => isPerson(one, said));
}

function withNewcomer(people, key, at, { name, age, guardian = "" }) {
  if (people.some((one) => one.walk_in === key)) return people;
  const stays = { arrived_at: at, here: true, beets: 0, heard: [], ...UNCOUNTED };
  const newcomer = { id: "", walk_in: key, name, age, guardian, adult: age === "adult", ...stays };
  return [...people, newcomer];
}
