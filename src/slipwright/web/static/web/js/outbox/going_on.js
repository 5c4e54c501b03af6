// Where to go after a save: what the page says, but not back to a batch this phone has done today.

const WALK = "slipwright-walk";

/** The batch that the address of a page to record on is about. */
export function batchIn(address) {
  const found = /^\/batches\/(.+)\/(look|pot-up)$/.exec(new URL(address, "http://here").pathname);
  return found ? decodeURIComponent(found[1]) : null;
}

/** The next address of a walk after `batch` that is not done; Today where none is. */
export function nextOf(walk, batch, said, done) {
  if (said && !done.has(batchIn(said))) return said;
  const here = walk.findIndex((address) => batchIn(address) === batch);
  const ahead = [...walk.slice(here + 1), ...walk.slice(0, Math.max(here, 0))];
  return ahead.find((address) => !done.has(batchIn(address))) ?? "/";
}

/** Keep the walk as Today shows it. */
export function keepWalk(whose, addresses) {
  localStorage.setItem(WALK, JSON.stringify({ ...whose, addresses }));
}

/** The walk as Today showed it last to this member. */
export function keptWalk({ garden, member }) {
  try {
    const kept = JSON.parse(localStorage.getItem(WALK));
    return kept?.garden === garden && kept.member === member ? kept.addresses : [];
  } catch {
    return [];
  }
}

/** Forget the walk, at sign-out. */
export const forgetWalk = () => localStorage.removeItem(WALK);
