// The service worker, seen from a page: registered, asked to keep pages, changed for a newer one when asked.

/**
 * Register the worker. `offer` is called with a function that changes to a newer version, when there is
 * one; it does so only while `mayUpdate` says that nothing is half written.
 */
export async function worker({ mayUpdate, offer }) {
  if (!navigator.serviceWorker) return false;
  // where the browser sends in the background, the worker can import what sends
  const type = "SyncManager" in window ? "module" : "classic";
  const address = type === "module" ? "/sw.js?sends=1" : "/sw.js";
  const registration = await navigator.serviceWorker.register(address, { type, updateViaCache: "none" })
    .catch(() => navigator.serviceWorker.getRegistration());
  if (!registration) return false; // no secure way here, or private: pages work online as ever
  const change = async (waiting) => {
    if (!await mayUpdate()) return;
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    registration.active?.postMessage({ type: "stop" }); // the newer one waits for the end of what the older is at
    waiting.postMessage({ type: "update" });
  };
  const offered = (waiting) => offer(() => change(waiting));
  if (registration.waiting && registration.active) offered(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const coming = registration.installing;
    coming.addEventListener("statechange", () => {
      if (coming.state === "installed" && registration.active) offered(coming);
    });
  });
  const { active } = await navigator.serviceWorker.ready;
  // a page that was loading while the worker began is not yet its own
  if (!navigator.serviceWorker.controller) active.postMessage({ type: "claim" });
  return true;
}

/** Ask the worker to keep these pages for where there is no signal. */
export async function keepPages(addresses) {
  const registration = await navigator.serviceWorker.ready;
  registration.active?.postMessage({ type: "keep", addresses: [...new Set(addresses)] });
}
