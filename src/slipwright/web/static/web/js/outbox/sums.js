// Where a batch stands for this phone: what the page knew, and what this phone has recorded since.

/**
 * What this phone recorded of a batch and the page does not know yet: of `records`, those that wait, and
 * those received after the page was made.
 */
export function sinceThePage(records, batch, pageMadeAt) {
  const takenBack = new Set(records.filter((one) => one.kind === "withdrawal").map((one) => one.content.fields.withdraws));
  return records.filter((one) => (
    one.content.fields.batch === batch && !takenBack.has(one.id)
    && (one.state === "saved" || (one.state === "received" && Date.parse(one.answer.received_at) > pageMadeAt))));
}

/** The page's facts of a batch with what this phone recorded since. */
export function standing(facts, since) {
  const now = { ...facts };
  for (const { kind, id, content } of since) {
    const { n_rooted = 0, n_lost = 0, n_removed = 0, n_lost_rooted = 0, n_potted = 0 } = content.fields;
    if (kind === "look") {
      now.waiting -= n_rooted + n_lost + n_removed;
      now.toPot += n_rooted - n_lost_rooted;
      Object.assign(now, { after: id, afterOn: content.on });
    } else if (kind === "potting") now.toPot -= n_potted;
  }
  return now;
}

/** Why the counts of a look would not add up; empty where they do. */
export function doubtsOfLook(facts, on, counts) {
  const { waiting, toPot, stuckOn } = facts;
  const doubts = [];
  if (on < stuckOn) doubts.push({ kind: "before-sticking", there: 0, said: 0 });
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
