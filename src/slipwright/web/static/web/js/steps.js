// Plus, minus and "all of them" beside a number; the main button then says what will be true.

const shown = document.querySelector("[data-keep]");
const words = shown?.closest("[data-words]").dataset.words;
const plain = shown?.textContent;

for (const key of document.querySelectorAll("[data-step], [data-fill]")) {
  const field = document.getElementById(key.dataset.for);
  key.hidden = false;
  field.classList.remove("middle");
  const say = () => {
    if (shown) shown.textContent = Number(field.value) ? words.replace("%n", field.value) : plain;
  };
  key.addEventListener("click", () => {
    const now = Number(field.value) || 0;
    field.value = key.dataset.fill ?? String(Math.max(now + Number(key.dataset.step), 0));
    say();
  });
  field.addEventListener("input", say);
  say();
}
