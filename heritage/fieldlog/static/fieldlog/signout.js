// On the sign-out page: says what has not been sent, and forgets tonight's names.

import { throwAllPagesAway } from "./keep.js";
import { countUnsent, forgetNames } from "./outbox.js";

const form = document.querySelector('form[method="post"][action$="/logout/"]');
const unsent = await countUnsent();

if (form && unsent) {
  const warning = document.querySelector("#field-unsent");
  warning.querySelector("strong").textContent = unsent;
  warning.hidden = false;
}
form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  await forgetNames().catch(() => {});
  await throwAllPagesAway().catch(() => {});
  form.submit();
});
