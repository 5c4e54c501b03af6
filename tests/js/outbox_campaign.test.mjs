// Whatever a phone, the line and the garden do, no record is lost, doubled or shown received too early.
// A few seeds without more said; SLIPWRIGHT_CAMPAIGN=full does 100,000 steps, and with
// SLIPWRIGHT_CAMPAIGN_TO a folder it leaves out what is done already.
import assert from "node:assert/strict";
import { appendFileSync, existsSync, mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import { wrongAfter } from "./outbox_world.mjs";

const IS_FULL = process.env.SLIPWRIGHT_CAMPAIGN === "full";
const FOLDER = process.env.SLIPWRIGHT_CAMPAIGN_TO;
const RESULTS = FOLDER && join(FOLDER, "outbox-steps.jsonl");
const STEPS = 40;
const SEEDS_A_PART = 25;
const PARTS = IS_FULL ? 100 : 1;
const MOST_SEEDS = 400;
const FAULTS = ["removed when it is sent", "sent by whoever is signed in", "everything answered is received", "kept for seven days", "a form half kept"];

test("the outbox keeps what was recorded until the garden has it", async () => {
  const lines = RESULTS && existsSync(RESULTS) ? readFileSync(RESULTS, "utf8").split("\n").filter((line) => line.endsWith("}")) : [];
  const done = new Set(lines.map((line) => JSON.parse(line).part));
  for (let part = 0; part < PARTS; part += 1) {
    if (done.has(part)) continue;
    for (let n = 0; n < SEEDS_A_PART; n += 1) {
      const seed = part * SEEDS_A_PART + n;
      assert.deepEqual(await wrongAfter(seed, STEPS), [], `seed ${seed}`);
    }
    if (RESULTS) {
      mkdirSync(FOLDER, { recursive: true });
      appendFileSync(RESULTS, `${JSON.stringify({ part, steps: STEPS * SEEDS_A_PART })}\n`);
    }
  }
});

for (const fault of IS_FULL ? FAULTS : FAULTS.slice(0, 3)) {
  test(`planted: ${fault}`, async () => {
    for (let seed = 0; seed < MOST_SEEDS; seed += 1) {
      if ((await wrongAfter(seed, STEPS, fault)).length) return;
    }
    assert.fail("not found");
  });
}
