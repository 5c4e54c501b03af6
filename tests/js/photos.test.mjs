// What the photos of a phone are made and sent as.
import assert from "node:assert/strict";
import test from "node:test";

import { fitted, moment, send, sha256 } from "../../src/slipwright/web/static/web/js/photos.js";

test("a long picture is shrunk to its longest side, and a short one left as it is", () => {
  assert.deepEqual(fitted(5120, 100), { width: 2560, height: 50 });
  assert.deepEqual(fitted(100, 5120), { width: 50, height: 2560 });
  assert.deepEqual(fitted(10, 20), { width: 10, height: 20 });
  assert.deepEqual(fitted(9000, 1), { width: 2560, height: 1 });
});

test("a moment carries the phone's offset from UTC", () => {
  const at = new Date("2026-11-27T09:00:05.700Z");
  assert.equal(moment(at, 0), "2026-11-27T09:00:05+00:00");
  assert.equal(moment(at, -210), "2026-11-27T05:30:05-03:30");
  assert.equal(moment(at, 345), "2026-11-27T14:45:05+05:45");
});

test("the hash is written as the garden writes it", async () => {
  assert.equal(await sha256(new TextEncoder().encode("abc")), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
});

const locks = { request: (_, __, work) => work({}) };

/** As much of IndexedDB as the photos use. */
function database(photos) {
  const kept = new Map(photos.map((one) => [one.id, one]));
  const store = {
    getAll: () => later([...kept.values()]),
    put: (one) => kept.set(one.id, one),
    delete: (id) => kept.delete(id),
  };
  const later = (result) => {
    const request = { result };
    queueMicrotask(() => request.onsuccess?.());
    return request;
  };
  const transaction = () => {
    const turn = { objectStore: () => store };
    queueMicrotask(() => turn.oncomplete?.());
    return turn;
  };
  return { transaction, kept };
}

const photo = (more = {}) => ({
  id: "p1", garden: "g", member: "wren", about: "K7M2QX4G", at: "2026-11-27T09:00:05+00:00", sha256: "ab", blob: new Blob(["x"]), state: "saved", ...more,
});

/** A garden that answers: who is signed in, and then each photo by `answer`. */
function garden(answer, who = { garden: "g", member: "wren", csrf: "token" }) {
  const sent = [];
  const fetch = async (where, asked) => {
    if (where === "/sync") return Response.json(who);
    sent.push(asked);
    return answer(asked);
  };
  return { fetch, sent };
}

const sendTo = async (photos, answer, who) => {
  const here = database(photos);
  const { fetch, sent } = garden(answer, who);
  await send(here, { fetch, locks });
  return { state: [...here.kept.values()].map((one) => one.state), sent };
};

test("a photo is marked received only when the answer names it", async () => {
  const named = await sendTo([photo()], () => Response.json({ id: "p1", status: "received" }));
  assert.deepEqual(named.state, ["received"]);
  assert.equal(named.sent[0].headers["X-CSRFToken"], "token");
  assert.equal(named.sent[0].body.get("about"), "K7M2QX4G");
});

test("without signal, signed out, or with a full disk it waits on", async () => {
  for (const answer of [
    () => { throw new TypeError("no signal"); },
    () => Response.json({ error: "signed-out" }, { status: 401 }),
    () => Response.json({ error: "full" }, { status: 503 }),
    () => Response.json({ error: "token" }, { status: 403 }),
    () => Response.json({ error: "not-yet" }, { status: 409 }),
    () => new Response("<html>", { headers: { "Content-Type": "text/html" } }),
  ]) assert.deepEqual((await sendTo([photo()], answer)).state, ["saved"]);
});

test("one that is refused is kept and marked, and holds up none behind it", async () => {
  const answer = ({ body }) => (body.get("id") === "p1"
    ? Response.json({ error: "refused", reason: "must be a picture" }, { status: 422 })
    : Response.json({ id: "p2", status: "received" }));
  assert.deepEqual((await sendTo([photo(), photo({ id: "p2" })], answer)).state, ["refused", "received"]);
});

test("another member's photo is not sent", async () => {
  const told = await sendTo([photo({ member: "ike" })], () => Response.json({ id: "p1" }));
  assert.deepEqual([told.state, told.sent.length], [["saved"], 0]);
});

test("a picture the form brought itself under the same id is there, and not refused", async () => {
  const told = await sendTo([photo()], () => Response.json({ error: "clash", reason: "already there" }, { status: 409 }));
  assert.deepEqual(told.state, ["received"]);
});

test("one at which the garden breaks stays saved, and the others go on", async () => {
  for (const status of [400, 500]) {
    const answer = ({ body }) => (body.get("id") === "p1"
      ? new Response("<html>", { status, headers: { "Content-Type": "text/html" } })
      : Response.json({ id: "p2", status: "received" }));
    assert.deepEqual((await sendTo([photo(), photo({ id: "p2" })], answer)).state, ["saved", "received"]);
  }
});
