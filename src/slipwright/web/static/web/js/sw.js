// The service worker: the app's files, and the pages a round needs, for where there is no signal.
// The server puts a version and the files in the place of the two lines below.
const VERSION = self.SLIPWRIGHT.version;
const FILES = self.SLIPWRIGHT.files;

const APP = `slipwright-app-${VERSION}`;
const APPS_KEPT = 2; // pages kept before an update still find the files they name
const PAGES = "slipwright-pages-";
const WHO = "slipwright-who";
const PATIENCE_MS = 3000;
const FRESH_MS = 10 * 60_000;
const MOST_PAGES = 150;
/** Pages that are kept once seen. */
const KEPT = /^\/($|batches(\/|$)|plants\/|stick$|outbox$)/;
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
  return await caches.match(request, { ignoreVary: true }) ?? fetch(request);
}

/** The network first, for so long; then the page as it was kept. */
async function page(event) {
  const { request } = event;
  const coming = fetch(request);
  const began = turn;
  const seen = coming.then((answer) => keep(request.url, answer, began));
  event.waitUntil(seen.catch(() => {}));
  const inTime = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS); });
  try {
    const answer = await Promise.race([seen, inTime]);
    if (answer) return answer;
    return await kept(request.url) ?? await seen;
  } catch {
    return await kept(request.url) ?? await missing() ?? Response.error();
  }
}

/**
 * Keep a page that was made for whoever is signed in; what was kept for anybody else goes. A page asked for
 * before somebody signed out, at the turn it `began`, changes nothing any more. Gives the page back.
 */
async function keep(address, answer, began) {
  const isPage = answer.type === "basic" && (answer.headers.get("Content-Type") ?? "").startsWith("text/html");
  if (!isPage || turn !== began) return answer;
  const whose = answer.headers.get("Slipwright-For");
  const { pathname } = new URL(address);
  if (whose && whose !== await who()) await handOver(whose);
  else if (!whose && pathname === "/sign-in") await handOver("");
  if (whose && answer.status === 200 && !answer.redirected && KEPT.test(pathname)) await put(address, answer.clone(), whose);
  return answer;
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

const bare = (address) => address.replace(/#.*$/, "");

async function found(address) {
  const whose = await who();
  if (!whose) return undefined;
  const cache = await caches.open(PAGES + whose);
  const same = await cache.match(bare(address), { ignoreVary: true });
  if (same || !SAME_WITHOUT_QUESTION.test(new URL(address).pathname)) return same;
  return cache.match(bare(address), { ignoreVary: true, ignoreSearch: true });
}

async function marked(answer, mark) {
  const text = await answer.text();
  return new Response(text.replace("<body ", `<body ${mark} `), { headers: answer.headers });
}

async function kept(address) {
  const answer = await found(address);
  return answer && marked(answer, "data-kept");
}

/** The outbox stands in for a page that is not on this phone. */
async function missing() {
  const answer = await found(new URL("/outbox", location.origin).href);
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
  if (there && Date.now() - Number(there.headers.get("Kept-At")) < FRESH_MS) return there.text();
  const answer = await fetch(address, { headers: { "Slipwright-Keep": "1" }, credentials: "same-origin" });
  if (turn !== began || answer.redirected || answer.headers.get("Slipwright-For") !== whose) throw new Error("not whose these are");
  await keep(address, answer, began);
  return answer.ok ? (await found(address))?.text() ?? "" : "";
}

async function signedOut(request) {
  const answer = await fetch(request);
  await handOver("");
  return answer;
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
  await (await caches.open(WHO)).put("/who", new Response(whose));
  const others = (await caches.keys()).filter((name) => name.startsWith(PAGES) && name !== PAGES + whose);
  await Promise.all(others.map((name) => caches.delete(name)));
}
