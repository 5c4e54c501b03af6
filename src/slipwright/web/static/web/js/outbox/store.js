// Where records lie until the garden has them. A database of its own: upgrades only add to it, and
// nothing here ever empties it, whatever it reads like.

export const DATABASE = "slipwright-outbox";
const RECORDS = "records";
/** Received records are kept so long, so that whoever recorded can look. */
export const KEEP_RECEIVED_MS = 30 * 24 * 3600 * 1000;
/** The version of a record as it lies here. */
export const RECORD_VERSION = 1;

const CLOSED = ["InvalidStateError", "UnknownError"];

/** The steps from each version of the database to the next. New ones go below; none is ever changed. */
const UPGRADES = [
  (database) => {
    const records = database.createObjectStore(RECORDS, { keyPath: "id" });
    records.createIndex("n", "n");
  },
];

const done = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/** Open the outbox; rejects where this browser cannot keep one. */
export function openStore(factory = globalThis.indexedDB) {
  return new Promise((resolve, reject) => {
    const request = factory.open(DATABASE, UPGRADES.length);
    request.onupgradeneeded = (event) => {
      for (const upgrade of UPGRADES.slice(event.oldVersion)) upgrade(request.result);
    };
    request.onblocked = () => reject(new Error("another page holds an older outbox"));
    request.onerror = () => reject(request.error);
    request.onsuccess = () => resolve(new Store(request.result, factory));
  });
}

export class Store {
  constructor(database, factory = globalThis.indexedDB) {
    Object.assign(this, { database, factory, writing: 0 });
    database.onversionchange = () => database.close();
  }

  /** Add records, all or none; resolves when they are on the disk. */
  add(records) {
    return this.#write(async (lot) => {
      const last = await done(lot.index("n").openCursor(null, "prev"));
      let n = last ? last.value.n : 0;
      for (const record of records) {
        // tried twice, it may lie there already
        if (!await done(lot.getKey(record.id))) lot.add({ ...record, n: (n += 1), v: RECORD_VERSION });
      }
    });
  }

  /** All records of a member of a garden, oldest first. */
  async of({ garden, member }) {
    return (await this.everything()).filter((one) => one.garden === garden && one.member === member);
  }

  /** All records on this phone, oldest first, whoever made them: for counting and sending only. */
  async everything() {
    const read = () => done(this.database.transaction(RECORDS).objectStore(RECORDS).getAll());
    return (await this.#opened(read)).sort((one, other) => one.n - other.n);
  }

  /** Note that records are about to be sent: from now on the garden may know them. */
  tried(ids) {
    return this.#change(ids, (record) => ({ ...record, tries: record.tries + 1 }));
  }

  /** Note what became of a record. */
  settle(id, state, answer) {
    return this.#change([id], (record) => ({ ...record, state, answer }));
  }

  /** Put a record that was set aside back among those that wait, to be sent once more. */
  again(id) {
    return this.#change([id], (record) => ({ ...record, state: "saved", answer: null }));
  }

  /** Take out records that were never sent, or that the person deleted. */
  remove(ids) {
    return this.#write((lot) => { for (const id of ids) lot.delete(id); });
  }

  /** Drop what was received longer ago than it is kept for. Nothing else goes by time. */
  async drop(now = Date.now()) {
    const old = (await this.everything()).filter(
      (one) => one.state === "received" && now - Date.parse(one.answer.received_at) > KEEP_RECEIVED_MS);
    if (old.length) await this.remove(old.map((one) => one.id));
  }

  #change(ids, change) {
    return this.#write(async (lot) => {
      for (const id of ids) {
        const record = await done(lot.get(id));
        if (record) lot.put(change(record));
      }
    });
  }

  async #write(work) {
    this.writing += 1;
    try {
      await this.#once(work).catch(async (error) => {
        if (error?.name !== "QuotaExceededError" || !await this.#makeRoom()) throw error;
        await this.#once(work);
      });
    } finally {
      this.writing -= 1;
    }
    tellOthers();
  }

  /** Take out what was received: the garden has it. Says whether there was any. */
  async #makeRoom() {
    const had = (await this.everything()).filter((one) => one.state === "received");
    if (had.length) await this.#once((lot) => { for (const { id } of had) lot.delete(id); });
    return had.length > 0;
  }

  #once(work) {
    return this.#opened(() => this.#written(work));
  }

  /** Do something; where the browser closed the database under this page, open it anew and do it again. */
  async #opened(work) {
    try {
      return await work();
    } catch (error) {
      if (!CLOSED.includes(error?.name)) throw error;
      const { database } = await openStore(this.factory);
      this.database = database;
      return work();
    }
  }

  async #written(work) {
    const write = this.database.transaction(RECORDS, "readwrite", { durability: "strict" });
    const kept = new Promise((resolve, reject) => {
      write.oncomplete = resolve;
      write.onerror = () => reject(write.error);
      write.onabort = () => reject(write.error ?? new Error("not kept"));
    });
    try {
      await work(write.objectStore(RECORDS));
    } catch (error) {
      try { write.abort(); } catch { /* it is over already */ }
      kept.catch(() => {});
      throw error;
    }
    await kept;
  }
}

/** Other tabs, and the pages of this one, count anew. */
function tellOthers() {
  try {
    const channel = new BroadcastChannel(DATABASE);
    channel.postMessage("changed");
    channel.close();
  } catch { /* they count when they are opened next: it is kept all the same */ }
}

/** Call back whenever the outbox changed, in this tab or another. */
export function onChange(heard) {
  new BroadcastChannel(DATABASE).addEventListener("message", () => heard());
}
