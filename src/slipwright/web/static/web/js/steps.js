// Plus, minus and "all of them" beside a number; the main button then says what will be true.

const shown = document.querySelector("[data-keep]");
const { words, notYet } = shown?.closest("[data-words]").dataset ?? {};
const plain = shown?.textContent;
// roots too short: nothing is counted then, and the main button says what it will do
const tooShort = document.querySelector('input[name="roots"][value="not-yet"]');
const isNotYet = () => Boolean(tooShort?.checked);

for (const key of document.querySelectorAll("[data-step], [data-fill]")) {
  const field = document.getElementById(key.dataset.for);
  key.hidden = false;
  field.classList.remove("middle");
  const say = () => {
    key.disabled = field.disabled = isNotYet();
    if (!shown) return;
    if (isNotYet()) shown.textContent = notYet;
    else shown.textContent = Number(field.value) ? words.replace("%n", field.value) : plain;
  };
  key.addEventListener("click", () => {
    const now = Number(field.value) || 0;
    field.value = key.dataset.fill ?? String(Math.max(now + Number(key.dataset.step), 0));
    say();
  });
  field.addEventListener("input", say);
  for (const root of document.querySelectorAll('input[name="roots"]')) root.addEventListener("change", say);
  say();
}
