// The bar of a programme that is being made, and the page that waits for the first one.
// Without this the page is asked for anew every few seconds.

const EVERY_MS = 700;
const MOST_MS = 8000;
// where none was ever asked for, the first one comes after a little quiet
const FIRST_MS = 3000;

/** How long to wait before asking again: longer each time nobody answered. */
export const waitAfter = (misses) => Math.min(EVERY_MS * 2 ** misses, MOST_MS);

/** Whether the page is another by now: of the programme ``plan`` that is made, or that waits for the first. */
export const isOver = (told, plan) =>
  plan === undefined ? told.working || told.asked : !told.working || String(told.plan) !== plan;

function watch(section) {
  const bar = section.querySelector("progress");
  const words = section.querySelector("[data-season-doing]");
  let misses = 0;

  async function ask() {
    let told = null;
    try {
      const answer = await fetch(section.dataset.seasonPlanning, { headers: { Accept: "application/json" } });
      told = answer.ok ? await answer.json() : null;
    } catch { /* no signal for the moment */ }
    misses = told ? 0 : misses + 1;
    if (told && isOver(told, section.dataset.seasonPlan)) {
      location.replace(section.dataset.seasonAt);
      return;
    }
    if (told && bar) {
      bar.value = Math.max(told.done, bar.value);
      if (words.textContent !== told.doing) words.textContent = told.doing;
    }
    setTimeout(ask, bar ? waitAfter(misses) : Math.max(FIRST_MS, waitAfter(misses)));
  }
  setTimeout(ask, EVERY_MS);
}

if (typeof document !== "undefined") {
  const section = document.querySelector("[data-season-planning]");
  if (section) watch(section);
}
