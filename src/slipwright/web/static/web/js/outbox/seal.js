// Records made of entries: each with an id of its own, its canonical content and the hash of that.
import { content, sha256 } from "./content.js";
import { newId } from "./ids.js";

/**
 * Records fit for the outbox, in the order they are to be sent. `whose` is {garden, member}; `told` says
 * what the person reads: words, about (batch or plant), page, and the day and moment it was saved.
 */
export async function sealed(entries, { garden, member }, { words, about, page, ground = "" }, now = new Date()) {
  const form = newId();
  const records = [];
  for (const { kind, when, fields, id = newId() } of entries) {
    const whole = content({ kind, garden, id, by: member, when, fields });
    const sealedBy = await sha256(whole);
    records.push({
      id, garden, member, kind, content: whole, sha256: sealedBy, ground: kind === "sticking" ? ground : "",
      words, about, page, form, saved_at: now.toISOString(), state: "saved", tries: 0, answer: null,
    });
  }
  return records;
}
