// The words of these scripts, in the reader's tongue: the page brings them in a template.

const called = (name) => document.getElementById("phone-words")?.content.querySelector(`[data-word="${name}"]`);

/** Whether there is a word of this name. */
export const hasWord = (name) => Boolean(called(name));

/** A word by its name, with its figures; `n` of one chooses the singular. */
export function word(name, figures = {}) {
  const found = called(name);
  const pattern = (String(figures.n) === "1" && found?.dataset.one) || found?.textContent || name;
  return pattern.replace(/%\((\w+)\)s/g, (_, key) => figures[key] ?? "");
}

/** Several words as one line. */
export const sentence = (words) => (
  words.map(([name, figures]) => (name === "=" ? figures.words : word(name, figures))).join(", "));

/** The time of a moment, with its day where that is not today. */
export function timeOf(moment) {
  const at = new Date(moment);
  const time = at.toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  if (at.toDateString() === new Date().toDateString()) return time;
  return `${at.toLocaleDateString(document.documentElement.lang, { day: "numeric", month: "short" })} ${time}`;
}

/** A copy of what a template holds, its marked places filled in. */
export function cloned(id, texts = {}) {
  return fill(document.getElementById(id).content.firstElementChild.cloneNode(true), texts);
}

/** Fill the marked places in; what says the same already is left alone, for it would be read out anew. */
export function fill(shown, texts) {
  for (const [name, text] of Object.entries(texts)) {
    for (const place of shown.querySelectorAll(`[data-text="${name}"]`)) {
      if (place.textContent !== text) place.textContent = text;
    }
  }
  return shown;
}
