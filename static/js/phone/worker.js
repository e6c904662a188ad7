// Answers for the server while there is no signal. Served at /sw.js, with VERSION and FILES put before it.
//
// Files of the look and the scripts come from the phone at once. A page comes from the server; where that takes longer
// than a moment, or fails, it comes from the phone as it was last seen. Only pages that the server marks are kept.

const LOOK = `look-${VERSION}`;
const PAGES = "pages";
const MOMENT = 800; // ms
const AT_ONCE = 2000; // ms in which a page is loaded again that was told to be
const MOST_PHOTOS = 200;
const MOST_BYTES = 20 * 2 ** 20; // of small photos
const GONE = [403, 404, 410]; // this person's no more
const WEEK = 7 * 24 * 3600 * 1000; // ms: addresses and gate codes don't stay longer without contact

self.addEventListener("install", (event) => event.waitUntil(caches.open(LOOK).then((cache) => cache.addAll([...FILES, new Request("/phone/offline/", { credentials: "omit" })]))));

self.addEventListener("activate", (event) => event.waitUntil(Promise.all([self.clients.claim(), dropOldPages()])));

// Until then the next page is the answer to a form: it has to come from the server, which says in it what became of the
// form, and says it once.
let patientUntil = 0;
const PATIENCE = 60_000; // ms

self.addEventListener("message", (event) => {
  if (event.data === "a form goes") patientUntil = Date.now() + PATIENCE;
  if (event.data === "take over") self.skipWaiting();
  // Pages kept before name files of the look before: that one goes only when every page has been seen anew.
  if (event.data === "pages are fresh") event.waitUntil(dropOldLooks());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event));
  else if (isSmallPhoto(url)) event.respondWith(photo(event));
  else if (url.pathname.startsWith("/static/")) event.respondWith(file(request));
});

async function file(request) {
  return (await caches.match(request)) ?? fetch(request);
}

const isSmallPhoto = ({ pathname, searchParams }) => pathname.startsWith("/photos/") && searchParams.get("size") === "small";

// From the server, which says each time whether this person may still see it; from the phone where it is slow or away.
async function photo(event) {
  const address = event.request.url;
  const cache = await caches.open(PAGES);
  const kept = await cache.match(address);
  const answer = fetch(event.request).then(async (response) => {
    if (GONE.includes(response.status)) await cache.delete(address);
    await keep(cache, address, response);
    event.waitUntil(dropOldPhotos());
    return response;
  });
  if (!kept) return answer;
  const late = new Promise((resolve) => setTimeout(resolve, MOMENT, null));
  const first = await Promise.race([answer.catch(() => null), late]);
  event.waitUntil(answer.catch(() => null));
  return first && first.status < 500 ? first : kept;
}

async function page(event) {
  const asked = Date.now();
  const { request } = event;
  const address = request.url.split("#")[0];
  const cache = await caches.open(PAGES);
  let kept = await cache.match(address);
  if (kept && asked - kept.headers.get("Kept-At") > WEEK) {
    await dropOldPages();
    kept = undefined;
  }
  let isChanged = false;
  const answer = fetch(request).then(async (response) => {
    const isGone = GONE.includes(response.status);
    if (isGone) await cache.delete(address);
    isChanged = (await keep(cache, address, response).catch(() => false)) || isGone;
    return response;
  });
  if (!kept) return answer.catch(() => caches.match("/phone/offline/"));
  const isAnswer = asked < patientUntil;
  patientUntil = 0;
  if (isAnswer) return answer.catch(() => kept);
  const late = new Promise((resolve) => setTimeout(resolve, MOMENT, null));
  const first = await Promise.race([answer.catch(() => null), late]);
  // A server that is down behind a proxy that isn't is no signal either.
  if (first && first.status < 500) return first;
  // Loaded again because of that, it isn't told once more: with a slow server that would go on for ever. Nor where nothing
  // of it has changed on the phone (a log-in that ended).
  const isTold = asked - (told.get(address) ?? 0) < AT_ONCE;
  if (!isTold) event.waitUntil(answer.then(() => isChanged && tell(event.resultingClientId, address), () => null));
  return kept;
}

// Whether it was kept.
async function keep(cache, address, response) {
  const isOwn = response.ok && !response.redirected && response.type === "basic";
  if (!isOwn || !response.headers.has("Phone-Keep")) return false;
  const copy = response.clone();
  const headers = new Headers(copy.headers);
  headers.set("Kept-At", String(Date.now()));
  await cache.put(address, new Response(await copy.blob(), { headers }));
  return true;
}

// When somebody was told, by the page's address.
const told = new Map();

// Somebody looks at a page as it was, and the server has answered since.
async function tell(id, address) {
  // Resolves once the page is there: the answer may have been quicker.
  const client = await self.clients.get(id);
  told.set(address, Date.now());
  client?.postMessage("fresh");
}

async function dropOldPages() {
  const cache = await caches.open(PAGES);
  for (const request of await cache.keys()) {
    const kept = await cache.match(request);
    if (Date.now() - kept.headers.get("Kept-At") > WEEK) await cache.delete(request);
  }
}

let dropping = null;

// The newest stay: an address has the photo's key, which begins with its time.
function dropOldPhotos() {
  dropping ??= dropPhotosBeyond(MOST_PHOTOS, MOST_BYTES).finally(() => (dropping = null));
  return dropping;
}

async function dropPhotosBeyond(most, bytes) {
  const cache = await caches.open(PAGES);
  const photos = (await cache.keys()).filter((request) => isSmallPhoto(new URL(request.url)));
  photos.sort((a, b) => (a.url < b.url ? 1 : -1));
  let room = bytes;
  for (const [n, request] of photos.entries()) {
    room -= (await (await cache.match(request)).blob()).size;
    if (n >= most || room < 0) await cache.delete(request);
  }
}

async function dropOldLooks() {
  for (const name of await caches.keys()) if (name.startsWith("look-") && name !== LOOK) await caches.delete(name);
}
