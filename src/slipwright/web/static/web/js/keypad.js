// The sums of the keypad, without a page: counts are text as typed, "" where nothing was said.

export const MOST_FIGURES = 6;

const number = (text) => (/^\d+$/.test(text) ? Number(text) : 0);

/** Return a count with one more figure behind it; a nought alone gives way. */
export function append(text, figure) {
  const longer = text === "0" ? figure : text + figure;
  return longer.length > MOST_FIGURES ? text : longer;
}

/** Return what still waits, what was typed, and how many that is too many. */
export function sum(waiting, { n_rooted = "", n_lost = "", n_removed = "" }) {
  const terms = [n_rooted, n_lost, n_removed].map(number);
  const typed = terms[0] + terms[1] + terms[2];
  return { terms, typed, left: Math.max(waiting - typed, 0), over: Math.max(typed - waiting, 0) };
}

/** Return what "all the rest" puts into a field, or null where it means nothing there. */
export function rest(waiting, counts, name) {
  if (name === "n_tried_rooted") return counts.n_tried || null;
  if (!["n_rooted", "n_lost", "n_removed"].includes(name)) return null;
  const { left, over } = sum(waiting, { ...counts, [name]: "" });
  return over ? null : String(left);
}

/** Return whether nothing was counted: such a look is a look all the same. */
export function nothingCounted(counts) {
  return Object.values(counts).every((text) => text === "");
}
