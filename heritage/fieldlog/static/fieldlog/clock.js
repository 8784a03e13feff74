// A phone has two clocks: one that can be set at any moment, and one that only runs on
// (but may stand still while the phone sleeps). Where they part, the first was set.

const LEAST_MS = 5_000;

// Return a function that says by how much the clock was set since it was last asked,
// in milliseconds; `isAsking: false` only looks. While the page is out of sight a phone
// may sleep: what parts them then is no proof, and is not counted.
export function watchClock() {
  const reckon = () => Date.now() - performance.now();
  let apart = reckon();
  let wasHidden = document.hidden;
  let owed = 0;
  document.addEventListener("visibilitychange", () => (wasHidden ||= document.hidden));
  return ({ isAsking = true } = {}) => {
    const step = reckon() - apart;
    apart += step;
    if (!wasHidden && Math.abs(step) > LEAST_MS) owed += step;
    wasHidden = document.hidden;
    const set = owed;
    if (isAsking) owed = 0;
    return set;
  };
}
