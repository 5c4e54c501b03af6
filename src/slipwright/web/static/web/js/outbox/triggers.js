// When what waits is sent: at the opening of a page, when the signal is back, every half minute while
// somebody looks, after each save, by a button, and by the browser itself where it can.

const EVERY_MS = 30_000;
/** Another window, or the worker, is at it: so much later this one looks what came of it. */
const LOOK_AGAIN_MS = 2000;
export const SYNC_TAG = "slipwright-outbox";

/** Call `send` at each of these moments; returns a function that calls it now. `send` says when not to. */
export function sendWhenever(send) {
  let notBefore = 0;
  const now = async ({ anyway = false, ...more } = {}) => {
    if (!anyway && Date.now() < notBefore) return { state: "later" };
    const told = await send(more);
    if (told.state === "later" && told.after) {
      notBefore = Date.now() + told.after;
      setTimeout(() => now().catch(() => {}), told.after + 100);
    }
    if (told.state === "sending") setTimeout(() => now().catch(() => {}), LOOK_AGAIN_MS);
    return told;
  };
  addEventListener("online", () => { notBefore = 0; now().catch(() => {}); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) now().catch(() => {}); });
  setInterval(() => { if (!document.hidden) now().catch(() => {}); }, EVERY_MS);
  return now;
}

/** Ask the browser to send once there is signal, though every page is closed by then. */
export async function sendInBackground() {
  const registration = await navigator.serviceWorker?.getRegistration();
  await registration?.sync?.register(SYNC_TAG).catch(() => {});
}
