// Forms that are kept on the phone first. Where that cannot be, the plain form goes as it always did.
import { instantText } from "./content.js";
import * as entries from "./entries.js";
import { batchIn, keptWalk, nextOf } from "./going_on.js";
import { isTyped, pageFacts } from "./facts.js";
import { lastNumber, mayKeep, me, page, theStore, today } from "./here.js";
import { Said, Wrong } from "./said.js";
import { sealed } from "./seal.js";
import { sticking } from "./sticking.js";
import { doneOn, isOfWalk, sinceThePage, standing } from "./sums.js";
import { sendInBackground } from "./triggers.js";
import { cloned, sentence, timeOf, word } from "./words.js";

/** Somebody at a bench does not wait longer than this for the garden to answer. */
const WAIT_MS = 1500;
/** Whoever stuck a batch wants its labels next, and those come from the garden. */
const WAIT_FOR_LABELS_MS = 4000;
/** A picture is large, and is lost with the page. */
const WAIT_FOR_PHOTO_MS = 60_000;
const SAVED = "slipwright-saved";
const ASKED = "slipwright-asked-to-stay";
const makers = { ...entries, sticking };

const sleep = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

/** Take over the forms of this page; `send` sends what waits, `announce` says something aloud. */
export function recordHere(send, announce) {
  for (const form of document.querySelectorAll("form[data-record]")) {
    form.addEventListener("submit", (event) => onSubmit(event, send, announce));
  }
  freshDays();
  document.addEventListener("visibilitychange", freshDays);
  addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
  if (mayKeep()) showSince();
}

async function onSubmit(event, send, announce) {
  const { target: form, submitter } = event;
  if (form.dataset.plain || !mayKeep()) {
    form.dataset.plain = "1"; // it is on its way: pressed once more it is the same record
    return;
  }
  event.preventDefault();
  if (form.dataset.busy) return;
  form.dataset.busy = "1";
  let lot = null;
  try {
    lot = await keep(form, submitter);
  } catch (error) {
    delete form.dataset.busy;
    if (error instanceof Wrong) tell(form, word(`wrong-${error.rule}`), error.field);
    else await fallBack(form, submitter, error);
    return;
  }
  if (lot) await leave(form, lot, send, announce);
  else delete form.dataset.busy;
}

/** It is kept: whatever happens now, the plain form must not go, for it would be a record of its own. */
async function leave(form, lot, send, announce) {
  try {
    const words = [lot[0].words, await photoBeside(form, lot[0].about)].filter(Boolean).join(". ");
    rememberSaved({ form: lot[0].form, words, at: Date.now() });
    announce(word("saved"));
    sendInBackground().catch(() => {});
    askToStay().catch(() => {});
    const wait = form.dataset.record === "sticking" ? WAIT_FOR_LABELS_MS : WAIT_MS;
    if (navigator.onLine) await Promise.race([send({ anyway: true }).catch(() => {}), sleep(wait)]);
    location.assign(await goesOn(form, lot));
  } catch {
    location.assign("/outbox");
  }
}

/** Ask the browser once, at the first save, to keep what lies here. */
async function askToStay() {
  if (localStorage.getItem(ASKED)) return;
  localStorage.setItem(ASKED, "1");
  await navigator.storage?.persist?.();
}

/** Send a picture that this phone could not keep at once; says so where it could not be sent either. */
async function photoBeside(form, about) {
  const field = [...form.querySelectorAll("input[type=file]")].find((one) => one.files.length);
  if (!field) return "";
  const asked = new FormData();
  asked.set("id", form.elements.photo_id.value);
  asked.set("about", about);
  asked.set("file", field.files[0]);
  const headers = { Accept: "application/json", "X-CSRFToken": form.elements.csrfmiddlewaretoken.value };
  const answer = await fetch("/photos", {
    method: "POST", body: asked, headers, credentials: "same-origin", redirect: "error", signal: AbortSignal.timeout(WAIT_FOR_PHOTO_MS),
  }).catch(() => null);
  return answer?.ok ? "" : word("photo-not-kept");
}

/** Put what the form says into the outbox; nothing where it is asked about first. */
async function keep(form, submitter) {
  const store = await theStore();
  const facts = await factsOf(form, submitter, store);
  const pairs = [...new FormData(form)];
  if (submitter?.name) pairs.push([submitter.name, submitter.value]);
  const said = new Said(pairs);
  const { entries, words, doubts, ground } = makers[form.dataset.record](said, facts);
  const wasSo = said.text("really") || submitter?.getAttribute("formaction")?.includes("really=1");
  if (doubts.length && !wasSo) {
    ask(form, doubts, said);
    return null;
  }
  const told = [sentence(words), form.dataset.title].filter(Boolean).join(" · ");
  const about = facts.batch ?? entries[0].fields.batch ?? facts.plant ?? "";
  const address = location.pathname + location.search;
  const lot = await sealed(entries, me, { words: told, about, page: address, ground });
  await store.add(lot);
  return lot;
}

async function factsOf(form, submitter, store) {
  const facts = pageFacts(form);
  const records = await store.of(me);
  const now = facts.batch ? standing(facts, sinceThePage(records, facts.batch, lastNumber)) : facts;
  if (now.fours) now.fours = [...now.fours, ...records.filter((one) => one.kind === "sticking").map((one) => one.about.slice(0, 4))];
  if (now.batches) now.batches = now.batches.filter((batch) => !wasSeen(records, batch));
  const ticked = form.querySelector("input[type=radio]:checked");
  const chosen = submitter?.name ? submitter : ticked?.closest("label");
  return { ...now, today: today(), moment: instantText(new Date()), chosen: chosen?.textContent.trim() ?? "" };
}

