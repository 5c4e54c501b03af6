import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { sha256 } from "../../src/slipwright/web/static/web/js/outbox/content.js";
import * as makers from "../../src/slipwright/web/static/web/js/outbox/entries.js";
import { batchIn, nextOf } from "../../src/slipwright/web/static/web/js/outbox/going_on.js";
import { Said } from "../../src/slipwright/web/static/web/js/outbox/said.js";
import { sealed } from "../../src/slipwright/web/static/web/js/outbox/seal.js";
import { sent } from "../../src/slipwright/web/static/web/js/outbox/sender.js";
import { checkCharacter } from "../../src/slipwright/web/static/web/js/outbox/codes.js";
import { sticking } from "../../src/slipwright/web/static/web/js/outbox/sticking.js";
import { doneOn, sinceThePage, standing } from "../../src/slipwright/web/static/web/js/outbox/sums.js";
import { GARDEN, received, waiting } from "./making.mjs";

const facts = { batch: "7K3FQ2XA", today: "2026-10-20", stuckOn: "2026-09-10", waiting: 10, toPot: 3, after: "before", afterOn: "2026-10-10" };
const said = (pairs) => new Said(Object.entries(pairs).flatMap(([name, value]) => [value].flat().map((one) => [name, one])));
const look = (pairs, more = {}) => makers.look(said(pairs), { ...facts, ...more });
const kinds = ({ doubts }) => doubts.map((doubt) => doubt.kind);

test("a look holds what was said and nothing else", () => {
  const { entries: [entry], words, doubts } = look({ n_rooted: "2", n_lost: "0", signs: ["new-leaf", "not-ready"], note: " wet ", n_removed: "" });
  assert.deepEqual([entry.kind, entry.when], ["look", "2026-10-20"]);
  assert.deepEqual([entry.fields.n_rooted, entry.fields.n_lost, entry.fields.n_removed], [2, 0, null]);
  assert.deepEqual([entry.fields.signs, entry.fields.note, entry.fields.after], ["new-leaf;not-ready", "wet", "before"]);
  assert.deepEqual(words, [["rooted", { n: 2 }], ["lost", { n: 0 }]]);
  assert.deepEqual(doubts, []);
});

test("a look of an earlier day than the one before follows none", () => {
  assert.equal(look({ on: "2026-10-01" }).entries[0].fields.after, "");
});

test("counts that do not add up are asked about, each by its name", () => {
  assert.deepEqual(look({ n_rooted: "8", n_lost: "4" }).doubts, [{ kind: "more-than-waiting", there: 10, said: 12 }]);
  assert.deepEqual(kinds(look({ n_lost_rooted: "4" })), ["more-than-rooted"]);
  assert.deepEqual(kinds(look({ n_lost_rooted: "4", n_rooted: "1" })), []);
  assert.deepEqual(kinds(look({ n_tried: "14" })), ["tried-more"]);
  assert.deepEqual(kinds(look({ on: "2026-09-01" })), ["before-sticking"]);
  assert.deepEqual(look({ n_rooted: "2", on: "2026-09-14" }, { firstRoots: 5 }).doubts, [{ kind: "rooted-early", there: 4, said: 2 }]);
  assert.deepEqual(kinds(look({ n_rooted: "2", on: "2026-09-15" }, { firstRoots: 5 })), []);
});

test("what cannot be is refused with the field", () => {
  for (const [pairs, field] of [[{ n_rooted: "x" }, "n_rooted"], [{ n_tried: "1", n_tried_rooted: "2" }, "n_tried_rooted"], [{ on: "2026-10-21" }, "on"], [{ give_up: "10", n_lost: "1" }, "n_lost"]]) {
    assert.throws(() => look(pairs), { field });
  }
});

test("giving up counts the rest as lost; wetting again is an act of its own", () => {
  const { entries: [entry] } = look({ give_up: "99", n_rooted: "4" });
  assert.deepEqual([entry.fields.n_lost, entry.fields.cause], [6, "given-up"]);
  assert.equal(look({ rewetted: "1" }).entries[1].fields.act, "re-wet");
});

test("what was seen of a mist bed is a record of the moment, with the words of its button", () => {
  const moment = "2026-10-20T14:10:00-07:00";
  const made = makers.bed(said({ place: "mist-1", seen: "leaves-dry" }), { moment, chosen: "Leaves dry" });
  assert.deepEqual(made.entries, [{ kind: "bed", when: moment, fields: { place: "mist-1", seen: "leaves-dry" } }]);
  assert.deepEqual(made.words, [["=", { words: "Leaves dry" }]]);
  assert.throws(() => makers.bed(said({ place: "mist-1" }), { moment }), { field: "seen" });
});

