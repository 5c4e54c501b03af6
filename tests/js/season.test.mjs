// How long the page of a season waits before it asks again how far the planning has come.
import assert from "node:assert/strict";
import { test } from "node:test";
import { waitAfter } from "../../src/slipwright/web/static/web/js/season.js";

test("it asks more than once a second while it is answered", () => {
  assert.ok(waitAfter(0) < 1000);
});

test("each time nobody answers it waits longer, and never longer than eight seconds", () => {
  const waits = [0, 1, 2, 3, 4, 20].map(waitAfter);
  assert.deepEqual(waits, [...waits].sort((a, b) => a - b));
  assert.ok(waits[1] > waits[0]);
  assert.equal(waits.at(-1), 8000);
});

test("when the programme is made the page of the season is loaded, wherever the form was sent", async () => {
  const bar = { value: 0 };
  const section = {
    dataset: { seasonPlanning: "/season/progress", seasonPlan: "7", seasonAt: "/season?plan=3" },
    querySelector: (asked) => (asked === "progress" ? bar : { textContent: "" }),
  };
  const loaded = new Promise((resolve) => {
    globalThis.location = { pathname: "/season/ask", search: "", replace: resolve };
  });
  globalThis.fetch = async () => ({ ok: true, json: async () => ({ working: false }) });
  globalThis.document = { querySelector: () => section };
  await import("../../src/slipwright/web/static/web/js/season.js?watched");
  assert.equal(await loaded, "/season?plan=3");
  delete globalThis.document;
});
