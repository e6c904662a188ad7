// What waits on this phone, in IndexedDB. An item is kept when `put` resolves: the transaction is strict, so that it is
// on the disk and not in a buffer. Rejects where the disk is full or the browser keeps nothing.
//
// An item: {key, user, name, address, group, label, at, last, fields: [[name, text]], photo: {name, file, type, bytes}
// or null, state: "waiting" | "parked" | "sent", errors, sent, version, shown}. `group` is the phase: a sign-off (`last`)
// goes after all others of its group.

const SENT_STAY = 14 * 24 * 3600 * 1000; // ms

let opening;

function open() {
  opening ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("gaugerod", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("items", { keyPath: "key" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
  });
  return opening;
}

async function change(work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction("items", "readwrite", { durability: "strict" });
    work(transaction.objectStore("items"));
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error("not kept"));
  });
}

export const put = (item) => change((items) => items.put(item));
export const remove = (key) => change((items) => items.delete(key));

export async function all() {
  const db = await open();
  return new Promise((resolve, reject) => {
    const asked = db.transaction("items").objectStore("items").getAll();
    asked.onsuccess = () => resolve(asked.result.sort((a, b) => a.at.localeCompare(b.at) || (a.key < b.key ? -1 : 1)));
    asked.onerror = () => reject(asked.error);
  });
}

// What the server has had for two weeks is in its backups by any sensible habit.
export async function forget() {
  for (const item of await all()) if (item.state === "sent" && Date.now() - Date.parse(item.sent) > SENT_STAY) await remove(item.key);
}

// UUID version 7 (RFC 9562, section 5.7). Nothing reads the time back.
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
