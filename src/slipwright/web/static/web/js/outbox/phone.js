// Every page, on a phone: how much waits to be sent, what was saved last, whether there is signal.
import { batchIn, forgetWalk, keepWalk } from "./going_on.js";
import { isKept, lastNumber, madeAt, me, page, theStore } from "./here.js";
import { forgetSaved, isHalfWritten, recordHere, rememberSaved, savedLast } from "./recording.js";
import { send } from "./sender.js";
import { onChange } from "./store.js";
import { sendWhenever } from "./triggers.js";
import { undo, UNDO_MS } from "./undo.js";
import { keepPages, worker } from "./worker.js";
import { photosWaiting } from "../photo_store.js";
import { cloned, fill, timeOf, word } from "./words.js";

const announce = (words) => { document.getElementById("phone-says").textContent = words; };
const strips = document.getElementById("strips");

/** Put a strip above the page; of one kind there is one, and it changes in place. */
function strip(name, texts) {
  const there = document.getElementById(`strip-${name}`);
  if (there) return fill(there, texts);
  const shown = cloned(`phone-${name}`, texts);
  shown.id = `strip-${name}`;
  strips.append(shown);
  return shown;
}
const away = (name) => document.getElementById(`strip-${name}`)?.remove();

/** Send what waits, and say what stands in the way. */
async function sendNow(more = {}) {
  const store = await theStore();
  const told = await send({ store, ...more });
  if (told.state === "not-allowed") strip("caution", { words: word("send-not-allowed") });
  else if (told.state === "done") away("caution");
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
  const isAside = lot.some((one) => one.state === "set-aside");
  const texts = { words: saved.words, state: isAside && !saved.undone ? word("saved-aside") : state };
  let shown = document.getElementById("strip-saved");
  if (shown?.dataset.form === saved.form) fill(shown, texts);
  else {
    away("saved");
    shown = strip("saved", texts);
    shown.dataset.form = saved.form;
    const button = shown.querySelector("button");
    button.addEventListener("click", () => { button.disabled = true; takeBack(store, saved); });
    setTimeout(() => shown.querySelector("button")?.remove(), UNDO_MS - (Date.now() - saved.at));
  }
  // what was set aside counts nowhere: there is nothing to undo
  shown.querySelector("[data-aside]").hidden = !isAside || Boolean(saved.undone);
  if (saved.undone || isAside || !lot.length) shown.querySelector("button")?.remove();
}

async function takeBack(store, saved) {
  const words = word("taken-back", { what: saved.words });
  const records = await undo({ store }, me, saved.form, words);
  if (!records.length) {
    await count();
    return;
  }
  rememberSaved({ ...saved, words, undone: true, at: Date.now() });
  announce(words);
  if (navigator.onLine) await Promise.race([sendNow().catch(() => {}), new Promise((go) => { setTimeout(go, 1500); })]);
  location.assign(records[0]?.page ?? location.href);
}

/** Photos are sent by their own script, which comes along where any wait. */
async function sendPhotos() {
  if (!await photosWaiting(me)) return;
  const { openPhotos, send: sendOut } = await import("../photos.js");
  await sendOut(await openPhotos());
}

/** A newer version is offered while nothing is half written: it loads the page anew. */
let update = null;
function offerUpdate() {
  if (!update || isHalfWritten()) away("update");
  else if (!document.getElementById("strip-update")) strip("update", {}).querySelector("button").addEventListener("click", update);
}

/** Whoever signs out is told what waits, and that it stays. */
function mindSignOut() {
  for (const form of document.querySelectorAll('form[action$="/sign-out"]')) {
    form.addEventListener("submit", async (event) => {
      if (form.dataset.sure) return;
      event.preventDefault();
      const store = await theStore().catch(() => null);
      const n = store ? await waiting(store) : 0;
      const photos = await photosWaiting(me).catch(() => 0);
      const go = () => {
        form.dataset.sure = "1";
        forgetSaved();
        forgetWalk();
        form.requestSubmit(event.submitter);
      };
      if (!n && !photos) {
        go();
        return;
      }
      document.getElementById("sign-out-waits")?.remove();
      const words = [n && word("sign-out-waits", { n }), photos && word("photos-wait", { n: photos })].filter(Boolean).join(" ");
      const told = cloned("phone-sign-out", { words });
      told.id = "sign-out-waits";
      told.querySelector("[data-send]").addEventListener("click", async () => {
        await sendNow().catch(() => {});
        await sendPhotos().catch(() => {});
        go();
      });
      told.querySelector("[data-go]").addEventListener("click", go);
      form.after(told);
      told.focus();
    });
  }
}

const stickPages = (plants) => plants.map((plant) => `/stick?plant=${encodeURIComponent(plant)}`);

/**
 * Today shows the walk: keep it, and the pages of it, for where there is no signal. The list of plants to
 * stick from: keep the page of each.
 */
function minePages() {
  if (isKept) return;
  if (location.pathname === "/stick") {
    const plants = [...document.querySelectorAll('select[name="plant"] option')].map((one) => one.value);
    keepPages(stickPages(plants.filter(Boolean)));
  }
  if (location.pathname !== "/") return;
  const links = [...document.querySelectorAll("main a[href]")].map((link) => link.getAttribute("href"));
  if (!location.search) keepWalk(me, links.filter((link) => link.includes("round=1") && batchIn(link)));
  const plants = links.filter((link) => link.startsWith("/plants/"));
  const named = plants.map((link) => decodeURIComponent(link.slice("/plants/".length).replace(/[?#].*$/, "")));
  keepPages(["/", "/outbox", "/batches", "/stick", ...links.filter((link) => link.startsWith("/batches")), ...plants, ...stickPages(named)]);
}

async function begin() {
  if (isKept) {
    for (const old of document.querySelectorAll(".saved")) old.remove();
    const name = "missing" in page ? "missing" : "no-signal";
    strip(name, { words: word(name, { time: timeOf(madeAt) }) });
  }
  onChange(count);
  const formsTaken = () => document.dispatchEvent(new Event("slipwright:forms-taken"));
  if (!me) {
    formsTaken();
    await count();
    return;
  }
  const sendSoon = sendWhenever(sendNow);
  document.addEventListener("send-now", async (event) => event.detail(await sendSoon({ anyway: true })));
  recordHere(sendSoon, announce);
  mindSignOut();
  formsTaken();
  await count();
  const ready = worker({
    mayUpdate: async () => !isHalfWritten() && (await theStore().catch(() => ({ writing: 0 }))).writing === 0,
    offer: (change) => { update = change; offerUpdate(); },
  });
  for (const happened of ["input", "change", "click"]) document.addEventListener(happened, offerUpdate);
  await sendSoon({ known: isKept ? Infinity : lastNumber }).catch(() => {});
  sendPhotos().catch(() => {});
  if (await ready) minePages();
}

begin();
