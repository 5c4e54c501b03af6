// The page is seen before its scripts are asked for: they lie in a template until the first paint. What is
// pressed meanwhile waits for them: sent as a plain form it would be lost without signal, and pressed once
// more when they are there it would be two records.

const PATIENCE_MS = 10_000;
/** The forms that scripts take over. */
const TAKEN_OVER = 'form[data-record], form[action$="/sign-out"]';
let pressed = null;

function hold(event) {
  if (!event.target.matches(TAKEN_OVER)) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  pressed = { form: event.target, submitter: event.submitter };
}

function goOn() {
  removeEventListener("submit", hold, true);
  if (pressed) pressed.form.requestSubmit(pressed.submitter);
  pressed = null;
}

/** The scripts do not come, or not soon: the form goes as it is, and stays a plain one. */
function goPlain() {
  if (pressed) pressed.form.dataset.plain = pressed.form.dataset.sure = "1";
  goOn();
}

function begin() {
  const scripts = document.getElementById("scripts").content.cloneNode(true);
  scripts.querySelector("script").addEventListener("error", goPlain, { once: true });
  document.body.append(scripts);
  setTimeout(goPlain, PATIENCE_MS);
}

addEventListener("submit", hold, true);
document.addEventListener("slipwright:forms-taken", goOn, { once: true });
if (document.visibilityState === "hidden") begin(); // nothing is painted in a tab that nobody sees
else requestAnimationFrame(() => setTimeout(begin));
