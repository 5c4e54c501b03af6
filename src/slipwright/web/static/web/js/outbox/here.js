// This page, this phone: whose page it is, what day it is, and whether records can be kept here.
import { openStore } from "./store.js";

export const page = typeof document === "undefined" ? {} : document.body.dataset;
const opened = Date.now();
const AN_HOUR = 3_600_000;

/** Whose page this is; null for a stranger. */
export const me = page.member ? { garden: page.garden, member: page.member } : null;
/** When the server made this page, in ms. */
export const madeAt = Number(page.now ?? 0) * 1000;
/** The number of the last record the garden had when it made this page. */
export const lastNumber = Number(page.number ?? 0);
/** Whether the page was made earlier and comes from this phone, for want of signal. */
export const isKept = "kept" in page;

/** The day in the garden: the server's, but for a page that was made a while ago. */
export function today() {
  if ("demo" in page || !(isKept || Date.now() - opened > AN_HOUR)) return page.today;
  const parts = new Intl.DateTimeFormat("en-CA", { timeZone: page.zone, year: "numeric", month: "2-digit", day: "2-digit" });
  return parts.format(new Date());
}

let opening = null;
/** The outbox of this phone; rejects where there can be none. */
export function theStore() {
  opening ??= window.isSecureContext && window.indexedDB && crypto.subtle && navigator.locks
    ? openStore() : Promise.reject(new Error("no outbox in this browser"));
  opening.catch(() => { opening = null; });
  return opening;
}

/** Whether a form may be kept here first: the page will open again without signal, and the record stays. */
export const mayKeep = () => Boolean(me && window.isSecureContext && window.indexedDB && crypto.subtle
  && navigator.locks && navigator.serviceWorker?.controller);
