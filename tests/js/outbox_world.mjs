// Phones with the outbox itself on a database in memory, a line that drops, doubles and delays, and a garden.
// What is drawn follows from the seed; what must hold is asked of the database and of the garden, not of the
// modules.
import { IDBFactory } from "fake-indexeddb";
import FDBObjectStore from "fake-indexeddb/lib/FDBObjectStore";

import { sealed } from "../../src/slipwright/web/static/web/js/outbox/seal.js";
import { send } from "../../src/slipwright/web/static/web/js/outbox/sender.js";
import { DATABASE, openStore } from "../../src/slipwright/web/static/web/js/outbox/store.js";
import { undo } from "../../src/slipwright/web/static/web/js/outbox/undo.js";
import { GARDEN, json } from "./making.mjs";

const WHO = ["wren", "finch"];
const DAY_MS = 86_400_000;
const NOW = Date.parse("2026-10-20T09:00:00Z");

/** Numbers from 0 to below 1 that follow from the seed. */
export function drawing(seed) {
  let state = (seed * 2_654_435_761) >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

// --- room on the phone: the writes of a database in memory fail from the k-th on ------------------

let room = Infinity;
for (const name of ["add", "put"]) {
  const plain = FDBObjectStore.prototype[name];
  FDBObjectStore.prototype[name] = function write(...given) {
    if (room <= 0) throw new DOMException("no room", "QuotaExceededError");
    room -= 1;
    return plain.apply(this, given);
  };
}

/** Locks of one phone: across its tabs, gone with it. */
class Locks {
  #last = Promise.resolve();
  #held = 0;

  request(name, options, work) {
    const [asked, done] = work ? [options, work] : [{}, options];
    if (asked.ifAvailable && this.#held) return Promise.resolve(done(null));
    this.#held += 1;
    const turn = this.#last.then(() => done({ name })).finally(() => { this.#held -= 1; });
    this.#last = turn.catch(() => {});
    return turn;
  }
}

/** The garden as docs/sync.md tells it. */
class Garden {
  kept = new Map();
  aside = new Map();
  faults = [];
  number = 0;

  handle(session, token, records, upTo = records.length) {
    if (!session.member) return json(401, { v: 1, error: "signed-out" });
    if (token !== session.token) return json(403, { v: 1, error: "token" });
    if (records.some((one) => one.content.fields.note === "unreadable")) return json(400, { v: 1, error: "malformed", reason: "no" });
    const answers = records.slice(0, upTo).map((one) => this.#one(session, one));
    if (upTo < records.length) return json(500, { v: 1, error: "broken" });
    return json(200, { v: 1, answers });
  }

  #one({ member }, { content, sha256 }) {
    const { id, kind, by, fields } = content;
    if (by !== member) this.faults.push(`${member} sent what ${by} recorded`);
    const told = { id, kind, sha256, number: null, reason: "" };
    const there = this.kept.get(id);
    if (there?.sha256 === sha256) return { ...told, status: "received", number: there.number, received_at: there.received_at };
    if (there || fields.note === "refused") {
      this.aside.set(`${id} ${sha256}`, content);
      return { ...told, status: "set-aside", reason: "no such batch", received_at: new Date(NOW).toISOString() };
    }
    this.number += 1;
    const received_at = new Date(NOW + this.number * 1000).toISOString();
    this.kept.set(id, { sha256, number: this.number, received_at, by });
    return { ...told, status: "received", number: this.number, received_at };
  }
}

const NEVER = new Promise(() => {});

class Phone {
  session = { member: null, token: 0 };
  skew = 0;
  isFull = false;
  factory = new IDBFactory();
  locks = new Locks();
  store = null;

  /** Whatever is under way goes no further; what is on the disk stays. */
  async restart() {
    const { end } = this;
    this.life = {};
    this.ended = new Promise((over) => { this.end = over; });
    this.locks = new Locks();
    this.store?.database.close();
    this.store = await openStore(this.factory);
    end?.();
  }
}

export class World {
  garden = new Garden();
  late = [];
  made = new Map();
  gone = new Set();
  problems = [];

  constructor(seed, fault = "") {
    this.draw = drawing(seed);
    this.fault = fault;
    this.phones = [new Phone(), new Phone()];
  }

  below(n) { return Math.floor(this.draw() * n); }
  whether(share) { return this.draw() < share; }
  one(list) { return list[this.below(list.length)]; }

  async begin() {
    for (const [n, phone] of this.phones.entries()) {
      await phone.restart();
      this.signIn(phone, WHO[n]);
    }
  }

  signIn(phone, member) { phone.session = { member, token: phone.session.token + 1 }; }

  /** The store as a page sees it: faults are planted here, and a page that is gone hears no more. */
  seen(phone) {
    const { life, store } = phone;
    const dies = { after: !this.calm && this.whether(0.15) ? this.below(6) : Infinity };
    const wrapped = (name, call) => async (...given) => {
      if (phone.life !== life) return NEVER;
      const result = await call(...given).catch((error) => { if (phone.life === life) throw error; });
      if (name !== "of" && name !== "everything" && dies.after-- <= 0) await phone.restart();
      return phone.life === life ? result : NEVER;
    };
    const calls = Object.fromEntries(["add", "of", "everything", "tried", "settle", "again", "remove", "drop"].map((name) => [name, (...given) => store[name](...given)]));
    return Object.fromEntries(Object.entries({ ...calls, ...this.planted(store) }).map(([name, call]) => [name, wrapped(name, call)]));
  }

  planted(store) {
    const week = async (now) => {
      const old = (await store.everything()).filter((one) => Math.abs(now - Date.parse(one.saved_at)) > 7 * DAY_MS);
      if (old.length) await store.remove(old.map((one) => one.id));
    };
    return {
      "removed when it is sent": { tried: (ids) => store.remove(ids) },
      "sent by whoever is signed in": { of: () => store.everything() },
      "everything answered is received": { settle: (id, state, answer) => store.settle(id, "received", answer) },
      "kept for seven days": { drop: week },
      "a form half kept": { add: ([first]) => store.add([first]) },
    }[this.fault] ?? {};
  }

  /** What the line makes of a request. */
  fetch(phone) {
    return async (address, { method, body, headers }) => {
      const { session } = phone;
      const records = body ? JSON.parse(body).records : [];
      const token = Number(headers?.["X-CSRFToken"]);
      const handle = (upTo) => this.garden.handle(session, token, records, upTo);
      const lost = () => { throw new TypeError("the line is dead"); };
      await null;
      if (this.calm) return method === "GET" ? this.hello(session) : handle();
      if (this.whether(0.1)) return lost();
      if (this.whether(0.03)) return new Response("<p>Welcome", { status: 200, headers: { "Content-Type": "text/html" } });
      if (this.whether(0.03)) return json(503, { v: 1, error: "busy" }, { "Retry-After": "1" });
      if (method === "GET") {
        if (this.whether(0.05)) this.signIn(phone, this.one(WHO)); // in another tab, meanwhile
        return this.hello(session);
      }
      if (this.whether(0.1)) { this.late.push(handle); return lost(); }
      if (this.whether(0.1)) { handle(this.below(records.length + 1)); return lost(); }
      if (this.whether(0.05)) return handle(this.below(records.length));
      if (this.whether(0.1)) handle();
      const answer = handle();
      return answer.status === 200 && this.whether(0.15) ? this.garbled(await answer.json()) : answer;
    };
  }

  hello({ member, token }) {
    return member ? json(200, { v: 1, member, garden: GARDEN, csrf: String(token) }) : json(401, { v: 1, error: "signed-out" });
  }

  /** Answers out of order, of other records, some missing, some with another hash. */
  garbled({ answers }) {
    const mixed = answers.map((one) => (this.whether(0.3) ? { ...one, sha256: "of something else" } : one)).filter(() => this.whether(0.8));
    return json(200, { v: 1, answers: [...mixed.reverse(), { id: "nobody's", sha256: "", status: "received", received_at: new Date(NOW).toISOString() }] });
  }

  // --- what may happen -------------------------------------------------------------------------------

  async record(phone) {
    const { member } = phone.session;
    if (!member) return;
    const note = this.whether(0.06) ? "unreadable" : this.whether(0.1) ? "refused" : "";
    const now = new Date(NOW + phone.skew);
    const entries = [{ kind: "look", when: "2026-10-20", fields: { batch: "7K3FQ2XA", n_rooted: this.below(4), note } }];
    if (this.whether(0.3)) entries.push({ kind: "act", when: "2026-10-20", fields: { batch: "7K3FQ2XA", act: "re-wet" } });
    const lot = await sealed(entries, { garden: GARDEN, member }, { words: "1 rooted", about: "7K3FQ2XA", page: "/" }, now);
    await this.kept(phone, (store) => store.add(lot), lot);
  }

  /** Write, with or without room; whoever is told that it is kept is promised that. */
  async kept(phone, write, lot = []) {
    room = phone.isFull ? this.below(3) : Infinity;
    try {
      await write(this.fault === "a form half kept" ? { ...phone.store, add: ([first]) => phone.store.add([first]) } : phone.store);
      for (const one of lot) this.made.set(one.id, one);
    } catch (error) {
      if (error.name !== "QuotaExceededError") throw error;
      const there = new Set((await phone.store.everything()).map((one) => one.id));
      if (lot.some((one) => there.has(one.id))) this.problems.push("half of a form was kept");
    } finally {
      room = Infinity;
    }
  }

  /** One page sends, or two, or one while something is recorded. */
  async send(phone) {
    const { life, ended } = phone;
    room = phone.isFull ? this.below(4) : Infinity;
    const page = () => send({ store: this.seen(phone), fetch: this.fetch(phone), locks: phone.locks, clock: () => new Date(NOW + phone.skew) })
      .catch((error) => { if (error.name !== "QuotaExceededError") throw error; });
    const pages = [page()];
    if (this.whether(0.2)) pages.push(page());
    if (!this.calm && this.whether(0.2) && !phone.isFull) pages.push(this.record(phone).catch((error) => { if (phone.life === life) throw error; }));
    await Promise.race([Promise.all(pages), ended]);
    room = Infinity;
  }

  async takeBack(phone) {
    const { member } = phone.session;
    if (!member) return;
    const mine = (await phone.store.of({ garden: GARDEN, member })).filter((one) => one.kind !== "withdrawal");
    if (!mine.length) return;
    const { form } = this.one(mine);
    const all = await phone.store.everything();
    const before = new Set(all.map((one) => one.id));
    await this.kept(phone, () => undo({ store: phone.store, locks: phone.locks, now: new Date(NOW) }, { garden: GARDEN, member }, form, "Taken back"));
    const after = await phone.store.everything();
    for (const one of after) if (!before.has(one.id)) this.made.set(one.id, one);
    const left = new Set(after.map((one) => one.id));
    // what was received may have made room
    for (const { id, state } of all) if (!left.has(id) && state !== "received") this.gone.add(id);
  }

  /** A newer version of the database is begun, and does not come to its end. */
  async upgrade(phone) {
    phone.store.database.close();
    await new Promise((over) => {
      const request = phone.factory.open(DATABASE, 2);
      request.onupgradeneeded = () => {
        request.result.createObjectStore("more");
        request.transaction.objectStore("records").clear();
        request.transaction.abort();
      };
      request.onerror = (event) => { event.preventDefault(); over(); };
    });
    await phone.restart();
  }

  async step() {
    const phone = this.one(this.phones);
    const at = this.below(100);
    if (at < 34) await this.record(phone);
    else if (at < 68) await this.send(phone);
    else if (at < 76) this.late.splice(this.below(this.late.length || 1), 1).forEach((handle) => handle());
    else if (at < 80) await phone.restart();
    else if (at < 82) await this.upgrade(phone);
    else if (at < 87) await this.takeBack(phone);
    else if (at < 91) this.signIn(phone, this.whether(0.3) ? null : this.one(WHO));
    else if (at < 94) phone.skew = this.one([0, 0, 60_000, -2 * DAY_MS, 3650 * DAY_MS, -3650 * DAY_MS]);
    else if (at < 97) phone.isFull = !phone.isFull;
    else {
      const aside = (await phone.store.everything()).filter((one) => one.state === "set-aside");
      if (aside.length) await phone.store.again(this.one(aside).id);
    }
  }

  // --- what must hold --------------------------------------------------------------------------------

  async settleDown() {
    this.calm = true;
    this.late.forEach((handle) => handle());
    for (const phone of this.phones) {
      Object.assign(phone, { isFull: false, skew: 0 });
      for (const member of WHO) {
        await phone.restart();
        this.signIn(phone, member);
        for (let n = 0; n < 10; n += 1) await this.send(phone);
      }
    }
  }

  async check() {
    const { garden, made, problems } = this;
    problems.push(...garden.faults);
    const there = new Map();
    for (const phone of this.phones) for (const one of await phone.store.everything()) there.set(one.id, one);
    for (const [id, one] of made) {
      const here = there.get(id);
      if (here && (here.sha256 !== one.sha256 || JSON.stringify(here.content) !== JSON.stringify(one.content))) problems.push(`${id} is not what was recorded`);
      if (this.gone.has(id)) {
        if (garden.kept.has(id)) problems.push(`${id} was taken back before it was sent, and is there`);
      } else if (!here && !garden.kept.has(id) && !garden.aside.has(`${id} ${one.sha256}`)) problems.push(`${id} is nowhere`);
    }
    for (const one of there.values()) {
      if (one.state === "received" && garden.kept.get(one.id)?.sha256 !== one.sha256) problems.push(`${one.id} says received, and is not there`);
      if (one.state === "saved" && this.calm) problems.push(`${one.id} waits for ever`);
      if (!made.has(one.id)) problems.push(`${one.id} was recorded by nobody`);
    }
    for (const id of garden.kept.keys()) if (!made.has(id)) problems.push(`${id} is in the garden, recorded by nobody`);
    return problems;
  }
}

/** What does not hold after so many steps of a seed. */
export async function wrongAfter(seed, n, fault = "") {
  const world = new World(seed, fault);
  await world.begin();
  for (let k = 0; k < n; k += 1) {
    await world.step();
    if (world.problems.length) break;
  }
  await world.settleDown();
  return world.check();
}
