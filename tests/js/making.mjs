// What the tests of the outbox share: a store without a database, and a garden that answers.

/** The store as the sender knows it, in memory. */
export class MemoryStore {
  constructor(records = []) {
    this.records = records.map((one, n) => ({ n, ...one }));
  }

  async add(records) { this.records.push(...records); }
  async everything() { return [...this.records]; }
  async of({ garden, member }) { return this.records.filter((one) => one.garden === garden && one.member === member); }
  async tried(ids) { this.#change(ids, (one) => ({ ...one, tries: one.tries + 1 })); }
  async settle(id, state, answer) { this.#change([id], (one) => ({ ...one, state, answer })); }
  async again(id) { this.#change([id], (one) => ({ ...one, state: "saved", answer: null })); }
  async remove(ids) { this.records = this.records.filter((one) => !ids.includes(one.id)); }
  async drop() {}
  #change(ids, change) { this.records = this.records.map((one) => (ids.includes(one.id) ? change(one) : one)); }
}

/** Locks as one tab has them. */
export class Locks {
  held = new Set();

  async request(name, options, work) {
    const [asked, done] = work ? [options, work] : [{}, options];
    if (this.held.has(name)) {
      if (asked.ifAvailable) return done(null);
      throw new Error("this test waits for nothing");
    }
    this.held.add(name);
    try {
      return await done({ name });
    } finally {
      this.held.delete(name);
    }
  }
}

export const GARDEN = "4c1a2f0e-5d3b-4a8e-9f67-2b1d0c9e8a75";

/** A record that waits. */
export function waiting(id, more = {}) {
  const content = { kind: "look", v: 1, garden: GARDEN, id, by: "wren", on: "2026-10-20", fields: { batch: "7K3FQ2XA" } };
  return {
    id, garden: GARDEN, member: "wren", kind: "look", content, sha256: `hash of ${id}`, ground: "", words: "looked",
    about: "7K3FQ2XA", page: "/", form: id, saved_at: "2026-10-20T09:00:00.000Z", state: "saved", tries: 0, answer: null, v: 1, ...more,
  };
}

/** A garden: `plan` are its answers to postings in turn, each a function of the records, or nothing to receive them. */
export class FakeGarden {
  constructor({ member = "wren", plan = [], number = 1 } = {}) {
    Object.assign(this, { member, plan, number, kept: new Map(), tokens: 0, posted: [] });
  }

  fetch = async (address, { method, body, headers }) => {
    if (method === "GET") {
      if (!this.member) return json(401, { v: 1, error: "signed-out" });
      this.tokens += 1;
      return json(200, { v: 1, member: this.member, garden: GARDEN, number: this.number, csrf: `token ${this.tokens}` });
    }
    const { records } = JSON.parse(body);
    this.posted.push({ ids: records.map((one) => one.content.id), token: headers["X-CSRFToken"] });
    const planned = this.plan.shift();
    return planned ? planned(records, this) : this.receive(records);
  };

  receive(records) {
    for (const one of records) this.kept.set(one.content.id, one);
    return json(200, { v: 1, answers: records.map((one) => received(one)) });
  }
}

export const received = ({ content, sha256 }) => (
  { id: content.id, kind: content.kind, sha256, status: "received", number: 1, reason: "", received_at: "2026-10-20T09:00:05+00:00" });

export const json = (status, told, headers = {}) => (
  new Response(JSON.stringify(told), { status, headers: { "Content-Type": "application/json", ...headers } }));
