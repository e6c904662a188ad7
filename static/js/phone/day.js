// The day's pages, kept on the phone before the van leaves; and what the phone may no longer show goes from it.

import * as lock from "./lock.js";
import * as queue from "./queue.js";
import { clock, fill, touched, words } from "./page.js";

const GONE = [403, 404, 410]; // this person's no more
const SMALL_PHOTOS = "img[src*='size=small']";
const MOST_PHOTOS = 200;

const line = document.getElementById("day-kept");

const ask = (address) => fetch(address, { redirect: "manual", cache: "no-store" }).catch(() => null);

function photosOn(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  return [...page.querySelectorAll(SMALL_PHOTOS)].map(({ src }) => src);
}

// The page as it is now, kept on the phone; its body, or null where the phone may not keep it.
async function keepPage(page) {
  const address = new URL(page, location.origin).href;
  const response = await ask(address);
  if (GONE.includes(response?.status)) await drop(address);
  if (!response?.ok || !response.headers.has("Phone-Keep")) return null;
  const headers = new Headers(response.headers);
  headers.set("Kept-At", String(Date.now()));
  const body = await response.blob();
  await (await caches.open("pages")).put(address, new Response(body, { headers }));
  return body;
}

// Takes a page off the phone with the photos on it, unless something that waits here belongs to it.
async function drop(address) {
  const { pathname } = new URL(address);
  if (queue.unsent().some((item) => [item.page, item.address, item.brings].includes(pathname))) return;
  const cache = await caches.open("pages");
  const kept = await cache.match(address);
  if (!kept) return;
  for (const photo of photosOn(await kept.text())) await cache.delete(photo);
  await cache.delete(address);
}

// What the day doesn't list somebody opened besides. It stays for its seven days, as long as the server still shows it.
async function askForOthers(listed) {
  const cache = await caches.open("pages");
  for (const { url } of await cache.keys()) {
    const { pathname } = new URL(url);
    if (listed.has(url) || pathname.startsWith("/photos/")) continue;
    const answer = await ask(url);
    if (!answer) return;
    await answer.body?.cancel();
    if (GONE.includes(answer.status)) await drop(url);
  }
}

// What was sent stands on another page now, which may be asked for without signal.
export async function bring(sent) {
  if (!navigator.serviceWorker) return;
  for (const page of new Set(sent.map((item) => item.brings).filter(Boolean))) await keepPage(page).catch(() => null);
}

async function takeAlong() {
  const answer = await ask("/phone/day/");
  if (!answer?.ok) return;
  const { pages, later } = await answer.json();
  line.ariaBusy = "true";
  const photos = new Set();
  const onward = (n) => (line.textContent = fill(words.taking, { kept: n, all: pages.length }));
  let kept = await takePages(pages, photos, onward);
  const tell = (all) => {
    line.textContent = fill(kept === all ? words.day_kept : words.day_part, { kept, all, when: clock(Date.now()) });
  };
  tell(pages.length);
  await askForOthers(new Set([...pages, ...later].map((page) => new URL(page, location.origin).href)));
  if (kept === pages.length) {
    kept += await takePages(later, photos);
    tell(pages.length + later.length);
  }
  const cache = await caches.open("pages");
  // The worker keeps them, the newest of them: a key begins with its time.
  for (const photo of [...photos].sort().reverse().slice(0, MOST_PHOTOS)) {
    if (!(await cache.match(photo))) await fetch(photo).catch(() => null);
  }
  line.ariaBusy = "false";
  if (kept === pages.length + later.length) (await navigator.serviceWorker.ready).active?.postMessage("pages are fresh");
}

// Keeps them, one after another, and notes what photos they show; how many could be kept.
async function takePages(pages, photos, onward = () => null) {
  let kept = 0;
  for (const page of pages) {
    // A phone that is full keeps what fits.
    const body = await keepPage(page).catch(() => null);
    if (!body) continue;
    for (const photo of photosOn(await body.text())) photos.add(photo);
    onward((kept += 1));
  }
  return kept;
}

// From the beginning: what the worker says before somebody listens is lost.
navigator.serviceWorker?.addEventListener("message", (event) => {
  if (event.data === "fresh" && !touched.size) location.reload();
});

export async function serveWithoutSignal() {
  if (!navigator.serviceWorker) {
    if (line) line.textContent = words.no_https;
    return;
  }
  const registration = await navigator.serviceWorker.register("/sw.js").catch(() => null);
  if (!registration) return;
  const takeOver = () => {
    if (registration.waiting && !queue.unsent().length) registration.waiting.postMessage("take over");
  };
  registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", takeOver));
  takeOver();
  await navigator.storage?.persist?.();
  await navigator.serviceWorker.ready;
  // Today is where a day begins; at a desk nobody needs the pages of every job.
  if (line && !lock.isShut()) await takeAlong();
}
