// What an entry does to tonight's names: the page shows the book as the server told
// it, with every entry applied that is still on its way.

export function apply(people, { kind, key, at, data }) {
  if (kind === "walk_in") return withNewcomer(people, key, at, data.name, "adult");
  if (kind === "child") return withNewcomer(people, key, at, data.name, data.age_band);
  if (kind === "counted") return people.map((one) => ({ ...one, safe: false }));
  const change = CHANGES[kind];
  if (!change) return people;
  return people.map((one) =>
    isPerson(one, data.person) ? { ...one, ...change(one, at, data) } : one,
  );
}

export function isPerson(one, said) {
  return said === one.id || (one.walk_in !== "" && said === one.walk_in);
}

export function isHere(one, now) {
  return one.arrived_at !== null && !(one.left_at && Date.parse(one.left_at) <= now);
}

// Somebody written in is known by the entry's key until the server gives a number.
export function nameFor(one) {
  return one.id || one.walk_in;
}

const CHANGES = {
  came: (one, at) => ({ arrived_at: one.arrived_at ?? at, left_at: null }),
  struck: () => ({ arrived_at: null, left_at: null }),
  left: (one, at) => ({ left_at: at }),
  stayed: () => ({ left_at: null }),
  beets: (one, at, data) => ({ beets: one.beets + data.count }),
  seen: () => ({ safe: true }),
  unseen: () => ({ safe: false }),
  // What the station asks was looked at when it was given.
  station: (one, at, data) => ({ station: data.title, station_id: data.station, not_yet: "" }),
  uncount: (one, at, data) => ({ beets: one.beets - data.count }),
};

function withNewcomer(people, key, at, name, age) {
  if (people.some((one) => one.walk_in === key)) return people;
  const stays = { arrived_at: at, left_at: null, beets: 0, safe: false };
  const newcomer = { id: "", walk_in: key, name, age, adult: age === "adult", ...stays };
  return [...people, newcomer];
}
