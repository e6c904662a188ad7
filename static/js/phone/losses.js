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

// Once, when a page is opened: `items` is all that the database has.
export function notice(items) {
  const here = new Set(items.map((item) => item.key));
  const gone = keys(WAITING).filter((key) => !here.has(key));
  if (gone.length) save(LOST, [...all(), ...gone]);
}

export function remember(items) {
  const waiting = items.filter((item) => item.state !== "sent").map((item) => item.key);
  if (waiting.join() !== keys(WAITING).join()) save(WAITING, waiting);
}
