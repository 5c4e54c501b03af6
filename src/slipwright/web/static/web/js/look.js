// The big keys of a look, and the sum worked out while one counts. The form does without.
import { append, nothingCounted, rest, sum } from "./keypad.js";

const form = document.getElementById("look-form");
if (form) begin(form);

function begin(form) {
  const find = (what) => form.querySelector(what);
  const fields = [...form.querySelectorAll("[data-count]")];
  let waiting = Number(form.dataset.waiting);
  const restKey = find("[data-rest]");
  const saidFirst = find("[data-waiting-small]").textContent;
  let chosen = fields[0];

  const counts = () => Object.fromEntries(fields.map((field) => [field.name, field.value.trim()]));

  function choose(field) {
    chosen = field;
    for (const other of fields) other.closest(".count").classList.toggle("chosen", other === field);
    restKey.textContent = field.name === "n_tried_rooted" ? form.dataset.allTried : form.dataset.allRest;
    restKey.disabled = rest(waiting, counts(), field.name) === null;
  }

  function show() {
    const now = counts();
    const { terms, left, over, typed } = sum(waiting, now);
    const said = now.n_rooted !== "" || now.n_lost !== "" || now.n_removed !== "";
    const out = find("[data-waiting-out]");
    out.textContent = over ? "?" : String(left);
    find("[data-waiting-small]").textContent = said ? form.dataset.workedOut : saidFirst;
    const words = find("[data-sum-words]");
    words.replaceChildren();
    if (!said) words.append(form.dataset.hint);
    else {
      const shown = terms.filter((term, place) => place < 2 || term);
      const strong = document.createElement("strong");
      strong.textContent = over
        ? `${shown.join(" + ")} = ${typed}: ${over} ${form.dataset.tooMany}`
        : `${[...shown, left].join(" + ")} = ${waiting}.`;
      words.append(strong, over ? "" : ` ${form.dataset.addsUp}`);
    }
    mark([...terms, left], over);
    find("[data-sum]").classList.toggle("over", over > 0);
    find("[data-save-words]").textContent = nothingCounted(now) && !seen() ? form.dataset.noChange : form.dataset.save;
    const why = find("[data-cause]");
    why.hidden = !Number(now.n_lost);
    if (why.hidden) for (const radio of why.querySelectorAll("input")) radio.checked = false;
    choose(chosen);
  }

  const seen = () => Boolean(form.querySelector(".choice input:checked"));

  function mark(numbers, over) {
    const row = find("[data-marks]");
    row.replaceChildren();
    const all = numbers.reduce((n, more) => n + more, 0);
    if (all > 60) return;
    const signs = find("[data-mark-signs]").content.children;
    let place = 0;
    numbers.forEach((number, kind) => {
      for (let n = 0; n < number; n += 1) {
        const one = document.createElement("span");
        one.className = `tally ${["rooted", "lost", "removed", "waiting"][kind]}`;
        if (over && place >= waiting) one.classList.add("over");
        one.append(signs[kind].cloneNode(true));
        row.append(one);
        place += 1;
      }
    });
  }

  find("[data-keys]").hidden = false;
  find("[data-sum]").hidden = false;
  for (const field of fields) {
    field.inputMode = "none"; // the keys below are the keyboard; a real one still types
    field.addEventListener("focus", () => choose(field));
    field.addEventListener("input", show);
  }
  find("[data-keys]").addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (!key) return;
    if (key.dataset.figure) chosen.value = append(chosen.value, key.dataset.figure);
    else if (key === restKey) chosen.value = rest(waiting, counts(), chosen.name) ?? chosen.value;
    else chosen.value = "";
    show();
  });
  for (const fold of form.querySelectorAll("details")) {
    fold.addEventListener("toggle", () => {
      const first = fold.querySelector("[data-count]");
      if (first) choose(fold.open ? first : fields[0]);
    });
  }
  // a choice that was a slip of the thumb is taken back by pressing it again
  for (const radio of form.querySelectorAll('input[type="radio"]')) {
    radio.addEventListener("pointerdown", () => { radio.dataset.was = radio.checked ? "1" : ""; });
    radio.addEventListener("click", () => { if (radio.dataset.was) { radio.checked = false; radio.dataset.was = ""; show(); } });
  }
  form.addEventListener("change", show);
  // this phone has looks the page does not know of
  form.addEventListener("recount", () => { waiting = Number(form.dataset.waiting); show(); });
  show();
}
