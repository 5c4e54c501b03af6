// The service worker: the app's files, and the pages a round needs, for where there is no signal.
// The server puts a version, the files and its words before this.
const VERSION = self.SLIPWRIGHT.version;
const FILES = self.SLIPWRIGHT.files;
const WORDS = self.SLIPWRIGHT.words;

const APP = `slipwright-app-${VERSION}`;
const APPS_KEPT = 2; // pages kept before an update still find the files they name
const PAGES = "slipwright-pages-";
const WHO = "slipwright-who";
const PATIENCE_MS = 3000;
const FRESH_MS = 10 * 60_000;
const MOST_PAGES = 150;
/** Pages that are kept once seen. */
const KEPT = /^\/($|batches(\/|$)|plants\/|season$|mist$|stick$|outbox$)/;
/** Of these, the page without its question is as good. */
const SAME_WITHOUT_QUESTION = /^\/batches\/.+/;

addEventListener("install", (event) => {
  event.waitUntil(caches.open(APP).then((cache) => cache.addAll(FILES)));
});

addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const apps = (await caches.keys()).filter((name) => name.startsWith("slipwright-app-") && name !== APP);
    await Promise.all(apps.slice(0, Math.max(apps.length - (APPS_KEPT - 1), 0)).map((name) => caches.delete(name)));
    await clients.claim();
  })());
});

addEventListener("message", (event) => {
  if (event.data?.type === "update") skipWaiting();
  if (event.data?.type === "stop") keeping += 1;
  if (event.data?.type === "claim") event.waitUntil(clients.claim());
  if (event.data?.type === "keep") event.waitUntil(keepAll(event.data.addresses));
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== location.origin) return;
  if (request.method === "POST" && pathname === "/sign-out") event.respondWith(signedOut(request));
  else if (request.method !== "GET") return;
  else if (pathname.startsWith("/static/")) event.respondWith(file(request));
  else if (request.mode === "navigate") event.respondWith(page(event));
});

addEventListener("sync", (event) => {
  if (self.sendWaiting) event.waitUntil(self.sendWaiting());
});

async function file(request) {
  return await caches.match(request, { ignoreVary: true }).catch(() => undefined) ?? fetch(request);
}

/** The network first, for so long; then the page as it was kept. */
async function page(event) {
  const { request } = event;
  if (!await leftFirst()) return notSignedOut();
  const coming = fetch(request);
  const began = turn;
  // a cache that fails takes nothing from what the garden answered
  const seen = coming.then((answer) => keep(request.url, answer, began).catch(() => {}).then(() => answer));
  event.waitUntil(seen.catch(() => {}));
  const inTime = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS); });
  try {
    const answer = await Promise.race([seen, inTime]);
    if (answer) return isOfProxy(answer) ? await kept(request.url) ?? answer : answer;
    return await kept(request.url) ?? await seen;
  } catch {
    return await kept(request.url) ?? await missing() ?? Response.error();
  }
}

/** Whether the garden was not reached: what stands before it answered in its place. */
const isOfProxy = (answer) => [502, 503, 504].includes(answer.status) && !answer.headers.has("Slipwright-For");

/**
 * Keep a page that was made for whoever is signed in; what was kept for anybody else goes. A page asked for
 * before somebody signed out, at the turn it `began`, changes nothing any more.
 */
async function keep(address, answer, began) {
  const isPage = answer.type === "basic" && (answer.headers.get("Content-Type") ?? "").startsWith("text/html");
  if (!isPage || turn !== began) return;
  const whose = answer.headers.get("Slipwright-For");
  const { pathname } = new URL(address);
  if (whose && whose !== await who()) await handOver(whose);
  else if (!whose && pathname === "/sign-in") await handOver("");
  if (whose && answer.status === 200 && !answer.redirected && KEPT.test(pathname)) await put(address, answer.clone(), whose);
}

async function put(address, answer, whose) {
  const text = await answer.text();
  const headers = { "Content-Type": "text/html; charset=utf-8", "Kept-At": String(Date.now()) };
  const policy = answer.headers.get("Content-Security-Policy");
  if (policy) headers["Content-Security-Policy"] = policy;
  if (whose !== await who()) return;
  const cache = await caches.open(PAGES + whose);
  await cache.put(bare(address), new Response(text, { headers })).catch(() => {}); // no room: the page is shown all the same
  if (whose !== await who()) await caches.delete(PAGES + whose);
}

/** An address as it is kept: a link writes a space in its question otherwise than a form does. */
function bare(address) {
  const url = new URL(address, location.origin);
  url.hash = "";
  url.search = url.searchParams.toString();
  return url.href;
}

const keptAt = (answer) => Number(answer.headers.get("Kept-At"));

