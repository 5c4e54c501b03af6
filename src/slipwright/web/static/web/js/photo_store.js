// Where photos lie until the garden has them: a database of their own, to which upgrades only add.

const DATABASE = "slipwright-photos";
const PHOTOS = "photos";

const done = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/** Open the photos of this phone. */
export function openPhotos(factory = globalThis.indexedDB) {
  const request = factory.open(DATABASE, 1);
  request.onupgradeneeded = () => request.result.createObjectStore(PHOTOS, { keyPath: "id" });
  return done(request);
}

/** Change what lies there; resolves when it is on the disk. */
export function change(database, work) {
  return new Promise((resolve, reject) => {
    const turn = database.transaction(PHOTOS, "readwrite", { durability: "strict" });
    turn.oncomplete = () => resolve();
    turn.onerror = turn.onabort = () => reject(turn.error);
    work(turn.objectStore(PHOTOS));
  });
}

/** All photos on this phone, whoever took them. */
export const everything = (database) => done(database.transaction(PHOTOS).objectStore(PHOTOS).getAll());

/** How many photos of a member wait to be sent. */
export async function photosWaiting({ garden, member }) {
  const database = await openPhotos();
  try {
    return (await everything(database)).filter((one) => (
      one.state === "saved" && one.garden === garden && one.member === member)).length;
  } finally {
    database.close();
  }
}
