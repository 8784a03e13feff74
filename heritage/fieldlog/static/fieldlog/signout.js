// On the sign-out page: says what has not been sent, and forgets tonight's names.

import { throwAllPagesAway } from "./keep.js";
import { countUnsent, forgetNames } from "./outbox.js";

const form = document.querySelector('form[method="post"][action$="/logout/"]');
const unsent = await countUnsent();

if (form && unsent) {
  const warning = document.createElement("p");
  warning.className = "note";
  warning.setAttribute("role", "alert");
  warning.textContent =
    `Of the field page, ${unsent} ${unsent === 1 ? "entry has" : "entries have"} not been ` +
    "sent. If you sign out, they stay on this phone until somebody who leads that " +
    "gathering signs in here.";
  form.before(warning);
}
form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  await forgetNames().catch(() => {});
  await throwAllPagesAway().catch(() => {});
  form.submit();
});