test("potting more than had rooted adds a look for the rest, before it", () => {
  const { entries } = makers.potting(said({ n_potted: "5", container: "9 cm" }), facts);
  assert.deepEqual(entries.map((one) => [one.kind, one.fields.n_rooted ?? one.fields.n_potted]), [["look", 2], ["potting", 5]]);
  assert.deepEqual(kinds(makers.potting(said({ n_potted: "14" }), facts)), ["potted-more"]);
  assert.throws(() => makers.potting(said({ n_potted: "2" }), { ...facts, mustWait: true }), { field: "note" });
  const { entries: [putBack] } = makers.potting(said({ roots: "not-yet", note: "pale" }), { ...facts, notYet: "not yet ready to pot" });
  assert.deepEqual([putBack.kind, putBack.fields.signs, putBack.fields.note], ["look", "not-ready", "not yet ready to pot. pale"]);
});

test("what this phone has since is counted in, and the next look follows it", () => {
  const first = waiting("a");
  first.content.fields = { batch: facts.batch, n_rooted: 2, n_lost: 1 };
  const now = standing(facts, sinceThePage([first], facts.batch, 0));
  assert.deepEqual([now.waiting, now.toPot, now.after], [7, 5, "a"]);
  const old = { ...first, state: "received", answer: received(first) };
  assert.equal(sinceThePage([old], facts.batch, old.answer.number).length, 0);
  // within the same second, but after the page was made
  assert.equal(sinceThePage([old], facts.batch, old.answer.number - 1).length, 1);
  const back = { ...waiting("w", { kind: "withdrawal" }), content: { fields: { withdraws: "a" } } };
  assert.equal(sinceThePage([first, back], facts.batch, 0).length, 0);
  assert.equal(sinceThePage([first, { ...back, state: "set-aside" }], facts.batch, 0).length, 1);
  assert.equal(sinceThePage([{ ...first, state: "set-aside" }], facts.batch, 0).length, 0);
});

test("a look of an earlier day is counted in, and the next look does not follow it", () => {
  const late = waiting("late");
  Object.assign(late.content, { on: "2026-10-05", fields: { batch: facts.batch, n_rooted: 2 } });
  const now = standing(facts, [late]);
  assert.deepEqual([now.waiting, now.after, now.afterOn], [8, "before", "2026-10-10"]);
  late.content.on = "2026-10-10";
  assert.equal(standing(facts, [late]).after, "late");
});

test("only looks and pottings that stand make a batch of the round done", () => {
  const made = (id, kind, more = {}) => ({ ...waiting(id, { kind, ...more }), content: { ...waiting(id).content, fields: { batch: id } } });
  const back = { ...waiting("w", { kind: "withdrawal" }), content: { fields: { withdraws: "D" } } };
  const records = [made("A", "look"), made("B", "act"), made("C", "look", { state: "set-aside" }), made("D", "look"), back, made("E", "potting")];
  assert.deepEqual([...doneOn(records, "2026-10-20")], ["A", "E"]);
  assert.equal(doneOn(records, "2026-10-21").size, 0);
});

test("numbers are read as the garden reads them", () => {
  const read = (typed, as = "decimal") => said({ n: typed })[as]("n");
  for (const [typed, n] of Object.entries({ "5,0": 5, "5.0": 5, "-5.00": -5, "+3": 3, "1e2": 100, "-0": 0 })) assert.equal(read(typed, "signed") + 0, n, typed);
  for (const [typed, text] of Object.entries({ "1e3": "1000", "12.5E-1": "1.25", "1e-2": "0.01", ".5e1": "5", "-7,50": "-7.5" })) assert.equal(read(typed), text, typed);
  for (const typed of ["5,5", "1e9", "x", "1e-1"]) assert.throws(() => read(typed, "signed"), { field: "n" }, typed);
  for (const typed of ["1e99", "e3", ".", "1.2.3", "12345678901", "1".repeat(21)]) assert.throws(() => read(typed), { rule: "number" }, typed);
});

test("the round goes on to what is not done yet, and ends at Today", () => {
  const walk = ["A", "B", "C"].map((code) => `/batches/${code}/look?round=1`);
  assert.equal(nextOf(walk, "A", walk[1], new Set(["A"])), walk[1]);
  assert.equal(nextOf(walk, "A", walk[1], new Set(["A", "B"])), walk[2]);
  assert.equal(nextOf(walk, "C", walk[0], new Set(["A", "C"])), walk[1]);
  assert.equal(nextOf(walk, "C", walk[0], new Set(["A", "B", "C"])), "/");
  assert.equal(batchIn("/batches/rose%2012/pot-up?round=1"), "rose 12");
});

