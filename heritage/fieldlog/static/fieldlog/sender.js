// Sending: oldest first, each entry answered with a receipt. A request that fails
// changes nothing here; the same entries go again, under the same keys.

import { tell } from "./texts.js";

// Few at once: a server that has just woken up answers each batch in time, and what
// it has answered need not come again.
const BATCH = 10;
const SMALL_MS = 20_000;
const PHOTOGRAPH_MS = 180_000;

// What may come of an attempt.
export const DONE = "done";
export const AWAY = "away"; // no signal, or the server does not answer
export const SIGN_IN = "sign-in"; // it answers, but not to this person

// Fetch tonight's names and send all there is to send. Two tabs never send at once.
export async function exchange(outbox, addresses, onChange) {
  const attempt = async (lock) => {
    if (!lock) return null;
    try {
      await fetchAndSend(outbox, addresses, onChange);
      return DONE;
    } catch (reason) {
      return reason instanceof NotLetIn ? SIGN_IN : AWAY;
    }
  };
  if (!navigator.locks) return attempt(true);
  const name = `field-send ${addresses.send}`;
  return navigator.locks.request(name, { ifAvailable: true }, attempt);
}

class NotLetIn extends Error {}

let batchSize = BATCH;

async function fetchAndSend(outbox, addresses, onChange) {
  let token = await renew(outbox, addresses, onChange);
  let most = batchSize;
  let sentSome = false;
  for (;;) {
    const { batch, photograph } = await outbox.take(most);
    const takenAt = new Date().toISOString();
    if (!batch.length) break;
    // Should this one fail, the next attempt asks for half as much.
    batchSize = Math.max(1, Math.floor(batch.length / 2));
    const answer = await post(addresses.send, token, { takenAt, batch, photograph });
    batchSize = BATCH;
    if (answer.why && batch.length > 1) {
      // What cannot be read as a whole is sent one by one, to find the one at fault.
      most = 1;
      continue;
    }
    const refused = { key: batch[0].key, outcome: "refused", words: answer.why };
    const settled = await outbox.settle(answer.receipts ?? [refused]);
    if (!settled) throw new Error("The server answered something else.");
    sentSome = true;
    await onChange();
  }
  if (sentSome) token = await renew(outbox, addresses, onChange);
}

// The names come with a token for sending, so that neither a new sign-in nor an
// evening without signal leaves the page with one that no longer fits.
async function renew(outbox, { state }, onChange) {
  const asked = performance.now();
  const have = await outbox.words();
  const { token, ...book } = await ask(`${state}?have=${have}`, {}, SMALL_MS);
  const skew = Date.parse(book.now) + (performance.now() - asked) / 2 - Date.now();
  await outbox.saveBook({ ...book, skew });
  await onChange();
  return token;
}

// The server reckons from when they were taken, by the same clock as they were made.
function post(address, token, { takenAt, batch, photograph }) {
  const slips = batch.map(({ key, kind, at, data }) => ({ key, kind, at, data }));
  const letter = JSON.stringify({ sent_at: takenAt, slips });
  const headers = { "X-CSRFToken": token };
  if (!photograph) {
    headers["Content-Type"] = "application/json";
    return ask(address, { method: "POST", headers, body: letter }, SMALL_MS);
  }
  const body = new FormData();
  body.append("letter", letter);
  body.append("photograph", new Blob([photograph]), "photograph");
  return ask(address, { method: "POST", headers, body }, PHOTOGRAPH_MS);
}

async function ask(address, options, patience) {
  const answer = await fetch(address, {
    redirect: "manual",
    credentials: "same-origin",
    signal: AbortSignal.timeout(patience),
    ...options,
  });
  if (answer.ok) return answer.json();
  if (answer.type === "opaqueredirect" || [401, 403, 404].includes(answer.status)) {
    throw new NotLetIn();
  }
  if ([400, 413].includes(answer.status)) {
    const said = await answer.json().catch(() => ({}));
    return { why: said.why ?? tell("server_cannot") };
  }
  throw new Error(`The server answered ${answer.status}.`);
}
