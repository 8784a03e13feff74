// Day or dusk, chosen on the phone: the site's own choice needs a signal.

const PLACE = "field-theme";

export function offerThemes(group) {
  const show = (choice) => {
    if (choice) document.documentElement.dataset.theme = choice;
    else delete document.documentElement.dataset.theme;
    for (const button of group.querySelectorAll("button")) {
      button.setAttribute("aria-pressed", String(button.dataset.choice === choice));
    }
  };
  const kept = localStorage.getItem(PLACE);
  show(kept ?? document.documentElement.dataset.theme ?? "");
  group.addEventListener("click", (event) => {
    const choice = event.target.closest("button")?.dataset.choice;
    if (choice === undefined) return;
    localStorage.setItem(PLACE, choice);
    show(choice);
  });
}