test("sealed records carry their own ids and the hash of what they say", async () => {
  const { entries } = look({ n_rooted: "1", rewetted: "1" });
  const lot = await sealed(entries, { garden: GARDEN, member: "wren" }, { words: "1 rooted", about: facts.batch, page: "/" });
  assert.equal(new Set(lot.map((one) => one.id)).size, 2);
  assert.equal(new Set(lot.map((one) => one.form)).size, 1);
  for (const one of lot) assert.equal(one.sha256, await sha256(one.content));
});

// One kept for each release: what lies on a phone since then must be read and sent for ever.
test("records as the first release kept them are read and sent still", async () => {
  const { records } = JSON.parse(readFileSync(new URL("fixtures/outbox-v1.json", import.meta.url)));
  assert.deepEqual([...new Set(records.map((one) => one.kind))].sort(), ["act", "firmness", "look", "note", "potting", "stage", "sticking", "withdrawal"]);
  for (const one of records) {
    assert.equal(one.v, 1);
    assert.equal(await sha256(one.content), one.sha256);
    assert.deepEqual(Object.keys(sent(one)).sort(), one.ground ? ["content", "ground", "sha256"] : ["content", "sha256"]);
  }
  assert.equal(standing({ waiting: 20, toPot: 0 }, sinceThePage(records, "7K3FQ2XJ", 0)).waiting, 17);
});

const toStick = {
  taxon: "Salvia rosmarinus", plant: "sage-wall", allowed: true, shareCut: false, today: "2026-10-20", fours: ["0000"],
  ways: { usual: { wood: "softwood", auxin: "iba", auxin_form: "talc", auxin_mg_per_kg: "3000", cover: "tent", method: "sage-usual" }, handbook: {} },
  methods: { "by dip": { wood: "hardwood", method: "by dip" } }, covers: { "mist-1": "mist", sill: "" },
  felt: { snaps: [2, "softwood"], folds: [1, ""] },
};
const stuck = (pairs, more = {}) => sticking(said({ n_stuck: "24", place: "sill", way: "usual", ...pairs }), { ...toStick, ...more });

test("a sticking by the usual way holds the columns of the way and a code of its own", () => {
  const { entries: [entry], words, batches } = stuck({});
  const { batch, ...fields } = entry.fields;
  assert.deepEqual(
    Object.fromEntries(Object.entries(fields).filter(([, value]) => value)),
    { wood: "softwood", auxin: "iba", auxin_form: "talc", auxin_mg_per_kg: "3000", cover: "tent", method: "sage-usual", place: "sill", taxon: "Salvia rosmarinus", plant: "sage-wall", n_stuck: 24 },
  );
  assert.equal(checkCharacter(batch.slice(0, 7)), batch[7]);
  assert.deepEqual([entry.when, batches, words[0][1].n], ["2026-10-20", [batch], 24]);
});

test("another strength leaves none of the way's, and a place that mists is the cover", () => {
  const { entries: [entry] } = stuck({ strength: "8,0", strength_unit: "mg/L", place: "mist-1" });
  assert.deepEqual([entry.fields.auxin, entry.fields.auxin_mg_per_l, entry.fields.auxin_mg_per_kg], ["iba", "8", undefined]);
  assert.equal(entry.fields.cover, undefined);
});

test("graded lots are a batch each, and how firm it felt is kept once", () => {
  const { entries } = stuck({ grade: "three", n_stuck: "", n_upper: "10", n_lower: "8", firmness: "snaps" });
  assert.deepEqual(entries.map((one) => [one.kind, one.fields.part, one.fields.n_stuck]), [["sticking", "upper", 10], ["sticking", "lower", 8], ["firmness", undefined, undefined]]);
  assert.notEqual(entries[0].fields.batch.slice(0, 4), entries[1].fields.batch.slice(0, 4));
});

test("a sticking that is not said whole is refused with the field", () => {
  const cases = [[{ n_stuck: "" }, "n_stuck"], [{ place: "" }, "place"], [{ way: "other" }, "wood"], [{ grade: "three", n_upper: "1" }, "n_stuck"]];
  for (const [pairs, field] of cases) assert.throws(() => stuck(pairs), { field });
  assert.throws(() => stuck({}, { shareCut: true }), { field: "anyway" });
  assert.throws(() => stuck({}, { allowed: false }), { field: "ground" });
  assert.equal(stuck({ already_done: "1", ground: "experiment" }, { allowed: false }).ground, "experiment");
  assert.deepEqual(kinds(stuck({ shoot: "flowering" })), ["in-bloom"]);
  assert.equal(stuck({ way: "other", method: "by dip" }).entries[0].fields.wood, "hardwood");
});
