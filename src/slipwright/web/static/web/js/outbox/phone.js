// Every page, on a phone: how much waits to be sent, what was saved last, whether there is signal.
import { batchIn, forgetWalk, keepWalk } from "./going_on.js";
import { isKept, madeAt, me, page, theStore } from "./here.js";
import { forgetSaved, recordHere, rememberSaved, savedLast } from "./recording.js";
import { send } from "./sender.js";
import { onChange } from "./store.js";
import { sendWhenever } from "./triggers.js";
import { undo, UNDO_MS } from "./undo.js";
import { keepPages, worker } from "./worker.js";
import { cloned, timeOf, word } from "./words.js";

const announce = (words) => { document.getElementById("phone-says").textContent = words; };
const strips = document.getElementById("strips");

/** Put a strip above the page; of one kind there is one. */
function strip(name, texts) {
  document.getElementById(`strip-${name}`)?.remove();
  const shown = cloned(`phone-${name}`, texts);
  shown.id = `strip-${name}`;
  strips.append(shown);
  return shown;
}
const away = (name) => document.getElementById(`strip-${name}`)?.remove();

/** Send what waits, and say what stands in the way. */
async function sendNow() {
  const store = await theStore();
  const told = await send({ store });
  if (told.state === "signed-out") {
    const n = await waiting(store);
    if (n) strip("sign-in", { words: word("sign-in-to-send", { n }) });
  } else if (told.state !== "sending") away("sign-in");
  if (told.received) announce(word("received-n", { n: told.received }));
  return told;
}

const mine = (records) => records.filter((one) => one.garden === me.garden && one.member === me.member);
const unsent = (records) => records.filter((one) => one.state === "saved");

async function waiting(store) {
  const records = await store.everything();
  return unsent(me ? mine(records) : records).length;
}

/** Show how many wait to be sent; on the page for signing in, how many wait for whoever made them. */
async function count() {
  const store = await theStore().catch(() => null);
  if (!store) return;
  const n = await waiting(store);
  if (!me) {
    if (n && document.getElementById("strips")) strip("since", { words: word("wait-for-sign-in", { n }) });
    return;
  }
  const link = document.querySelector("[data-unsent]");
  const aside = mine(await store.everything()).filter((one) => one.state === "set-aside").length;
  link.hidden = false;
  link.classList.toggle("waits", n + aside > 0);
  link.querySelector("[data-unsent-n]").textContent = String(n);
  link.setAttribute("aria-label", [word("unsent", { n }), aside ? word("aside", { n: aside }) : ""].filter(Boolean).join(", "));
  await showSaved(store);
}

/** What was saved last, and whether the garden has it; undo for half a minute. */
async function showSaved(store) {
  const saved = savedLast();
  if (!saved || Date.now() - saved.at > UNDO_MS) {
    away("saved");
    return;
  }
  const lot = mine(await store.everything()).filter((one) => one.form === saved.form);
  const has = lot.length && lot.every((one) => one.state === "received");
  const state = saved.undone ? "" : has ? word("received-at", { time: timeOf(lot.at(-1).answer.received_at) }) : word("saved");
  const shown = strip("saved", { words: saved.words, state });
  const button = shown.querySelector("button");
  if (saved.undone || !lot.length) button.remove();
  else {
    button.addEventListener("click", () => { button.disabled = true; takeBack(store, saved); });
    setTimeout(() => button.remove(), UNDO_MS - (Date.now() - saved.at));
  }
}

async function takeBack(store, saved) {
  const words = word("taken-back", { what: saved.words });
  const records = await undo({ store }, me, saved.form, words);
  rememberSaved({ ...saved, words, undone: true, at: Date.now() });
  announce(words);
  if (navigator.onLine) await Promise.race([sendNow().catch(() => {}), new Promise((go) => { setTimeout(go, 1500); })]);
  location.assign(records[0]?.page ?? location.href);
}

/** Whoever signs out is told what waits, and that it stays. */
function mindSignOut() {
  for (const form of document.querySelectorAll('form[action$="/sign-out"]')) {
    form.addEventListener("submit", async (event) => {
      if (form.dataset.sure) return;
      event.preventDefault();
      const store = await theStore().catch(() => null);
      const n = store ? await waiting(store) : 0;
      const go = () => {
        form.dataset.sure = "1";
        forgetSaved();
        forgetWalk();
        form.requestSubmit(event.submitter);
      };
      if (!n) {
        go();
        return;
      }
      document.getElementById("sign-out-waits")?.remove();
      const told = cloned("phone-sign-out", { words: word("sign-out-waits", { n }) });
      told.id = "sign-out-waits";
      told.querySelector("[data-send]").addEventListener("click", async () => {
        await sendNow();
        go();
      });
      told.querySelector("[data-go]").addEventListener("click", go);
      form.after(told);
      told.focus();
    });
  }
}

/** Today shows the walk: keep it, and the pages of it, for where there is no signal. */
function minePages() {
  if (isKept || location.pathname !== "/") return;
  const links = [...document.querySelectorAll("main a[href]")].map((link) => link.getAttribute("href"));
  if (!location.search) keepWalk(me, links.filter((link) => link.includes("round=1") && batchIn(link)));
  const pages = links.filter((link) => link.startsWith("/batches") || link.startsWith("/plants/"));
  keepPages(["/", "/outbox", "/batches", "/stick", ...pages]);
}

async function begin() {
  if (isKept) {
    for (const old of document.querySelectorAll(".saved")) old.remove();
    const name = "missing" in page ? "missing" : "no-signal";
    strip(name, { words: word(name, { time: timeOf(madeAt) }) });
  }
  onChange(count);
  if (!me) {
    await count();
    return;
  }
  const sendSoon = sendWhenever(sendNow);
  document.addEventListener("send-now", async (event) => event.detail(await sendSoon({ anyway: true })));
  recordHere(sendSoon, announce);
  mindSignOut();
  await count();
  const ready = worker({
    mayUpdate: async () => (await theStore().catch(() => ({ writing: 0 }))).writing === 0,
    offer: (update) => strip("update", {}).querySelector("button").addEventListener("click", update),
  });
  await sendSoon().catch(() => {});
  if (await ready) minePages();
}

begin();
