// Of the same forms the phone makes the entries that the garden makes; the garden's own test holds to the file too.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { content } from "../../src/slipwright/web/static/web/js/outbox/content.js";
import * as makers from "../../src/slipwright/web/static/web/js/outbox/entries.js";
import { pageFacts } from "../../src/slipwright/web/static/web/js/outbox/facts.js";
import { Said } from "../../src/slipwright/web/static/web/js/outbox/said.js";
import { sticking } from "../../src/slipwright/web/static/web/js/outbox/sticking.js";

const forms = JSON.parse(readFileSync(new URL("fixtures/forms.json", import.meta.url)));

test("there are forms of each kind", () => {
  assert.deepEqual([...new Set(forms.map((one) => one.record))].sort(), ["act", "look", "potting", "seen", "sticking"]);
});

for (const { says, record, today, data, pairs, entries } of forms) {
  test(`as in the garden: ${says}`, () => {
    const facts = { ...pageFacts({ dataset: data }), today, chosen: "" };
    let n = 0;
    const code = () => `new-${n += 1}`;
    const made = { ...makers, sticking: (...given) => sticking(...given, code) }[record](new Said(pairs), facts);
    assert.deepEqual(
      made.entries.map(({ kind, when, fields }) => ({ kind, when, fields: content({ kind, garden: "", id: "", when, fields }).fields })),
      entries,
    );
  });
}
