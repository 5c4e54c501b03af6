// Where a batch stands for this phone: what the page knew, and what this phone has recorded since.

const A_DAY_MS = 86_400_000;

/** Of records, those that stand: neither set aside nor taken back. */
export function standingOf(records) {
  const stand = records.filter((one) => one.state !== "set-aside");
  const takenBack = new Set(stand.filter((one) => one.kind === "withdrawal").map((one) => one.content.fields.withdraws));
  return stand.filter((one) => !takenBack.has(one.id));
}

/**
 * What this phone recorded of a batch and the page does not know yet: of `records`, those that wait, and
 * those received under a number above the garden's last when the page was made.
 */
export function sinceThePage(records, batch, pageNumber) {
  return standingOf(records).filter((one) => (
    one.content.fields.batch === batch && (one.state === "saved" || one.answer.number > pageNumber)));
}

/** Whether a record is one of walking a round: something else done to a batch is none. */
export const isOfWalk = ({ kind }) => kind === "look" || kind === "potting";

/** The batches of a round that are done on a day. */
export const doneOn = (records, day) => new Set(
  standingOf(records).filter((one) => isOfWalk(one) && one.content.on === day).map((one) => one.content.fields.batch));

/** The page's facts of a batch with what this phone recorded since. */
export function standing(facts, since) {
  const now = { ...facts };
  for (const { kind, id, content } of since) {
    const { n_rooted = 0, n_lost = 0, n_removed = 0, n_lost_rooted = 0, n_potted = 0 } = content.fields;
    if (kind === "look") {
      now.waiting -= n_rooted + n_lost + n_removed;
      now.toPot += n_rooted - n_lost_rooted;
      if (content.on >= (now.afterOn ?? "")) Object.assign(now, { after: id, afterOn: content.on });
    } else if (kind === "potting") now.toPot -= n_potted;
  }
  return now;
}

/** Why the counts of a look would not add up; empty where they do. */
export function doubtsOfLook(facts, on, counts) {
  const { waiting, toPot, stuckOn, firstRoots = 0 } = facts;
  const doubts = [];
  const day = (Date.parse(on) - Date.parse(stuckOn)) / A_DAY_MS;
  if (on < stuckOn) doubts.push({ kind: "before-sticking", there: 0, said: 0 });
  else if (counts.n_rooted && day < firstRoots) doubts.push({ kind: "rooted-early", there: day, said: counts.n_rooted });
  const said = (counts.n_rooted ?? 0) + (counts.n_lost ?? 0) + (counts.n_removed ?? 0);
  if (said && waiting - said < 0) doubts.push({ kind: "more-than-waiting", there: Math.max(waiting, 0), said });
  const died = counts.n_lost_rooted ?? 0;
  const rooted = toPot + (counts.n_rooted ?? 0);
  if (died && rooted - died < 0) doubts.push({ kind: "more-than-rooted", there: Math.max(rooted, 0), said: died });
  const tried = counts.n_tried ?? 0;
  const there = Math.max(Math.max(waiting, 0) + toPot - died, 0);
  if (!said && tried > there) doubts.push({ kind: "tried-more", there, said: tried });
  return doubts;
}

/** Why a potting would not add up; empty where it does. */
export function doubtsOfPotting({ waiting, toPot, stuckOn }, on, n) {
  const doubts = [];
  if (on < stuckOn) doubts.push({ kind: "before-sticking", there: 0, said: 0 });
  const there = Math.max(toPot, 0) + Math.max(waiting, 0);
  if (n > there) doubts.push({ kind: "potted-more", there, said: n });
  return doubts;
}
