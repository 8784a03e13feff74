// What makes the page open without a signal, and how it is thrown away again.

const PAGES = "field-pages";
const PARTS = "field-parts";

// Keep this page, the list of pages, and everything this page is made of.
export async function keepPage({ worker, scope, pages }) {
  if (!("serviceWorker" in navigator)) return false;
  await navigator.serviceWorker.register(worker, { scope });
  await Promise.all([navigator.serviceWorker.ready, document.fonts.ready]);
  await Promise.all([
    ...pages.map((path) => keep(PAGES, path)),
    ...partsOf(scope).map((address) => keep(PARTS, address)),
  ]);
  // Asks the phone not to clear our store when it is short of room.
  navigator.storage?.persist?.();
  return true;
}

export async function throwPageAway(path) {
  const pages = await caches.open(PAGES);
  await pages.delete(path);
}

export async function throwAllPagesAway() {
  await Promise.all([caches.delete(PAGES), caches.delete(PARTS)]);
}

async function keep(name, address) {
  const answer = await fetch(address, { redirect: "manual" });
  if (!answer.ok) return;
  const cache = await caches.open(name);
  await cache.put(address, answer);
}

// Everything the page has loaded from outside its own folder: sheets, type, scripts.
function partsOf(scope) {
  const loaded = performance.getEntriesByType("resource").map((one) => one.name);
  const here = (address) => {
    const url = new URL(address);
    return url.origin === location.origin && !url.pathname.startsWith(scope);
  };
  return [...new Set(loaded)].filter(here);
}
