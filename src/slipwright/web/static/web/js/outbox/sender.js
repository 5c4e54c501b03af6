// Sending what waits, one sending at a time across tabs. Nothing is deleted here: a record is marked
// received only when the answer names its id and its hash.

export const LOCK = "slipwright-outbox-send";
const MOST_RECORDS = 20;
const MOST_BYTES = 150_000;
const PATIENCE_MS = 20_000;
const LATER_MS = 30_000;
const OF_ONE_LOT = [400, 413, 500];

/** Records in lots that one request may carry. */
export function inLots(records) {
  const lots = [];
  let bytes = 0;
  for (const record of records) {
    const size = new TextEncoder().encode(JSON.stringify(sent(record))).length;
    if (!lots.length || lots.at(-1).length === MOST_RECORDS || bytes + size > MOST_BYTES) {
      lots.push([]);
      bytes = 0;
    }
    lots.at(-1).push(record);
    bytes += size;
  }
  return lots;
}

/** A record as it travels. */
export function sent(record) {
  const { content, sha256, ground } = record;
  return ground ? { content, sha256, ground } : { content, sha256 };
}

/**
 * Send what waits of whoever is signed in here. Says what came of it: `state` is one of "done",
 * "no-signal", "signed-out", "refused", "not-allowed", "later" (with `after`, in ms), "sending" where another
 * tab is at it. `known` is the garden's last number as a page of now tells it: below what this phone was
 * told, the garden was put back from a copy.
 */
export function send({ store, fetch = globalThis.fetch.bind(globalThis), locks = navigator.locks, clock = () => new Date(), known = Infinity }) {
  return locks.request(LOCK, { ifAvailable: true }, (lock) =>
    lock ? new Sending(store, fetch, clock).all(known) : { state: "sending" });
}

const OVER = ["done", "signed-out", "refused", "not-allowed"];

/** Send as the browser asks for it in the background; rejects where it is to be asked again later. */
export async function sendBehind(asked) {
  const { state } = await send(asked);
  if (!OVER.includes(state)) throw new Error(state);
}

/** Whether the garden had a record once, and no more: its last number is below the record's. */
const isGone = (one, number) => one.state === "received" && one.answer.number > number;

class Stop extends Error {
  constructor(told) {
    super(told.state);
    this.told = told;
  }
}

class Sending {
  constructor(store, fetch, clock) {
    Object.assign(this, { store, fetch, clock });
  }

  async all(known) {
    try {
      await this.store.drop(this.clock().getTime());
      const any = (await this.store.everything()).some((one) => one.state === "saved" || isGone(one, known));
      if (!any) return { state: "done", received: 0 };
      this.who = await this.hello();
      for (const one of await this.store.of(this.who)) if (isGone(one, this.who.number)) await this.store.again(one.id);
      const waiting = (await this.store.of(this.who)).filter((one) => one.state === "saved");
      let received = 0;
      for (const lot of inLots(waiting)) received += await this.lot(lot);
      return this.isLeft ? { state: "later", after: LATER_MS, received } : { state: "done", received };
    } catch (error) {
      return error instanceof Stop ? error.told : { state: "later", after: LATER_MS };
    }
  }

  /** Ask who is signed in, and for a token: fresh before each sending, for an old one is refused. */
  async hello() {
    const answer = await this.ask("GET");
    const said = await answer.json();
    return { garden: said.garden, member: said.member, csrf: said.csrf, number: said.number ?? Infinity };
  }

  async lot(records) {
    await this.store.tried(records.map((one) => one.id));
    const answer = await this.post(records);
    if (OF_ONE_LOT.includes(answer.status)) {
      if (records.length > 1) { // one that cannot be taken in holds up none beside it
        const half = Math.ceil(records.length / 2);
        return await this.lot(records.slice(0, half)) + await this.lot(records.slice(half));
      }
      if (answer.status === 500) {
        this.isLeft = true;
        return 0;
      }
      const { reason = "" } = await answer.json().catch(() => ({}));
      await this.store.settle(records[0].id, "set-aside", { status: "unread", reason });
      return 0;
    }
    const { answers } = await answer.json();
    return this.mark(records, answers);
  }

  /** Mark what the answers name by id and hash; what they do not name waits on. */
  async mark(records, answers) {
    let received = 0;
    for (const answer of answers) {
      const record = records.find((one) => one.id === answer.id && one.sha256 === answer.sha256);
      if (!record) continue;
      if (answer.status === "received") {
        received += 1;
        await this.store.settle(record.id, "received", answer);
      } else if (answer.status === "set-aside") {
        await this.store.settle(record.id, "set-aside", answer);
      }
    }
    return received;
  }

  async post(records) {
    const body = JSON.stringify({ v: 1, sent_at: this.clock().toISOString(), records: records.map(sent) });
    try {
      return await this.ask("POST", body);
    } catch (error) {
      if (!(error instanceof Stop) || error.told.why !== "token") throw error;
      const now = await this.hello();
      if (now.member !== this.who.member || now.garden !== this.who.garden) throw error;
      this.who = now;
      return await this.ask("POST", body);
    }
  }

  async ask(method, body) {
    const asked = { method, credentials: "same-origin", redirect: "error", cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS) };
    if (body) {
      asked.body = body;
      asked.headers = { "Content-Type": "application/json", "X-CSRFToken": this.who.csrf };
    }
    let answer;
    try {
      answer = await this.fetch("/sync", asked);
    } catch {
      throw new Stop({ state: "no-signal" });
    }
    if (answer.ok || (body && OF_ONE_LOT.includes(answer.status))) {
      if (answer.status !== 500 && !(answer.headers.get("Content-Type") ?? "").includes("json")) throw new Stop({ state: "no-signal" });
      return answer;
    }
    if (answer.status === 401) throw new Stop({ state: "signed-out" });
    if (answer.status === 403) {
      const { error } = await answer.json().catch(() => ({ error: "token" }));
      throw new Stop({ state: error === "not-allowed" ? error : "refused", why: error });
    }
    const after = Number(answer.headers.get("Retry-After"));
    throw new Stop({ state: "later", after: after > 0 ? after * 1000 : LATER_MS });
  }
}
