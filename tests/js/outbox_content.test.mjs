import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { ALPHABET, checkCharacter, newCode, shown } from "../../src/slipwright/web/static/web/js/outbox/codes.js";
import { canonical, content, decimalText, instantText, sha256 } from "../../src/slipwright/web/static/web/js/outbox/content.js";
import { newId } from "../../src/slipwright/web/static/web/js/outbox/ids.js";

const read = (name) => JSON.parse(readFileSync(new URL(name, import.meta.url)));
const { vectors } = read("../../docs/contract/entry-hash.json");
const codes = read("fixtures/codes.json");

for (const vector of vectors) {
  test(`the phone writes the same bytes and hash as the garden: ${vector.says}`, async () => {
    const { kind, garden, id, by, on, at, fields } = vector.content;
    const made = content({ kind, garden, id, by, when: on ?? at, fields });
    assert.equal(canonical(made), vector.canonical);
    assert.equal(await sha256(made), vector.sha256);
  });

  test(`the accents of a keyboard change nothing: ${vector.says}`, () => {
    const { kind, garden, id, by, on, at, fields } = vector.content;
    const apart = Object.entries(fields).map(([name, value]) => [name, typeof value === "string" ? value.normalize("NFD") : value]);
    assert.equal(canonical(content({ kind, garden, id, by, when: on ?? at, fields: Object.fromEntries(apart) })), vector.canonical);
  });
}

test("what was not said is absent, and nought is kept", () => {
  const made = content({ kind: "look", garden: "g", id: "i", by: "wren", when: "2026-10-20", fields: { batch: "B", n_rooted: 0, n_lost: null, note: "", cause: undefined } });
  assert.deepEqual(made.fields, { batch: "B", n_rooted: 0 });
});

test("a number that is not whole is no count", () => {
  assert.throws(() => content({ kind: "look", garden: "g", id: "i", when: "2026-10-20", fields: { n_rooted: 1.5 } }), TypeError);
});

test("decimals are text without plus, trailing noughts or a comma, and -0 is 0", () => {
  const said = { "7,50": "7.5", "+3": "3", "-0.0": "0", ".5": "0.5", "007.10": "7.1", "1000": "1000", "-2.30": "-2.3" };
  for (const [typed, kept] of Object.entries(said)) assert.equal(decimalText(typed), kept, typed);
  for (const typed of ["", "1e3", "a", "1.2.3", "--1"]) assert.throws(() => decimalText(typed), TypeError, typed);
});

test("a moment carries whole seconds and the offset of the phone", () => {
  assert.match(instantText(new Date("2026-10-20T09:30:12.345Z")), /^2026-10-20T\d\d:\d\d:12[+-]\d\d:\d\d$/);
  assert.equal(Date.parse(instantText(new Date("2026-10-20T09:30:12Z"))), Date.parse("2026-10-20T09:30:12Z"));
});

test("an id is a random UUID of version 4", () => {
  assert.match(newId(), /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  assert.notEqual(newId(), newId());
});

test("the check characters are those of the garden", () => {
  for (const [stem, check] of Object.entries(codes.checks)) assert.equal(checkCharacter(stem), check, stem);
});

test("a code that is drawn is one, and its first four are free", () => {
  const draws = [[0, 0, 0, 0, 0, 0, 0], [31, 30, 29, 28, 27, 26, 25], [1, 2, 3, 4, 5, 6, 8]];
  const used = new Set(["0000"]);
  const code = newCode(used, () => draws.shift());
  assert.equal(code.length, 8);
  assert.ok([...code].every((sign) => ALPHABET.includes(sign)));
  assert.equal(checkCharacter(code.slice(0, 7)), code[7]);
  assert.notEqual(code.slice(0, 4), "0000");
  assert.equal(shown("7K3FQ2XJ"), "7K3F-Q2XJ");
  assert.equal(shown("rose 12"), "rose 12");
});