/** Whether this phone looked at a batch, or potted it, since the page was made. */
const wasSeen = (records, batch) => sinceThePage(records, batch, lastNumber).some(isOfWalk);

/** Whether something typed on this page would be lost with it. */
export const isHalfWritten = () => [...document.querySelectorAll("main form[method=post]")].some(isTyped);

async function goesOn(form, lot) {
  if (form.dataset.record === "sticking") return labelsOf(lot);
  const said = form.dataset.goesOn;
  if (!new URLSearchParams(location.search).has("round")) return said || location.href;
  const records = await (await theStore()).of(me);
  return nextOf(keptWalk(me), batchIn(location.pathname), said === "/" ? "" : said, doneOn(records, today()));
}

/** The page with the labels once the garden has the batches; else the outbox, which shows their codes. */
async function labelsOf(lot) {
  const ids = new Set(lot.map((one) => one.id));
  const there = (await (await theStore()).of(me)).filter((one) => ids.has(one.id));
  if (there.some((one) => one.state !== "received")) return "/outbox";
  const stuck = lot.filter((one) => one.kind === "sticking");
  return `/stick/done?${new URLSearchParams(stuck.map((one) => ["b", one.content.fields.batch]))}`;
}

/** Ask about counts that do not add up, as the server would. */
function ask(form, doubts, said) {
  document.getElementById("doubts")?.remove();
  const section = cloned("phone-doubts");
  section.id = "doubts";
  const terms = ["n_rooted", "n_lost", "n_removed"].map((name) => said.text(name)).filter((n) => Number(n));
  const heads = section.querySelector("[data-doubts]");
  for (const { kind, there, said: n } of doubts) {
    const head = document.createElement("h2");
    head.textContent = word(`doubt-${kind}`, { terms: terms.join(` ${word("and")} `), said: n, there, days: there, n: there });
    heads.append(head);
  }
  const really = section.querySelector("[data-really]");
  really.setAttribute("form", form.id);
  const given = said.text("give_up");
  if (given) Object.assign(really, { name: "give_up", value: given, formAction: "?really=1" });
  form.before(section);
  section.scrollIntoView({ block: "start" });
  section.focus();
}

/** Say what is wrong, and lead to the field. */
function tell(form, words, name) {
  document.getElementById("phone-wrong")?.remove();
  const told = cloned("phone-caution", { words });
  told.id = "phone-wrong";
  form.before(told);
  told.scrollIntoView({ block: "center" });
  const field = name && form.elements.namedItem(name);
  if (!field) return;
  const first = field instanceof RadioNodeList ? field[0] : field;
  const fold = first.closest("details");
  if (fold) fold.open = true;
  first.focus();
}

/** The phone could not keep it: send the plain form while there is signal, else say so and stay. */
async function fallBack(form, submitter, error) {
  const isFull = error?.name === "QuotaExceededError";
  const there = await fetch("/sync", { cache: "no-store", signal: AbortSignal.timeout(5000) }).catch(() => null);
  if (there) {
    form.dataset.plain = "1";
    form.requestSubmit(submitter);
  } else tell(form, word(isFull ? "phone-is-full" : "not-kept"));
}

/** A page made on another day shows the day it is now, where nobody chose one. */
function freshDays() {
  const was = page.shownDay ?? page.today;
  const now = today();
  for (const field of document.querySelectorAll("form[data-record] input[type=date]")) {
    if (field.max === was) field.max = now;
    if (field.value === was) field.value = now;
  }
  page.shownDay = now;
}

/** Count what this phone recorded since the page was made into the page. */
async function showSince() {
  const store = await theStore().catch(() => null);
  if (!store) return;
  const records = await store.of(me);
  for (const form of document.querySelectorAll("form[data-record]")) {
    const facts = pageFacts(form);
    if (facts.batches) {
      const left = facts.batches.filter((batch) => !wasSeen(records, batch));
      form.hidden = !left.length;
    }
    const since = facts.batch && form.dataset.waiting ? sinceThePage(records, facts.batch, lastNumber) : [];
    if (!since.length) continue;
    form.dataset.waiting = Math.max(standing(facts, since).waiting, 0);
    form.dispatchEvent(new Event("recount"));
    form.dataset.waiting = facts.waiting; // the sums start from what the page knew
    form.before(onThisPhone(since));
  }
  for (const card of document.querySelectorAll("[data-card]")) {
    const since = sinceThePage(records, card.dataset.card, lastNumber);
    if (since.length) card.append(onThisPhone(since));
  }
}

function onThisPhone(since) {
  const last = since.at(-1);
  return cloned("phone-since", { words: `${last.words} · ${timeOf(last.saved_at)}` });
}

/** What this member saved last, for as long as this tab is open. */
export function savedLast() {
  try {
    const saved = JSON.parse(sessionStorage.getItem(SAVED));
    return saved?.garden === me.garden && saved.member === me.member ? saved : null;
  } catch {
    return null;
  }
}

export const forgetSaved = () => sessionStorage.removeItem(SAVED);
/** Remember it for the strip with Undo; a browser that cannot shows the outbox alone. */
export function rememberSaved(saved) {
  try {
    sessionStorage.setItem(SAVED, JSON.stringify({ ...saved, ...me }));
  } catch { /* the record itself is kept */ }
}
