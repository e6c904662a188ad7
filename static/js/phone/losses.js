// What waited on this phone and is gone without having been sent: a phone that runs full may clear a site's database, and
// nobody would know. The keys of what waits stand in localStorage as well, which isn't cleared with it everywhere.

const WAITING = "gaugerod-waiting";
const LOST = "gaugerod-lost";

function keys(name) {
  try {
    return JSON.parse(localStorage.getItem(name)) ?? [];
  } catch {
    return []; // nothing is kept here
  }
}

function save(name, list) {
  try {
    localStorage.setItem(name, JSON.stringify(list));
  } catch {
    // Full or closed: then a loss isn't noticed, and nothing else is the worse for it.
  }
}

export const all = () => keys(LOST);
export const forget = () => save(LOST, []);

// When the first of them was made: a key begins with its time in ms (UUID version 7).
export const since = () => Math.min(...all().map((key) => parseInt(key.replace("-", "").slice(0, 12), 16)));

// One after the other among all pages of ours: what a page reads here and in the database is of one moment.
const alone = (work) => (navigator.locks ? navigator.locks.request("gaugerod-waiting", work) : work());

// All items, as `read` reads them from the database. A key that waited and has no item there is lost from now on.
export const look = (read) =>
  alone(async () => {
    const before = keys(WAITING);
    const items = await read();
    const here = new Set(items.map((item) => item.key));
    const gone = before.filter((key) => !here.has(key));
    if (gone.length) save(LOST, [...all(), ...gone]);
    const waiting = items.filter((item) => item.state !== "sent").map((item) => item.key);
    if (waiting.join() !== before.join()) save(WAITING, waiting);
    return items;
  });

// What somebody takes back isn't lost: its key goes before `remove` takes the item.
export const release = (key, remove) =>
  alone(() => {
    save(WAITING, keys(WAITING).filter((each) => each !== key));
    return remove();
  });
