import assert from "node:assert/strict";
import { test } from "node:test";

import { IDBFactory } from "fake-indexeddb";
import FDBObjectStore from "fake-indexeddb/lib/FDBObjectStore";

import { openStore } from "../../src/slipwright/web/static/web/js/outbox/store.js";
import { received, waiting } from "./making.mjs";

const add = FDBObjectStore.prototype.add;

/** Storage for so many records. */
async function roomFor(n, work) {
  const store = await openStore(new IDBFactory());
  let there = 0;
  FDBObjectStore.prototype.add = function counted(record) {
    if (there >= n) throw new DOMException("no room", "QuotaExceededError");
    there += 1;
    return add.call(this, record);
  };
  const removed = FDBObjectStore.prototype.delete;
  FDBObjectStore.prototype.delete = function counted(key) {
    there -= 1;
    return removed.call(this, key);
  };
  try {
    await work(store);
  } finally {
    Object.assign(FDBObjectStore.prototype, { add, delete: removed });
    store.database.close();
  }
}

const ids = async (store) => (await store.everything()).map((one) => one.id);

test("a full phone makes room by what the garden has", () => roomFor(2, async (store) => {
  await store.add([waiting("a"), waiting("b")]);
  await store.settle("a", "received", received(waiting("a")));
  await store.add([waiting("c")]);
  assert.deepEqual(await ids(store), ["b", "c"]);
}));

test("a full phone that has nothing the garden has says so, and keeps all", () => roomFor(2, async (store) => {
  await store.add([waiting("a"), waiting("b")]);
  await assert.rejects(store.add([waiting("c")]), { name: "QuotaExceededError" });
  assert.deepEqual(await ids(store), ["a", "b"]);
}));

test("a database the browser closed under the page is opened anew", async () => {
  const store = await openStore(new IDBFactory());
  await store.add([waiting("a")]);
  store.database.close();
  await store.add([waiting("b")]);
  store.database.close();
  assert.deepEqual(await ids(store), ["a", "b"]);
  store.database.close();
});

test("a write that failed once is not made twice", async () => {
  const store = await openStore(new IDBFactory());
  let failed = false;
  FDBObjectStore.prototype.add = function once(record) {
    const request = add.call(this, record);
    if (failed) return request;
    failed = true;
    throw new DOMException("disk", "UnknownError");
  };
  try {
    await store.add([waiting("a")]);
    await store.add([waiting("a")]);
    assert.deepEqual(await ids(store), ["a"]);
  } finally {
    FDBObjectStore.prototype.add = add;
    store.database.close();
  }
});
