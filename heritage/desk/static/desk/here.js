// Puts the phone's position into a field. Without it, the field is typed.
"use strict";

for (const line of document.querySelectorAll("[data-here]")) {
  const field = document.getElementById(line.dataset.here);
  const said = line.querySelector("[role=status]");
  if (!navigator.geolocation || !window.isSecureContext) continue;
  line.hidden = false;
  line.querySelector("button").addEventListener("click", () => {
    said.textContent = "";
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        field.value = `${coords.latitude.toFixed(5)}, ${coords.longitude.toFixed(5)}`;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      },
      () => { said.textContent = line.dataset.failed; },
      { enableHighAccuracy: true, timeout: 15000 },
    );
  });
}
