// The service worker: opens the kept field pages when there is no signal.
//
// It keeps nothing of its own accord. The page decides what is kept (keep.js), and
// throws it away at closing time or when somebody signs out.

const PAGES = "field-pages";
const PARTS = "field-parts";
// A weak signal must not keep anybody waiting at the gate for longer than this.
const PATIENCE_MS = 3000;
const MARKED = /\.[0-9a-f]{12}\.\w+$/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request, url));
  else if (!request.url.startsWith(self.registration.scope)) {
    event.respondWith(part(request));
  }
});

// Fresh if the server gives it soon; else as kept. A kept page is shown as well when
// the server asks to sign in: that can wait until there is signal, tapping cannot.
async function page(request, url) {
  const pages = await caches.open(PAGES);
  return freshOr(await pages.match(url.pathname), request);
}

// What carries its own mark in its name never changes; the rest is asked for anew.
async function part(request) {
  const parts = await caches.open(PARTS);
  const kept = await parts.match(request.url);
  const isMarked = MARKED.test(new URL(request.url).pathname);
  return kept && isMarked ? kept : freshOr(kept, request);
}

async function freshOr(kept, request) {
  if (!kept) return fetch(request);
  try {
    const fresh = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    return fresh.ok ? fresh : kept;
  } catch {
    return kept;
  }
}
