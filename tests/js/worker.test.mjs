// The service worker, on a browser's caches in memory: whose pages it shows, and when.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import vm from "node:vm";

const SCRIPT = readFileSync(new URL("../../src/slipwright/web/static/web/js/sw.js", import.meta.url), "utf8");
const HERE = "http://garden";
const full = (address) => new URL(address.url ?? address, HERE).href;
const bare = (address) => full(address).replace(/\?.*$/, "");

class MemoryCache {
  kept = new Map();
  isFull = false;

  async match(asked, options) { return (await this.matchAll(asked, options))[0]; }
  async matchAll(asked, { ignoreSearch = false } = {}) {
    const as = ignoreSearch ? bare : full;
    return [...this.kept].filter(([address]) => as(address) === as(asked)).map(([, answer]) => answer.clone());
  }
  async put(asked, answer) {
    if (this.isFull) throw new DOMException("no room", "QuotaExceededError");
    this.kept.set(full(asked), answer);
  }
  async delete(asked) { return this.kept.delete(full(asked)); }
}

/** A worker; `garden` answers what it asks for. */
function worker(garden) {
  const all = new Map();
  const caches = {
    keys: async () => [...all.keys()],
    open: async (name) => { if (!all.has(name)) all.set(name, new MemoryCache()); return all.get(name); },
    delete: async (name) => all.delete(name),
    match: async (asked, { cacheName } = {}) => {
      for (const [name, cache] of all) {
        const found = (!cacheName || name === cacheName) && await cache.match(asked);
        if (found) return found;
      }
      return undefined;
    },
  };
  const heard = {};
  const asked = [];
  const scope = {
    caches, URL, Response, Promise, Date, JSON, console, queueMicrotask,
    setTimeout: (work, ms) => setTimeout(work, ms).unref(),
    location: { origin: HERE },
    addEventListener: (name, work) => { heard[name] = work; },
    fetch: async (address, options) => {
      asked.push([full(address), options?.method ?? address.method ?? "GET"]);
      return garden(full(address), options ?? address);
    },
    SLIPWRIGHT: { version: "1", files: [], words: { en: { title: "Not signed out yet" }, es: { title: "Sin cerrar" } } },
  };
  scope.self = scope;
  vm.runInNewContext(SCRIPT, scope);
  const navigate = async (address, { method = "GET", body } = {}) => {
    const request = { url: full(address), method, mode: "navigate", clone: () => ({ text: async () => body }) };
    let answer;
    const under = [];
    heard.fetch({ request, respondWith: (given) => { answer = given; }, waitUntil: (one) => under.push(one) });
    const shown = await answer;
    await Promise.all(under);
    return { status: shown.status, text: await shown.text() };
  };
  return { navigate, caches, all, asked };
}

const page = (words, { whose = "wren", status = 200, lang = "en" } = {}) => {
  const answer = new Response(`<html lang="${lang}"><body >${words}`, { status, headers: { "Content-Type": "text/html", ...(whose && { "Slipwright-For": whose }) } });
  Object.defineProperty(answer, "type", { value: "basic" });
  answer.clone = () => page(words, { whose, status, lang });
  return answer;
};
const dead = () => { throw new TypeError("no signal"); };

test("without signal the page is shown as it was kept", async () => {
  let answers = () => page("today");
  const { navigate } = worker((...asked) => answers(...asked));
  await navigate("/");
  answers = dead;
  assert.match((await navigate("/")).text, /data-kept.*today/);
});

test("a proxy that cannot reach the garden is no signal; what the garden itself says is shown", async () => {
  let answers = () => page("today");
  const { navigate } = worker((...asked) => answers(...asked));
  await navigate("/");
  for (const status of [502, 503, 504]) {
    answers = () => page("bad gateway", { whose: "", status });
    assert.match((await navigate("/")).text, /today/);
    assert.match((await navigate("/garden")).text, /bad gateway/);
  }
  answers = () => page("busy", { status: 503 });
  assert.match((await navigate("/")).text, /busy/);
});

