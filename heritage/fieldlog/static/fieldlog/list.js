// The list of field pages, from which the app begins: keeps itself, and forgets the
// names of gatherings that have closed.

import { keepPage, throwPageAway } from "./keep.js";
import { forgetClosed } from "./outbox.js";

const at = document.body.dataset;
const said = document.querySelector("#log-kept");

// The day and hour are the server's, if it answers.
const answer = await fetch(at.scope, { method: "HEAD", cache: "no-store" }).catch(() => null);
for (const path of await forgetClosed(Date.parse(answer?.headers.get("Date")))) {
  await throwPageAway(path);
}
const page = { worker: at.worker, scope: at.scope, pages: [at.scope] };
if (await keepPage(page).catch(() => false)) {
  said.textContent = said.dataset.kept;
}
