// The page of the outbox: what waits, what was set aside, what was received, and ways to get at it.
import { me, theStore } from "./here.js";
import { sent } from "./sender.js";
import { onChange } from "./store.js";
import { photosWaiting } from "../photo_store.js";
import { cloned, fill, hasWord, timeOf, word } from "./words.js";

const find = (name) => document.querySelector(`[data-outbox="${name}"]`);
const MOST_SHOWN = 200;

async function show() {
  const store = await theStore();
  const records = await store.of(me);
  const by = (state) => records.filter((one) => one.state === state);
  list("waiting", by("saved"), (one) => timeOf(one.saved_at));
  list("aside", by("set-aside"), why, (row, one) => {
    row.querySelector("[data-export]").addEventListener("click", () => download([one], one.id));
    row.querySelector("[data-again]").addEventListener("click", () => store.again(one.id).then(sendNow));
    const sure = row.querySelector("[data-sure]");
    row.querySelector("[data-delete]").addEventListener("click", () => { sure.hidden = false; sure.querySelector("button").focus(); });
    sure.querySelector("button").addEventListener("click", () => store.remove([one.id]));
  });
  list("received", by("received").reverse().slice(0, MOST_SHOWN), (one) => word("received-at", { time: timeOf(one.answer.received_at) }));
  find("send").hidden = !(by("saved").length + by("set-aside").length);
  find("export").hidden = !records.length;
  const photos = await photosWaiting(me).catch(() => 0);
  find("photos").textContent = photos ? word("photos-wait", { n: photos }) : "";
}

/** Why a record was set aside: in the reader's tongue where the garden told it by a word. */
function why({ answer }) {
  if (hasWord(`aside-${answer?.why}`)) return word(`aside-${answer.why}`);
  return answer?.reason ? { text: answer.reason, lang: "en" } : word("not-readable");
}

/** Show records as rows. A row that is there already stays the same, with its focus and what is open in it. */
function list(name, records, below, more = () => {}) {
  const place = find(name);
  const there = new Map([...place.children].map((row) => [row.dataset.id, row]));
  const hadFocus = place.contains(document.activeElement);
  records.forEach((one, n) => {
    let row = there.get(one.id);
    there.delete(one.id);
    if (!row) {
      row = cloned(`outbox-${name}`);
      row.dataset.id = one.id;
      more(row, one);
    }
    const said = below(one);
    fill(row, { words: one.words, below: said.text ?? said });
    if (said.lang) row.querySelector('[data-text="below"]').lang = said.lang;
    if (place.children[n] !== row) place.insertBefore(row, place.children[n] ?? null);
  });
  for (const row of there.values()) row.remove();
  if (hadFocus && !place.contains(document.activeElement)) place.closest("section").querySelector("h2").focus();
  find(`no-${name}`).hidden = records.length > 0;
  find(`n-${name}`).textContent = records.length ? String(records.length) : "";
}

/** Hand the records out as a file, as the garden reads it. */
function download(records, name) {
  const text = JSON.stringify({ v: 1, records: records.map(sent) }, null, 1);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = `slipwright-${name}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

async function sendNow() {
  const told = await new Promise((detail) => document.dispatchEvent(new CustomEvent("send-now", { detail })));
  find("told").textContent = word(`send-${told.state}`, { n: told.received ?? 0 });
}

async function askToStay() {
  const storage = navigator.storage;
  const stays = storage?.persist && (await storage.persisted() || await storage.persist());
  find("stays").textContent = word(stays ? "storage-stays" : "storage-may-go");
  const atHome = matchMedia("(display-mode: standalone)").matches;
  find("home").hidden = atHome;
}

async function begin() {
  try {
    await theStore();
  } catch {
    find("none").hidden = false;
    return;
  }
  find("here").hidden = false;
  find("send").addEventListener("click", sendNow);
  // what was received goes along: a garden put back from a copy may lack it
  find("export").addEventListener("click", async () => download(await (await theStore()).of(me), new Date().toISOString().slice(0, 10)));
  onChange(show);
  await show();
  await askToStay();
}

begin();