test("a cache that fails takes nothing from what the garden answered", async () => {
  const { navigate, caches } = worker(() => page("today"));
  caches.open = async () => { throw new Error("disk"); };
  assert.match((await navigate("/")).text, /today/);
  const other = worker(() => page("today"));
  other.caches.keys = async () => { throw new Error("disk"); };
  assert.match((await other.navigate("/")).text, /today/);
});

test("a space in a question is the same whether a link or a form wrote it", async () => {
  let answers = () => page("stick sage");
  const { navigate } = worker((...asked) => answers(...asked));
  await navigate("/stick?plant=Sage%201");
  answers = dead;
  assert.match((await navigate("/stick?plant=Sage+1")).text, /data-kept.*stick sage/);
});

test("of a page with several questions the newest is shown", async () => {
  let answers = (address) => page(address.endsWith("round=1") ? "new" : "old");
  const { navigate, caches } = worker((...asked) => answers(...asked));
  await navigate("/batches/A/look?round=2");
  await navigate("/batches/A/look?round=1");
  const cache = await caches.open("slipwright-pages-wren");
  const old = `${HERE}/batches/A/look?round=2`;
  cache.kept.set(old, new Response("<body >old", { headers: { "Kept-At": "5" } }));
  answers = dead;
  assert.match((await navigate("/batches/A/look")).text, /new/);
  assert.match((await navigate("/batches/A/look?round=2")).text, /old/);
});

test("whoever comes next sees nothing of the one before, also where there is no room to say who it is", async () => {
  let answers = () => page("wren's");
  const { navigate, all } = worker((...asked) => answers(...asked));
  await navigate("/");
  all.get("slipwright-who").isFull = true;
  answers = () => page("finch's", { whose: "finch" });
  await navigate("/batches");
  assert.deepEqual([...all.keys()].filter((name) => name.includes("wren")), []);
  assert.equal(all.has("slipwright-who"), false);
});

test("signed out without signal, the pages go at once, and the garden is told before anything is shown", async () => {
  let answers = () => page("wren's", { lang: "es" });
  const { navigate, all, asked } = worker((...given) => answers(...given));
  await navigate("/");
  answers = dead;
  const told = await navigate("/sign-out", { method: "POST", body: "csrfmiddlewaretoken=t" });
  assert.match(told.text, /Sin cerrar/);
  assert.deepEqual([...all.keys()], ["slipwright-who"]);
  assert.match((await navigate("/")).text, /Sin cerrar/);
  const posted = [];
  answers = (address, { method, body }) => {
    if (method !== "POST") return posted.length ? page("sign in", { whose: "" }) : page("wren's");
    posted.push([address, body]);
    return new Response("");
  };
  asked.length = 0;
  assert.match((await navigate("/")).text, /sign in/);
  assert.deepEqual(posted, [[`${HERE}/sign-out`, "csrfmiddlewaretoken=t"]]);
  await navigate("/");
  assert.equal(posted.length, 1);
});

test("a proxy that does not reach the garden signs nobody out", async () => {
  let answers = () => page("wren's");
  const { navigate } = worker((...given) => answers(...given));
  await navigate("/");
  const posted = [];
  const proxy = () => new Response("bad gateway", { status: 502, headers: { "Content-Type": "text/html" } });
  answers = proxy;
  assert.match((await navigate("/sign-out", { method: "POST", body: "csrfmiddlewaretoken=t" })).text, /Not signed out yet/);
  answers = (address, { method, body }) => {
    if (method !== "POST") return posted.length ? page("sign in", { whose: "" }) : page("wren's");
    posted.push([address, body]);
    return new Response("");
  };
  assert.match((await navigate("/")).text, /sign in/);
  assert.deepEqual(posted, [[`${HERE}/sign-out`, "csrfmiddlewaretoken=t"]]);
});