async function found(address) {
  const whose = await who();
  if (!whose) return undefined;
  const cache = await caches.open(PAGES + whose);
  const same = await cache.match(bare(address), { ignoreVary: true });
  if (same || !SAME_WITHOUT_QUESTION.test(new URL(address).pathname)) return same;
  const others = await cache.matchAll(bare(address), { ignoreVary: true, ignoreSearch: true });
  return others.sort((one, other) => keptAt(other) - keptAt(one))[0];
}

async function marked(answer, mark) {
  const text = await answer.text();
  return new Response(text.replace("<body ", `<body ${mark} `), { headers: answer.headers });
}

async function kept(address) {
  const answer = await found(address).catch(() => undefined);
  return answer && marked(answer, "data-kept");
}

/** The outbox stands in for a page that is not on this phone. */
async function missing() {
  const answer = await found(new URL("/outbox", location.origin).href).catch(() => undefined);
  return answer && marked(answer, "data-kept data-missing");
}

let keeping = 0; // a new list of pages to keep, or a word to stop, ends the one before
/** Keep pages and, from each, the one that comes after it in the round. */
async function keepAll(addresses) {
  const mine = keeping += 1;
  const whose = await who();
  const began = turn;
  const asked = new Set();
  const next = [...addresses];
  while (next.length && asked.size < MOST_PAGES && mine === keeping) {
    const address = new URL(next.shift(), location.origin).href;
    if (asked.has(address)) continue;
    asked.add(address);
    try {
      const text = await freshly(address, whose, began);
      const after = /data-goes-on="([^"]+round=1[^"]*)"/.exec(text)?.[1];
      if (after) next.push(after.replaceAll("&amp;", "&"));
    } catch {
      return; // no signal, or somebody else by now
    }
  }
}

async function freshly(address, whose, began) {
  const there = await found(address);
  if (there && Date.now() - keptAt(there) < FRESH_MS) return there.text();
  const answer = await fetch(address, { headers: { "Slipwright-Keep": "1" }, credentials: "same-origin" });
  if (turn !== began || answer.redirected || answer.headers.get("Slipwright-For") !== whose) throw new Error("not whose these are");
  await keep(address, answer, began);
  return answer.ok ? (await found(address))?.text() ?? "" : "";
}

/** Sign out. Without signal the phone forgets whose it was at once, and the garden is told before the next page. */
async function signedOut(request) {
  const body = await request.clone().text();
  const tongue = await tongueHere();
  let answer = null;
  try {
    answer = await fetch(request);
  } catch { /* no signal */ }
  await handOver("").catch(() => {});
  if (answer && !isOfProxy(answer)) return answer;
  leaving = { body, tongue };
  await (await caches.open(WHO)).put("/leaving", new Response(JSON.stringify(leaving))).catch(() => {});
  return notSignedOut();
}

/** The sign-out that the garden was not told of yet; null where there is none. */
let leaving;
async function leavingNow() {
  if (leaving === undefined) {
    const said = await caches.match("/leaving", { cacheName: WHO }).catch(() => undefined);
    leaving = said ? await said.json() : null;
  }
  return leaving;
}

/** Tell the garden of a sign-out that had no signal. Says whether there is none left to tell. */
async function leftFirst() {
  if (!await leavingNow()) return true;
  const headers = { "Content-Type": "application/x-www-form-urlencoded" };
  const answer = await fetch("/sign-out", { method: "POST", body: leaving.body, headers, credentials: "same-origin", redirect: "manual" })
    .catch(() => null);
  if (!answer || answer.status >= 500) return false;
  leaving = null;
  await (await caches.open(WHO)).delete("/leaving");
  return true;
}

/** The tongue of the pages kept here. */
async function tongueHere() {
  const today = await found(new URL("/", location.origin).href).catch(() => undefined);
  return /<html lang="([^"]+)"/.exec(await today?.text() ?? "")?.[1] ?? "";
}

function notSignedOut() {
  const tongue = WORDS[leaving.tongue] ? leaving.tongue : "en";
  const { title, text, again } = WORDS[tongue];
  const page = `<!doctype html><html lang="${tongue}"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>${title}</title><body><main><h1>${title}</h1><p>${text}</p><p><a href="/sign-in">${again}</a></p></main>`;
  return new Response(page, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": "default-src 'none'" } });
}

let whoNow;
let turn = 0; // goes up whenever somebody else, or nobody, is signed in
async function who() {
  if (whoNow === undefined) {
    const said = await (await caches.open(WHO)).match("/who");
    whoNow = said ? await said.text() : "";
  }
  return whoNow;
}

/** From now on pages are kept for somebody else, or nobody: what was kept for others goes. Records do not lie here. */
async function handOver(whose) {
  turn += 1;
  whoNow = whose;
  const others = (await caches.keys()).filter((name) => name.startsWith(PAGES) && name !== PAGES + whose);
  await Promise.allSettled(others.map((name) => caches.delete(name)));
  try {
    await (await caches.open(WHO)).put("/who", new Response(whose));
  } catch {
    await caches.delete(WHO); // no room: nobody is better than whoever was here before
  }
}
