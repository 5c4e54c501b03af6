// From what the form of a sticking says to its entries: one batch a lot, and how firm the shoot felt.
import { newCode, shown } from "./codes.js";
import { Wrong } from "./said.js";

const PARTS = ["upper", "middle", "lower"];
const DIP = ["auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg", "auxin2", "auxin2_mg_per_l", "dip_s"];
const TEXTS = ["wood", "cutting", "shoot", "leaves", "wound", "auxin", "auxin_form", "medium", "cover", "container", "place", "stored", "cut_on"];
const WHOLES = ["n_nodes", "n_shoots", "n_per_container"];
const DECIMALS = ["length_mm", "dip_s", "minutes"];

/** The entries of a sticking; `facts` are those of the page, `facts.today` the day, `code` makes a code. */
export function sticking(said, facts, code = newCode) {
  const lots = lotsOf(said);
  const lot = lotOf(said, facts);
  if (facts.shareCut && !said.text("already_done") && !said.text("anyway")) throw new Wrong("anyway", "anyway");
  const ground = said.text("ground");
  if (!facts.allowed && !(said.text("already_done") && ground)) throw new Wrong("ground", "ground");
  const used = new Set(facts.fours);
  const stuck = lots.map(([part, n_stuck]) => {
    const batch = code(used);
    used.add(batch.slice(0, 4));
    return { kind: "sticking", when: lot.stuck_on, fields: { ...lot.fields, batch, part, n_stuck } };
  });
  const [firmness_mid] = facts.felt[said.text("firmness")] ?? [];
  const felt = firmness_mid && facts.plant ? [{ kind: "firmness", when: lot.stuck_on, fields: { plant: facts.plant, firmness_mid } }] : [];
  const inBloom = ["budded", "flowering"].includes(lot.fields.shoot) && !said.text("already_done");
  const batches = stuck.map((one) => one.fields.batch);
  return {
    entries: [...stuck, ...felt],
    words: [["stuck", { n: lots.reduce((sum, [, n]) => sum + n, 0), code: batches.map(shown).join(", ") }]],
    doubts: inBloom ? [{ kind: "in-bloom", there: 0, said: 0 }] : [],
    ground,
    batches,
  };
}

function lotsOf(said) {
  const n = said.whole("n_stuck");
  if (said.text("grade") !== "three") {
    if (!n) throw new Wrong("n_stuck", "how-many");
    return [[said.text("part"), n]];
  }
  const counts = PARTS.map((part) => [part, said.whole(`n_${part}`) ?? 0]).filter(([, count]) => count);
  const together = counts.reduce((sum, [, count]) => sum + count, 0);
  if (!together) throw new Wrong("n_upper", "each-lot");
  if (n !== null && n !== together) throw new Wrong("n_stuck", "lots-differ");
  return counts;
}

function lotOf(said, facts) {
  const place = said.text("place");
  if (Object.keys(facts.covers).length && !place) throw new Wrong("place", "where");
  const given = kept(saidOf(said));
  const lot = { ...baseOf(said, facts) };
  if (["auxin", "auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg"].some((name) => name in given && given[name] !== lot[name])) {
    for (const name of DIP) if (name !== "auxin_form" || given.auxin === "none") delete lot[name];
  }
  const cover = facts.covers[place] ?? "";
  if (["mist", "tent"].includes(cover) || (cover === "open" && lot.cover === "mist")) delete lot.cover;
  const fields = { ...lot, ...given, taxon: facts.taxon, plant: facts.plant, want: said.text("want"), note: said.text("note") };
  fields.wood ||= (facts.felt[said.text("firmness")] ?? [])[1];
  if (!fields.wood) throw new Wrong("wood", "wood");
  delete fields.stuck_on;
  return { stuck_on: said.day("stuck_on", facts.today), fields };
}

function baseOf(said, { ways, methods }) {
  const way = said.text("way");
  return (way === "other" ? methods[said.text("method")] : ways[way]) ?? {};
}

function saidOf(said) {
  const unit = said.text("strength_unit");
  const inPowder = unit === "mg/kg" || (!unit && said.text("auxin_form") === "talc");
  return {
    ...Object.fromEntries(TEXTS.map((name) => [name, said.text(name)])),
    ...Object.fromEntries(WHOLES.map((name) => [name, said.whole(name)])),
    ...Object.fromEntries(DECIMALS.map((name) => [name, said.decimal(name)])),
    days_from_bloom: said.signed("days_from_bloom"),
    [inPowder ? "auxin_mg_per_kg" : "auxin_mg_per_l"]: said.decimal("strength"),
  };
}

const kept = (fields) => Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== "" && value !== null));
