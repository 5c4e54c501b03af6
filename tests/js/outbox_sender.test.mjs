import assert from "node:assert/strict";
import { test } from "node:test";

import { inLots, LOCK, send, sendBehind } from "../../src/slipwright/web/static/web/js/outbox/sender.js";
import { undo } from "../../src/slipwright/web/static/web/js/outbox/undo.js";
import { FakeGarden, GARDEN, json, Locks, MemoryStore, received, waiting } from "./making.mjs";

const sending = (store, garden, locks = new Locks()) => send({ store, fetch: garden.fetch, locks });
const state = (store, id) => store.records.find((one) => one.id === id)?.state;
const refused = (status, told, headers) => () => json(status, told, headers);

test("what waits is sent and marked received, and stays on the phone", async () => {
  const [store, garden] = [new MemoryStore([waiting("a"), waiting("b")]), new FakeGarden()];
  assert.deepEqual(await sending(store, garden), { state: "done", received: 2 });
  assert.deepEqual([...garden.kept.keys()], ["a", "b"]);
  assert.deepEqual(store.records.map((one) => one.state), ["received", "received"]);
});

test("a reply that is lost leaves the record waiting, and sent again it is the same record", async () => {
  const lost = (records, garden) => { garden.receive(records); throw new TypeError("the line is dead"); };
  const [store, garden] = [new MemoryStore([waiting("a")]), new FakeGarden({ plan: [lost] })];
  assert.equal((await sending(store, garden)).state, "no-signal");
  assert.equal(state(store, "a"), "saved");
  await sending(store, garden);
  assert.equal(state(store, "a"), "received");
  assert.equal(garden.kept.size, 1);
  assert.deepEqual(garden.posted.map((one) => one.ids), [["a"], ["a"]]);
});

test("an answer that names another hash marks nothing", async () => {
  const other = ([one]) => json(200, { v: 1, answers: [{ ...received(one), sha256: "of something else" }] });
  const store = new MemoryStore([waiting("a")]);
  await sending(store, new FakeGarden({ plan: [other] }));
  assert.equal(state(store, "a"), "saved");
});

test("signed out, the queue stays and says so", async () => {
  const store = new MemoryStore([waiting("a")]);
  assert.deepEqual(await sending(store, new FakeGarden({ member: null })), { state: "signed-out" });
  assert.equal(state(store, "a"), "saved");
});

test("of another member's records none is sent", async () => {
  const store = new MemoryStore([waiting("a"), waiting("b", { member: "finch" })]);
  const garden = new FakeGarden({ member: "finch" });
  await sending(store, garden);
  assert.deepEqual([...garden.kept.keys()], ["b"]);
  assert.equal(state(store, "a"), "saved");
});

test("a token that is refused is asked for anew, once", async () => {
  const refusal = refused(403, { v: 1, error: "token" });
  const garden = new FakeGarden({ plan: [refusal] });
  const store = new MemoryStore([waiting("a")]);
  await sending(store, garden);
  assert.deepEqual(garden.posted.map((one) => one.token), ["token 1", "token 2"]);
  assert.equal(state(store, "a"), "received");
  const never = new FakeGarden({ plan: [refusal, refusal, refusal] });
  const again = new MemoryStore([waiting("a")]);
  assert.equal((await sending(again, never)).state, "refused");
  assert.equal(never.posted.length, 2);
  assert.equal(state(again, "a"), "saved");
});

test("a garden that is busy says when to come again", async () => {
  const store = new MemoryStore([waiting("a")]);
  const busy = new FakeGarden({ plan: [refused(503, { v: 1, error: "busy" }, { "Retry-After": "7" })] });
  assert.deepEqual(await sending(store, busy), { state: "later", after: 7000 });
  assert.equal(state(store, "a"), "saved");
});

test("one record that cannot be read holds up none beside it", async () => {
  const picky = (records, garden) => (
    records.some((one) => one.content.id === "c") ? json(400, { v: 1, error: "malformed", reason: "no" }) : garden.receive(records));
  const ids = ["a", "b", "c", "d", "e"];
  const garden = new FakeGarden({ plan: Array(20).fill(picky) });
  const store = new MemoryStore(ids.map((id) => waiting(id)));
  await sending(store, garden);
  assert.deepEqual(ids.map((id) => state(store, id)), ["received", "received", "set-aside", "received", "received"]);
});

test("one record the garden breaks at stays saved, and the others go on", async () => {
  const broken = (records, garden) => (
    records.some((one) => one.content.id === "b") ? json(500, { v: 1, error: "broken" }) : garden.receive(records));
  const ids = ["a", "b", "c", "d"];
  const store = new MemoryStore(ids.map((id) => waiting(id)));
  const told = await sending(store, new FakeGarden({ plan: Array(20).fill(broken) }));
  assert.deepEqual(ids.map((id) => state(store, id)), ["received", "saved", "received", "received"]);
  assert.deepEqual([told.state, told.received], ["later", 3]);
  assert.ok(store.records[1].tries > 0);
});

