import assert from "node:assert/strict";
import { test } from "node:test";

import { append, nothingCounted, rest, sum } from "../../src/slipwright/web/static/web/js/keypad.js";

test("figures stand one behind the other", () => {
  assert.equal(append("", "1"), "1");
  assert.equal(append("1", "2"), "12");
});

test("a nought alone gives way to the next figure, and a nought alone stays", () => {
  assert.equal(append("0", "5"), "5");
  assert.equal(append("", "0"), "0");
});

test("a count does not grow without end", () => {
  assert.equal(append("123456", "7"), "123456");
});

test("what still waits is worked out from what was typed", () => {
  assert.deepEqual(sum(18, { n_rooted: "5", n_lost: "1" }), { terms: [5, 1, 0], typed: 6, left: 12, over: 0 });
});

test("too many is said and never cut down", () => {
  const { left, over, typed } = sum(18, { n_rooted: "12", n_lost: "7" });
  assert.deepEqual([left, over, typed], [0, 1, 19]);
});

test("what is no number counts as nothing", () => {
  assert.equal(sum(18, { n_rooted: "five" }).left, 18);
});

test("all the rest is what the other fields leave over", () => {
  assert.equal(rest(18, { n_rooted: "9", n_lost: "6", n_removed: "" }, "n_rooted"), "12");
  assert.equal(rest(18, { n_rooted: "5", n_lost: "", n_removed: "1" }, "n_lost"), "12");
});

test("all the rest means all tried in the field of those tried, and nothing elsewhere", () => {
  assert.equal(rest(18, { n_tried: "2" }, "n_tried_rooted"), "2");
  assert.equal(rest(18, { n_tried: "" }, "n_tried_rooted"), null);
  assert.equal(rest(18, {}, "n_tried"), null);
  assert.equal(rest(18, { n_rooted: "19" }, "n_lost"), null);
});

test("a nought is a count, and empty fields are none", () => {
  assert.equal(nothingCounted({ n_rooted: "", n_lost: "" }), true);
  assert.equal(nothingCounted({ n_rooted: "0", n_lost: "" }), false);
});
