// From what a form says to the entries it makes: kind, when and columns. Pure; ids and hashes come later.
//
// Each maker takes what was said and the facts of its page, and returns {entries, words, doubts}: `words`
// are [name, figures] pairs the page turns into the reader's tongue. It throws Wrong where a field is.
import { Wrong } from "./said.js";
import { doubtsOfLook, doubtsOfPotting } from "./sums.js";

const COUNTS = ["n_rooted", "n_lost", "n_removed", "n_tried", "n_tried_rooted", "n_lost_rooted"];

/** A look; "rewetted" adds an act. */
export function look(said, facts) {
  const on = said.day("on", facts.today);
  const counts = Object.fromEntries(COUNTS.map((name) => [name, said.whole(name)]));
  if (counts.n_tried_rooted !== null && counts.n_tried_rooted > (counts.n_tried ?? 0)) throw new Wrong("n_tried_rooted", "tried");
  let cause = said.text("cause");
  if (said.text("give_up")) {
    if (counts.n_lost !== null || cause) throw new Wrong("n_lost", "give-up");
    counts.n_lost = Math.max(facts.waiting - (counts.n_rooted ?? 0) - (counts.n_removed ?? 0), 0);
    cause = "given-up";
  }
  const fields = {
    batch: facts.batch,
    ...counts,
    cause,
    signs: said.texts("signs").join(";"), // the page offers them, in the order of their list
    pot_weight: said.text("pot_weight"),
    after: facts.after && (facts.afterOn ?? "") <= on ? facts.after : "",
    note: said.text("note"),
  };
  const entries = [{ kind: "look", when: on, fields }];
  if (said.text("rewetted")) entries.push({ kind: "act", when: on, fields: { batch: facts.batch, act: "re-wet" } });
  return { entries, words: wordsOfLook(counts, cause), doubts: doubtsOfLook(facts, on, counts) };
}

function wordsOfLook(counts, cause) {
  const told = [];
  if (counts.n_rooted !== null) told.push(["rooted", { n: counts.n_rooted }]);
  if (counts.n_lost !== null) told.push([cause === "given-up" ? "given-up" : "lost", { n: counts.n_lost }]);
  if (counts.n_removed) told.push(["removed", { n: counts.n_removed }]);
  if (counts.n_lost_rooted) told.push(["rooted-died", { n: counts.n_lost_rooted }]);
  if (counts.n_tried !== null) told.push(["tried", { n: counts.n_tried }]);
  if (counts.n_tried_rooted !== null) told.push(["tried-rooted", { n: counts.n_tried_rooted }]);
  return told.length ? told : [["no-change", {}]];
}

/** A look without counts at each batch of a place. */
export function nothing(said, facts) {
  const entries = facts.batches.map((batch) => ({ kind: "look", when: facts.today, fields: { batch } }));
  if (!entries.length) throw new Wrong("place", "nothing-left");
  return { entries, words: [["nothing", { n: entries.length }]], doubts: [] };
}

/** A potting; more than were known to have rooted adds a look that says so; roots too short, a look alone. */
export function potting(said, facts) {
  const on = said.day("on", facts.today);
  const note = said.text("note");
  const n = said.whole("n_potted");
  if (said.text("roots") === "not-yet") {
    if (n) throw new Wrong("n_potted", "not-yet");
    const after = facts.after && (facts.afterOn ?? "") <= on ? facts.after : "";
    const fields = { batch: facts.batch, after, signs: "not-ready", note: [facts.notYet, note].filter(Boolean).join(". ") };
    return { entries: [{ kind: "look", when: on, fields }], words: [["not-yet", {}]], doubts: doubtsOfLook(facts, on, {}) };
  }
  if (!n) throw new Wrong("n_potted", "count-pots");
  if (facts.mustWait && !note) throw new Wrong("note", "why-now");
  const entries = [];
  const short = n - Math.max(facts.toPot, 0);
  if (short > 0) {
    const fields = { batch: facts.batch, n_rooted: short, note: "rooted, as seen at potting" };
    entries.push({ kind: "look", when: on, fields });
  }
  const [container, medium, place] = ["container", "medium", "place"].map((name) => said.text(name));
  entries.push({ kind: "potting", when: on, fields: { batch: facts.batch, n_potted: n, container, medium, place, note } });
  const words = [["potted", { n }], ...(short > 0 ? [["more-rooted", { n: short }]] : [])];
  return { entries, words, doubts: doubtsOfPotting(facts, on, n) };
}

/** Something done to a batch, or a note about it. */
export function act(said, facts) {
  if (said.text("what") === "note") {
    const text = said.text("text");
    if (!text) throw new Wrong("text", "words-missing");
    return { entries: [{ kind: "note", when: facts.moment, fields: { about: facts.batch, text } }], words: [["note-kept", {}]], doubts: [] };
  }
  const done = said.text("act");
  if (!done) throw new Wrong("act", "choose");
  const to_place = done === "move" ? said.text("to_place") : "";
  if (done === "move" && !to_place) throw new Wrong("to_place", "where-to");
  const fields = { batch: facts.batch, act: done, to_place, note: said.text("note") };
  const on = said.day("on", facts.today);
  return { entries: [{ kind: "act", when: on, fields }], words: [["=", { words: facts.chosen }]], doubts: [] };
}

/** What was seen of a stock plant: its stage, how firm a shoot felt, or that it was cut back. */
export function seen(said, facts) {
  const on = said.day("on", facts.today);
  const kind = said.text("kind");
  const note = said.text("note");
  const { plant } = facts;
  if (kind === "stage") {
    const bbch = said.whole("bbch");
    if (bbch === null) throw new Wrong("bbch", "choose");
    return { entries: [{ kind, when: on, fields: { plant, bbch, note } }], words: [["=", { words: facts.chosen }]], doubts: [] };
  }
  if (kind === "firmness") {
    const parts = ["firmness_tip", "firmness_mid", "firmness_base"];
    const felt = Object.fromEntries(parts.map((name) => [name, said.whole(name)]));
    if (!Object.values(felt).some(Boolean)) throw new Wrong("firmness_tip", "felt");
    return { entries: [{ kind, when: on, fields: { plant, ...felt, note } }], words: [["felt", {}]], doubts: [] };
  }
  return { entries: [{ kind: "act", when: on, fields: { plant, act: "cut-back", note } }], words: [["cut-back", {}]], doubts: [] };
}

/** What was seen of a mist bed: leaves dry before the burst, or medium that stays soggy. */
export function bed(said, facts) {
  const [place, seen] = [said.text("place"), said.text("seen")];
  if (!seen) throw new Wrong("seen", "choose");
  return { entries: [{ kind: "bed", when: facts.moment, fields: { place, seen } }], words: [["=", { words: facts.chosen }]], doubts: [] };
}

/** The withdrawals that undo entries, newest first. */
export function withdrawals(records, moment) {
  return [...records].reverse().map((one) => (
    { kind: "withdrawal", when: moment, fields: { withdraws: one.id, reason: "undone at once" } }));
}
