import assert from "node:assert/strict";
import { test } from "node:test";

import { sumWords } from "../../src/slipwright/web/static/web/js/stick.js";

const said = (counts, n) => sumWords(counts, n, "%n% missing", "%n% too many");

test("the sum of the lots says how far it is from the number at the top", () => {
  assert.equal(said([10, 10, 8], 30), "10 + 10 + 8 = 28, 2 missing");
  assert.equal(said([10, 12, 10], 30), "10 + 12 + 10 = 32, 2 too many");
  assert.equal(said([10, 10, 8], 28), "10 + 10 + 8 = 28");
});

test("without a number at the top the sum stands alone, and no lot says nothing", () => {
  assert.equal(said([10, 0, 8], null), "10 + 8 = 18");
  assert.equal(said([0, 0, 0], 30), "");
});
