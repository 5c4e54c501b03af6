// Photos taken at the bench: made smaller, kept on this phone in a database of their own, and sent when
// there is signal. Where this browser cannot keep them, the form is sent as any other.
import { change, everything, openPhotos } from "./photo_store.js";

const LOCK = "slipwright-photos-send";
const LONGEST_PX = 2560;
const QUALITY = 0.85;
const EVERY_MS = 30_000;
const PATIENCE_MS = 60_000;
const OF_ONE_PHOTO = [400, 500];
/** A received photo is kept so long, so that whoever took it sees that it arrived. */
const KEEP_RECEIVED_MS = 24 * 3600 * 1000;

const body = globalThis.document?.body?.dataset ?? {};
const me = body.member ? { garden: body.garden, member: body.member } : null;

/** The sizes a picture is drawn in so that its longest side is no longer than it may be. */
export function fitted(width, height, longest = LONGEST_PX) {
  const share = Math.min(1, longest / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * share)), height: Math.max(1, Math.round(height * share)) };
}

/** A picture as it is kept: upright, shrunk, a JPEG, without where it was taken. */
async function shrunk(file) {
  const image = await createImageBitmap(file, { imageOrientation: "from-image" });
  const { width, height } = fitted(image.width, image.height);
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, width, height);
  pen.drawImage(image, 0, 0, width, height);
  image.close();
  const blob = await new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", QUALITY); });
  if (!blob) throw new Error("the canvas gave no picture");
  return blob;
}

export async function sha256(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Now, as it is written down; in a demonstration the day is the one it stands at. */
const seenAt = () => ("demo" in body ? body.today + moment().slice(10) : moment());

/** A moment in whole seconds with this phone's offset from UTC. */
export function moment(now = new Date(), offset = -now.getTimezoneOffset()) {
  const two = (n) => String(n).padStart(2, "0");
  const there = new Date(now.getTime() + offset * 60_000).toISOString().slice(0, 19);
  const ahead = Math.abs(offset);
  return `${there}${offset < 0 ? "-" : "+"}${two(Math.floor(ahead / 60))}:${two(ahead % 60)}`;
}

class Stop extends Error {}

/** Send what waits of whoever is signed in here, one sending at a time across tabs. */
export function send(database, { fetch = globalThis.fetch.bind(globalThis), locks = navigator.locks } = {}) {
  return locks.request(LOCK, { ifAvailable: true }, (lock) => lock && sendAll(database, fetch));
}

async function sendAll(database, fetch) {
  const kept = await everything(database);
  const old = kept.filter((one) => one.state === "received" && Date.now() - one.received_at > KEEP_RECEIVED_MS);
  if (old.length) await change(database, (lot) => old.forEach((one) => lot.delete(one.id)));
  const waiting = kept.filter((one) => one.state === "saved");
  if (!waiting.length) return;
  try {
    const who = await (await ask(fetch, "/sync")).json();
    for (const photo of waiting) {
      if (photo.garden === who.garden && photo.member === who.member) await sendOne(database, fetch, photo, who.csrf);
    }
  } catch (error) {
    if (!(error instanceof Stop)) throw error;
  }
}

async function sendOne(database, fetch, photo, csrf) {
  const form = new FormData();
  for (const name of ["id", "about", "at", "sha256"]) form.set(name, photo[name]);
  form.set("file", photo.blob, "photo.jpg");
  const answer = await ask(fetch, "/photos", { method: "POST", body: form, headers: { "X-CSRFToken": csrf } });
  if (!answer) return; // the garden breaks at it: it waits, and holds up none behind it
  const said = await answer.json();
  if (answer.status === 409 && said.error === "not-yet") return; // what it is of was not received yet
  // an id is made for one picture: where the garden knows it, the form brought the picture itself
  const isThere = (answer.ok && said.id === photo.id) || (answer.status === 409 && said.error === "clash");
  const told = isThere
    ? { ...photo, state: "received", received_at: Date.now() }
    : { ...photo, state: "refused", reason: said.reason ?? "" };
  await change(database, (lot) => lot.put(told));
}

async function ask(fetch, where, asked = {}) {
  let answer;
  try {
    answer = await fetch(where, {
      credentials: "same-origin", redirect: "error", cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS),
      ...asked, headers: { Accept: "application/json", ...asked.headers },
    });
  } catch {
    throw new Stop("no signal");
  }
  if (asked.method === "POST" && OF_ONE_PHOTO.includes(answer.status)) return null;
  const isJson = (answer.headers.get("Content-Type") ?? "").includes("json");
  const isTold = answer.ok || (asked.method === "POST" && [409, 413, 422].includes(answer.status));
  if (!isJson || !isTold) throw new Stop(`not now: ${answer.status}`);
  return answer;
}

