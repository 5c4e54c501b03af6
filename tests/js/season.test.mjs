// How long the page of a season waits before it asks again how far the planning has come.
import assert from "node:assert/strict";
import { test } from "node:test";
import { isOver, waitAfter } from "../../src/slipwright/web/static/web/js/season.js";

test("it asks more than once a second while it is answered", () => {
  assert.ok(waitAfter(0) < 1000);
});

test("each time nobody answers it waits longer, and never longer than eight seconds", () => {
  const waits = [0, 1, 2, 3, 4, 20].map(waitAfter);
  assert.deepEqual(waits, [...waits].sort((a, b) => a - b));
  assert.ok(waits[1] > waits[0]);
  assert.equal(waits.at(-1), 8000);
});

test("the page that waits for the first programme is another once one is asked for, or made already", () => {
  assert.ok(!isOver({ working: false, asked: false }, undefined));
  assert.ok(isOver({ working: true, plan: 3 }, undefined));
  assert.ok(isOver({ working: false, asked: true }, undefined));
});

test("the page of one that is being made is another once that one is no longer made", () => {
  assert.ok(!isOver({ working: true, plan: 7 }, "7"));
  assert.ok(isOver({ working: true, plan: 8 }, "7"));
  assert.ok(isOver({ working: false, asked: true }, "7"));
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
