// What waits on this phone, in IndexedDB. An item is kept when `put` resolves: the transaction is strict, so that it is
// on the disk and not in a buffer. Rejects where the disk is full or the browser keeps nothing.
//
// An item: {key, user, name, address, group, before, label, brings, at, last, fields: [[name, text]], verdict, due, whole,
// photo: {name, file, type} or null, state: "waiting" | "parked" | "sent", errors, odd, sent, version}. `group` is the
// phase: a sign-off (`last`) goes after all others of its group and of those in `before`. `brings`: a page on which it
// stands once it is sent. `due`: when a wait that it began is over. `odd`: how often the answer was neither a receipt nor
// a reason. `whole`: the form is a page of its own, and only the server judges it. The bytes of its photo lie beside it,
// under the same key: who only looks what waits doesn't read 50 photos.

const SENT_STAY = 14 * 24 * 3600 * 1000; // ms
const BLOCKED = 5000; // ms that another page of ours may take to close a database of the version before

let opening;

function open() {
  opening ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("gaugerod", 2);
    asked.onupgradeneeded = ({ oldVersion }) => {
      if (oldVersion < 1) asked.result.createObjectStore("items", { keyPath: "key" });
      asked.result.createObjectStore("photos");
      if (oldVersion === 1) partPhotos(asked.transaction);
    };
    asked.onsuccess = () => {
      // A page with a newer version of this must not wait for this one to be closed.
      asked.result.onversionchange = () => {
        asked.result.close();
        opening = undefined;
      };
      // A browser that clears a site's data closes it as well.
      asked.result.onclose = () => (opening = undefined);
      resolve(asked.result);
    };
    const failed = (error) => {
      // Whoever comes next tries again.
      opening = undefined;
      reject(error);
    };
    asked.onerror = () => failed(asked.error);
    asked.onblocked = () => setTimeout(() => asked.readyState === "pending" && failed(new Error("blocked")), BLOCKED);
  });
  return opening;
}

// In version 1 the bytes were in the item.
function partPhotos(transaction) {
  const items = transaction.objectStore("items");
  items.openCursor().onsuccess = ({ target: { result: cursor } }) => {
    if (!cursor) return;
    write(items, transaction.objectStore("photos"), cursor.value);
    cursor.continue();
  };
}

function write(items, photos, item) {
  const { bytes, ...photo } = item.photo ?? {};
  items.put(bytes ? { ...item, photo } : item);
  if (bytes) photos.put(bytes, item.key);
}

async function change(work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(["items", "photos"], "readwrite", { durability: "strict" });
    work(transaction.objectStore("items"), transaction.objectStore("photos"));
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error("not kept"));
  });
}

// A photo with `bytes` is kept with its item, in one transaction; without, the one that was kept stays.
export const put = (item) => change((items, photos) => write(items, photos, item));
export const remove = (key) =>
  change((items, photos) => {
    items.delete(key);
    photos.delete(key);
  });

async function read(store, ask) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const asked = ask(db.transaction(store).objectStore(store));
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

// Oldest first; two of the same moment by their keys, which follow each other.
export async function all() {
  const order = (item) => item.at + item.key;
  return (await read("items", (items) => items.getAll())).sort((a, b) => (order(a) < order(b) ? -1 : 1));
}

// The item's photo with its bytes, or null. Rejects where the phone can't read it any more.
export async function photoOf(item) {
  if (!item.photo) return null;
  const bytes = await read("photos", (photos) => photos.get(item.key));
  if (!bytes) throw new Error("no photo");
  return { ...item.photo, bytes };
}

// What the server has had for two weeks is in its backups by any sensible habit.
export async function forget() {
  for (const item of await all()) if (item.state === "sent" && Date.now() - Date.parse(item.sent) > SENT_STAY) await remove(item.key);
}

// UUID version 7 (RFC 9562, section 5.7).
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let time = Date.now();
  for (let n = 5; n >= 0; n--) {
    bytes[n] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const text = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return text.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