const addresses = new Map();
function address(photo) {
  if (!addresses.has(photo.id)) addresses.set(photo.id, URL.createObjectURL(photo.blob));
  return addresses.get(photo.id);
}

async function show(database) {
  const kept = (await everything(database)).filter((one) => one.garden === me.garden && one.member === me.member);
  for (const place of document.querySelectorAll("[data-photos]")) {
    const list = place.querySelector("[data-photos-here]");
    const words = list.dataset;
    const isListed = (one) => one.state === "received" && document.querySelector(`a[href="/photos/${one.id}"]`);
    const here = kept.filter((one) => one.about === place.dataset.photos && !isListed(one));
    list.hidden = !here.length;
    list.replaceChildren(...here.map((photo) => {
      const item = document.createElement("li");
      const image = Object.assign(document.createElement("img"), { src: address(photo), alt: words.alt, className: "photo" });
      const state = Object.assign(document.createElement("span"), { className: "small" });
      state.textContent = photo.state === "refused" ? `${words.refused}: ${photo.reason}` : words[photo.state];
      item.append(image, state);
      if (photo.state === "refused") {
        const drop = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: words.drop });
        drop.addEventListener("click", async () => {
          await change(database, (lot) => lot.delete(photo.id));
          await show(database);
        });
        item.append(drop);
      }
      return item;
    }));
  }
}

async function take(database, place, input) {
  const [file] = input.files;
  if (!file) return;
  const list = place.querySelector("[data-photos-here]");
  const tell = (words) => {
    list.hidden = false;
    list.append(Object.assign(document.createElement("li"), { textContent: words }));
  };
  const id = crypto.randomUUID();
  const fields = input.form?.elements;
  const named = fields?.namedItem("photo_id") ?? fields?.namedItem("id");
  if (named) named.value = id; // sent with its form or by itself, it is the same photo
  let blob;
  try {
    blob = await shrunk(file);
  } catch {
    tell(list.dataset.unreadable);
    input.value = "";
    return;
  }
  const photo = {
    ...me, v: 1, id, about: place.dataset.photos, at: seenAt(), blob,
    sha256: await sha256(await blob.arrayBuffer()), saved_at: Date.now(), state: "saved",
  };
  try {
    await change(database, (lot) => lot.add(photo));
  } catch {
    tell(list.dataset.noRoom);
    return; // the picture stays chosen, and may be sent as it is
  }
  input.value = "";
  await show(database);
  dispatchEvent(new CustomEvent("slipwright:send"));
}

const takings = new Map();

/** A form is sent once its photo is kept: the photo then travels by itself. */
function waitForPhotos(event) {
  const { target: form, submitter } = event;
  const taking = [...form.elements].map((field) => takings.get(field)).filter(Boolean);
  if (!taking.length) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  Promise.all(taking).then(() => form.requestSubmit(submitter));
}

async function begin() {
  const database = await openPhotos();
  const now = async () => {
    await send(database);
    await show(database);
  };
  document.documentElement.classList.add("kept-photos");
  for (const place of document.querySelectorAll("[data-photos]")) {
    const input = place.querySelector("[data-photo]");
    input?.addEventListener("change", () => {
      const taking = take(database, place, input).catch(() => {}).finally(() => takings.delete(input));
      takings.set(input, taking);
    });
  }
  document.addEventListener("submit", waitForPhotos, true);
  addEventListener("slipwright:send", now);
  addEventListener("online", now);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) now(); });
  setInterval(() => { if (!document.hidden) now(); }, EVERY_MS);
  await now();
}

const mayKeep = me && globalThis.isSecureContext && globalThis.indexedDB && crypto.subtle && navigator.locks;
if (mayKeep) begin().catch(() => document.documentElement.classList.remove("kept-photos"));
