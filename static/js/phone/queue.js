// Sends what waits, oldest first, readings before photos; a sign-off after all else of its phase. An item leaves the
// phone only on a receipt that repeats its key. One page at a time sends (navigator.locks).

import * as losses from "./losses.js";
import * as store from "./store.js";

const VERSION = "1";
const PATIENCE = 60_000; // ms for one item; a photo comes slowly
const ODD_FOR = 5000; // ms for which an item is answered oddly before it is set aside: longer than a proxy's hiccup
const STUMBLES = 3; // items in one go that the server may stumble over; then it is the server and not the item
const ASK_AGAIN = 10 * 60_000; // ms between two questions whether the server still has what it got
const SHOW_AGAIN = 250; // ms between two times that the page shows how far it is

let asked = 0;
let shown = 0;
const listeners = new Set();

// How it stands: {items, user, signal: "yes" | "no", logIn, clockOff}. `clockOff`: ms by which this phone's clock is ahead
// of the server's; below zero, behind.
export const now = { items: [], user: null, signal: navigator.onLine ? "yes" : "no", logIn: false, clockOff: 0 };

export function listen(listener) {
  listeners.add(listener);
}

// What the server hasn't got yet.
export const unsent = () => now.items.filter((item) => item.state !== "sent");

// Has the page show how it stands now.
export const look = () => changed();

async function changed(sent = []) {
  now.items = await losses.look(store.all);
  shown = Date.now();
  for (const listener of listeners) listener(now, sent);
}

// One of many is through: the page needn't hear of each.
async function onward() {
  if (Date.now() - shown > SHOW_AGAIN) await changed();
  else now.items = await store.all();
}

export async function add(item) {
  await store.put({ ...item, version: VERSION, state: "waiting", errors: null, sent: null });
  await changed();
}

// What another person entered stays: `user` is who asks.
const ownItem = async (key, user) => (await store.all()).find((item) => item.key === key && item.user === user);

export async function takeBack(key, user) {
  if (await ownItem(key, user)) await losses.release(key, () => store.remove(key));
  await changed();
}

export async function again(key, user) {
  const item = await ownItem(key, user);
  if (item) await store.put({ ...item, state: "waiting", errors: null, odd: 0 });
  await changed();
  return flush();
}

export async function load() {
  // Before old items are forgotten: what is gone after that was forgotten on purpose.
  await changed();
  await store.forget();
  await changed();
}

let queued = null;

// Sends what can be sent; resolves when it is through or has to stop. Who comes while somebody sends goes after them:
// what was added in the last moment would stay else.
export function flush() {
  queued ??= (navigator.locks ? navigator.locks.request("gaugerod-send", start) : Promise.resolve().then(start));
  return queued;
}

function start() {
  queued = null;
  return send();
}

async function ask(address, options = {}) {
  return fetch(address, { cache: "no-store", redirect: "manual", credentials: "same-origin", ...options });
}

async function send() {
  const sent = [];
  try {
    const answer = await ask("/phone/me/", { signal: AbortSignal.timeout(10_000) });
    now.signal = answer.status < 500 && answer.status > 0 ? "yes" : "no";
    now.logIn = answer.status === 401;
    now.clockOff = Date.now() - (Date.parse(answer.headers.get("Date")) || Date.now());
    if (!answer.ok) return;
    const me = await answer.json();
    now.user = me.user;
    await bringBack(me);
    now.items = await store.all();
    const stumbled = new Set();
    for (let item = next(me.user, stumbled); item; item = next(me.user, stumbled)) {
      if (!(await sendOne(item, me.csrf, sent, stumbled))) break;
    }
  } catch {
    now.signal = "no";
  } finally {
    await changed(sent);
  }
}

// The next item to go. An item that is parked or stumbled over stops the sign-off of its own phase and of those that come
// after it in the room, and nothing else.
function next(user, stumbled) {
  const mine = unsent().filter((item) => item.user === user);
  const stops = (other, item) => (other.group === item.group ? !other.last : item.before?.includes(other.group));
  const isHeld = (item) => item.last && mine.some((other) => other !== item && stops(other, item));
  const may = mine.filter((item) => item.state === "waiting" && !stumbled.has(item.key) && !isHeld(item));
  return may.find((item) => !item.photo && !item.last) ?? may.find((item) => !item.last) ?? may[0];
}

// Whether to go on with the others.
async function sendOne(item, csrf, sent, stumbled) {
  const form = new FormData();
  for (const [name, text] of item.fields) form.append(name, text);
  const photo = await store.photoOf(item).catch(() => undefined);
  if (photo === undefined) return park(item, { unread: true });
  if (photo) form.append(photo.name, new File([photo.bytes], photo.file, { type: photo.type }));
  const answer = await ask(item.address, {
    method: "POST",
    body: form,
    signal: AbortSignal.timeout(PATIENCE),
    headers: { "X-CSRFToken": csrf, "Phone-Item": item.key, "Phone-Happened-At": item.at, "Phone-Sent-At": new Date().toISOString(), "Phone-Version": item.version },
  });
  const isJson = answer.headers.get("Content-Type")?.startsWith("application/json");
  const said = isJson ? await answer.json() : null;
  if (answer.ok && said?.kept === true && said.id === item.key) {
    await store.put({ ...item, state: "sent", sent: new Date().toISOString() });
    sent.push(item);
    await onward();
    return true;
  }
  const { status } = answer;
  if (status === 401) now.logIn = true;
  // 429 and 503 ask to wait.
  if ([401, 429, 503].includes(status)) return false;
  if (said?.kept === false && [403, 409, 422].includes(status)) return park(item, said.errors);
  // 404: the job isn't this person's any more; 413: too large for the server. Neither gets better by itself.
  if ([404, 410, 413].includes(status)) return park(item, { status });
  // Neither a receipt nor a reason: a stale token, a proxy's page, a redirect. With a fresh token it comes again, and meanwhile
  // the others go.
  const oddSince = status < 500 ? (item.oddSince ?? Date.now()) : item.oddSince;
  if (status < 500 && Date.now() - oddSince >= ODD_FOR) return park(item, { status: status || "3xx" });
  await store.put({ ...item, oddSince });
  stumbled.add(item.key);
  return stumbled.size < STUMBLES;
}

// Set aside, for its person to look at.
async function park(item, errors) {
  await store.put({ ...item, state: "parked", errors });
  await onward();
  return true;
}

// A server that came back from a backup lacks what it had taken since: it gets that again.
async function bringBack(me) {
  if (Date.now() - asked < ASK_AGAIN) return;
  // `counted`: of a page of before, which had no receipt for everything.
  const isAskedFor = (item) => item.state === "sent" && item.user === me.user && item.counted !== false;
  const had = (await store.all()).filter(isAskedFor);
  for (let start = 0; start < had.length; start += 1000) {
    const keys = had.slice(start, start + 1000).map((item) => item.key);
    const answer = await ask("/phone/known/", {
      method: "POST",
      body: JSON.stringify({ keys }),
      headers: { "X-CSRFToken": me.csrf, "Content-Type": "application/json" },
      signal: AbortSignal.timeout(10_000),
    });
    if (!answer.ok) return;
    const { missing } = await answer.json();
    for (const item of had) if (missing.includes(item.key)) await store.put({ ...item, state: "waiting", sent: null });
  }
  asked = Date.now();
}
