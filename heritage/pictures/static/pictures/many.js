// Send photographs one by one, and show how far it is. What was sent is never sent
// again: the file's own mark is asked for first, so a lost signal costs one press.

const form = document.getElementById("many");
const files = form.querySelector("input[type=file]");
const state = document.getElementById("many-state");
const bar = document.getElementById("many-bar");
const refused = document.getElementById("many-refused");
const done = new Set();

form.addEventListener("submit", (event) => {
  if (!files.files.length || !form.checkValidity()) return;
  event.preventDefault();
  sendAll([...files.files]).catch(() => {
    state.textContent = form.dataset.again;
  });
});

async function sendAll(chosen) {
  refused.replaceChildren();
  bar.hidden = false;
  bar.max = chosen.length;
  const marks = await marksOf(chosen);
  const known = new Set(await ask(marks.filter(Boolean)));
  let left = 0;
  for (const [index, file] of chosen.entries()) {
    bar.value = index;
    state.textContent = `${form.dataset.sending} ${index + 1} / ${chosen.length}`;
    if (done.has(file) || known.has(marks[index])) continue;
    const answer = await send(file);
    if (answer.came === "refused") {
      left += 1;
      tell(`${file.name}: ${answer.why}`);
    } else {
      done.add(file);
    }
  }
  bar.value = chosen.length;
  state.textContent = "";
  if (!left) window.location.assign(form.dataset.next);
}

// A browser reckons marks only where the address is safe; elsewhere all are sent.
async function marksOf(chosen) {
  if (!window.crypto?.subtle) return chosen.map(() => "");
  const marks = [];
  for (const file of chosen) {
    const hash = await crypto.subtle.digest("SHA-256", await file.arrayBuffer());
    marks.push([...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, "0")).join(""));
  }
  return marks;
}

async function ask(marks) {
  const answer = await fetch(form.dataset.known, {
    method: "POST",
    headers: { "X-CSRFToken": form.elements.csrfmiddlewaretoken.value },
    body: JSON.stringify(marks),
  });
  return answer.ok ? (await answer.json()).known : [];
}

async function send(file) {
  const body = new FormData(form);
  body.delete(files.name);
  body.append(files.name, file);
  const answer = await fetch(form.action, {
    method: "POST",
    headers: { Accept: "application/json" },
    body,
  });
  if (!answer.ok) throw new Error(String(answer.status));
  return answer.json();
}

function tell(words) {
  const line = document.createElement("li");
  line.textContent = words;
  refused.append(line);
}
