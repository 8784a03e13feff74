// The list of field pages, from which the app begins: keeps itself, and forgets the
// names of gatherings that have closed.

import { keepPage, throwPageAway } from "./keep.js";
import { forgetNames } from "./outbox.js";

const at = document.body.dataset;
const said = document.querySelector("#log-kept");

for (const path of await forgetNames({ closedBy: Date.now() })) {
  await throwPageAway(path);
}
const page = { worker: at.worker, scope: at.scope, pages: [at.scope] };
if (await keepPage(page).catch(() => false)) {
  said.textContent =
    "This list is kept on this phone. Open your field page as well, to keep that.";
}
