// The page's words: the server writes them in the reader's language, and the page keeps
// them (words.py has the list).

const texts = JSON.parse(document.querySelector("#log-texts").textContent);

export const language = document.documentElement.lang;

// Say a text by its name, with what its words in braces stand for.
export function tell(name, values = {}) {
  return texts[name].replace(/\{(\w+)\}/g, (_, key) => values[key] ?? "").trim();
}
