// Taking back what was just saved: out of the outbox if it was never sent, else by a record that says so.
import { instantText } from "./content.js";
import { withdrawals } from "./entries.js";
import { sealed } from "./seal.js";
import { LOCK } from "./sender.js";

/** For so long after a save it can be undone. */
export const UNDO_MS = 30_000;

/**
 * Undo the records of one form; waits for a sending under way, for only then is it known what was sent.
 * `words` are those of the withdrawals. Gives what was taken back: what was set aside counts nowhere.
 */
export function undo({ store, locks = navigator.locks, now = new Date() }, whose, form, words) {
  return locks.request(LOCK, async () => {
    const all = await store.of(whose);
    const gone = new Set(all.filter((one) => one.kind === "withdrawal").map((one) => one.content.fields.withdraws));
    const records = all.filter((one) => one.form === form && !gone.has(one.id));
    const unsent = records.filter((one) => one.state === "saved" && one.tries === 0);
    const maybeSent = records.filter((one) => !unsent.includes(one) && one.state !== "set-aside");
    if (maybeSent.length) {
      const { about, page } = maybeSent[0];
      await store.add(await sealed(withdrawals(maybeSent, instantText(now)), whose, { words, about, page }, now));
    }
    if (unsent.length) await store.remove(unsent.map((one) => one.id));
    return [...unsent, ...maybeSent];
  });
}
