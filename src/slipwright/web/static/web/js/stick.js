// Comforts of the page for sticking. Without this the page does the same with one tap more.

/** The number a field holds, or null where it holds none. */
export function whole(text) {
  return /^[0-9]{1,6}$/.test(text.trim()) ? Number(text.trim()) : null;
}

/** The sum of the lots in words: what it comes to, and how far it is from the number at the top. */
export function sumWords(counts, n, missing, over) {
  const given = counts.filter(Boolean);
  if (!given.length) return "";
  const together = given.reduce((sum, one) => sum + one, 0);
  const sum = given.length > 1 ? `${given.join(" + ")} = ${together}` : String(together);
  if (n === null || n === together) return sum;
  return `${sum}, ${(n > together ? missing : over).replace("%n%", String(Math.abs(n - together)))}`;
}

/** What the main button says. */
export function keepWords(pattern, lotsPattern, n, lots) {
  const words = lots > 1 ? lotsPattern : pattern;
  return words.replace("%n%", String(n)).replace("%lots%", String(lots));
}

function goAtOnce() {
  const choice = document.querySelector("select[data-go-now]");
  if (!choice) return;
  let byKeys = false; // going through a list with arrow keys is not choosing
  choice.addEventListener("keydown", () => { byKeys = true; });
  choice.addEventListener("pointerdown", () => { byKeys = false; });
  choice.addEventListener("change", () => { if (choice.value && !byKeys) choice.form.requestSubmit(); });
}

function form(stick) {
  const field = (name) => stick.elements.namedItem(name);
  const number = field("n_stuck");
  const graded = ["n_upper", "n_middle", "n_lower"].map(field);
  const texts = [...stick.querySelectorAll("[data-keep-text]")];
  const plain = texts[0].textContent;
  const told = stick.querySelector("[data-sum]");

  function say() {
    const counts = graded.map((one) => whole(one.value) || 0);
    const three = field("grade").value === "three";
    const lots = three ? counts.filter(Boolean).length : 1;
    const top = whole(number.value);
    const n = top === null && three ? counts.reduce((all, one) => all + one, 0) : top;
    if (told) {
      told.textContent = three ? sumWords(counts, top, told.dataset.missing, told.dataset.over) : "";
      told.hidden = !told.textContent;
    }
    for (const text of texts) {
      text.textContent = n ? keepWords(stick.dataset.keep, stick.dataset.keepLots, n, lots) : plain;
    }
  }
  for (const key of stick.querySelectorAll("[data-step]")) {
    key.hidden = false;
    key.addEventListener("click", () => {
      number.value = String(Math.max((whole(number.value) || 0) + Number(key.dataset.step), 0) || "");
      say();
    });
  }
  for (const one of graded) one.addEventListener("input", say);
  number.addEventListener("input", say);
  stick.addEventListener("change", say);
  for (const fold of stick.querySelectorAll("[data-fold]")) {
    const said = fold.querySelector("[data-said]");
    const names = fold.dataset.fold.split(" ");
    const tell = () => {
      const chosen = [];
      for (const name of names) {
        const ticked = fold.querySelector(`[name="${name}"]:checked`);
        const list = fold.querySelector(`select[name="${name}"]`);
        if (ticked && ticked.value !== "one") chosen.push(wordOf(ticked));
        else if (list && list.value) chosen.push(list.selectedOptions[0].textContent.trim());
      }
      if (chosen.length) said.textContent = chosen.join("; ");
    };
    fold.addEventListener("change", tell);
    tell();
  }
  say();
}

function wordOf(ticked) {
  const words = ticked.nextElementSibling.cloneNode(true);
  for (const small of words.querySelectorAll("small, svg")) small.remove();
  return words.textContent.trim().toLowerCase();
}

if (typeof document !== "undefined") {
  goAtOnce();
  const stick = document.querySelector("[data-stick]");
  if (stick) form(stick);
}