test("what a garden put back from a copy lacks is sent again", async () => {
  const had = (id, number) => waiting(id, { state: "received", tries: 1, answer: { ...received(waiting(id)), number } });
  const store = new MemoryStore([had("a", 7), had("b", 8), had("c", 9), had("d", 9)]);
  const garden = new FakeGarden({ number: 8 });
  assert.equal((await sending(store, garden)).received, 0);
  assert.equal(garden.posted.length, 0);
  await send({ store, fetch: garden.fetch, locks: new Locks(), known: 8 });
  assert.deepEqual([...garden.kept.keys()], ["c", "d"]);
  assert.deepEqual(store.records.map((one) => one.state), Array(4).fill("received"));
});

test("in the background it is asked for again until nothing stands in the way but a person", async () => {
  const behind = (garden, locks = new Locks()) => sendBehind({ store: new MemoryStore([waiting("a")]), fetch: garden.fetch, locks });
  const dead = { fetch: async () => { throw new TypeError("the line is dead"); } };
  await behind(new FakeGarden());
  await behind(new FakeGarden({ member: null }));
  await behind(new FakeGarden({ plan: [refused(403, { v: 1, error: "not-allowed" })] }));
  await assert.rejects(behind(dead), /no-signal/);
  await assert.rejects(behind(new FakeGarden({ plan: [refused(503, { v: 1, error: "busy" })] })), /later/);
  const locks = new Locks();
  locks.held.add(LOCK);
  await assert.rejects(behind(new FakeGarden(), locks), /sending/);
});

test("who may not record is told so, and what nobody foresaw is tried later", async () => {
  const store = new MemoryStore([waiting("a")]);
  assert.equal((await sending(store, new FakeGarden({ plan: [refused(403, { v: 1, error: "not-allowed" })] }))).state, "not-allowed");
  const odd = () => new Response("{", { status: 200, headers: { "Content-Type": "application/json" } });
  assert.equal((await sending(store, new FakeGarden({ plan: [odd] }))).state, "later");
  assert.equal(state(store, "a"), "saved");
});

test("what the garden sets aside is kept with its reason, and the rest is received", async () => {
  const one = (records) => json(200, { v: 1, answers: records.map((each, n) => (n ? received(each) : { ...received(each), status: "set-aside", reason: "no such batch" })) });
  const store = new MemoryStore([waiting("a"), waiting("b")]);
  await sending(store, new FakeGarden({ plan: [one] }));
  assert.deepEqual(store.records.map((each) => [each.state, each.answer.reason]), [["set-aside", "no such batch"], ["received", ""]]);
});

test("a page that answers in the place of the garden marks nothing", async () => {
  const page = () => new Response("<p>Welcome to the wireless network", { status: 200, headers: { "Content-Type": "text/html" } });
  const store = new MemoryStore([waiting("a")]);
  assert.equal((await sending(store, new FakeGarden({ plan: [page] }))).state, "no-signal");
  assert.equal(state(store, "a"), "saved");
});

test("one sending at a time", async () => {
  const locks = new Locks();
  locks.held.add(LOCK);
  const garden = new FakeGarden();
  assert.deepEqual(await sending(new MemoryStore([waiting("a")]), garden, locks), { state: "sending" });
  assert.equal(garden.posted.length, 0);
});

test("no lot holds more than twenty records, nor more than a request may weigh", () => {
  const many = Array.from({ length: 45 }, (_, n) => waiting(`r${n}`));
  assert.deepEqual(inLots(many).map((lot) => lot.length), [20, 20, 5]);
  const heavy = Array.from({ length: 4 }, (_, n) => waiting(`r${n}`, { content: { note: "é".repeat(30_000) } }));
  assert.deepEqual(inLots(heavy).map((lot) => lot.length), [2, 2]);
  assert.deepEqual(inLots(many).flat(), many);
});

test("undone before it is sent, a record is gone; undone after, another record takes it back", async () => {
  const whose = { garden: GARDEN, member: "wren" };
  const unsent = new MemoryStore([waiting("a"), waiting("b")]);
  await undo({ store: unsent, locks: new Locks() }, whose, "a", "Taken back");
  assert.deepEqual(unsent.records.map((one) => one.id), ["b"]);
  for (const maybe of [{ state: "received", answer: received(waiting("a")) }, { tries: 1 }]) {
    const store = new MemoryStore([waiting("a", maybe)]);
    await undo({ store, locks: new Locks() }, whose, "a", "Taken back");
    await undo({ store, locks: new Locks() }, whose, "a", "Taken back");
    const [kept, back, ...more] = store.records;
    assert.deepEqual([kept.id, back.kind, back.content.fields.withdraws, more.length], ["a", "withdrawal", "a", 0]);
  }
});

test("what was set aside counts nowhere, so there is nothing to undo", async () => {
  const store = new MemoryStore([waiting("a", { state: "set-aside", tries: 1, answer: { status: "set-aside" } })]);
  assert.deepEqual(await undo({ store, locks: new Locks() }, { garden: GARDEN, member: "wren" }, "a", "Taken back"), []);
  assert.equal(store.records.length, 1);
});
