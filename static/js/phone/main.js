// Every page of the shop's people: keeps forms marked data-queue on the phone before they are sent, says how many wait,
// and takes the day's pages along. Without this file, or where the browser keeps nothing, the forms work by themselves.

import * as queue from "./queue.js";
import * as store from "./store.js";
import * as lock from "./lock.js";
import * as losses from "./losses.js";
import { evidence } from "./photos.js";
import { outcome } from "./verdict.js";
import { countdown } from "./countdown.js";
import { showWaiting, stay } from "./stays.js";
import { proves, standing, toAnswer } from "./walls.js";
import "./voids.js";

const NO_KEY = "00000000-0000-0000-0000-000000000000"; // in data-then: the key of what was sent
const EVERY = 30_000; // ms between two tries while something waits
const TWICE = 1000; // ms in which a second press is the same one
const words = JSON.parse(document.getElementById("phone-words").textContent);
const person = document.getElementById("phone").dataset;
// A time in Spanish ends with a point: a sentence that it ends needs no second one.
const fill = (text, values) => text.replace(/%\((\w+)\)s/g, (_, name) => values[name]).replace(/\.\.(?= |$)/g, ".");
const clock = (at) => {
  const date = new Date(at);
  const today = date.toDateString() === new Date().toDateString();
  return date.toLocaleString(document.documentElement.lang, today ? { timeStyle: "short" } : { dateStyle: "short", timeStyle: "short" });
};

// ---- keeping a form

function say(form, text) {
  let box = form.querySelector(":scope > .kept-not");
  if (!box) {
    box = document.createElement("p");
    box.className = "kept-not errors";
    box.setAttribute("role", "alert");
    form.prepend(box);
  }
  box.textContent = text;
  box.hidden = !text;
  // A long form is pressed at its foot.
  if (text) box.scrollIntoView({ block: "nearest" });
}

// What can't be an entry whatever the server thinks.
function missing(form, check, fields, photo) {
  const { needs } = form.dataset;
  if (needs && ![...form.querySelectorAll(needs)].some((field) => field.value.trim())) return form.dataset.lacks ?? words.enter_reading;
  if (!check) return "";
  const has = (name) => fields.some(([key]) => key === name);
  if (has("skip")) return fields.some(([key, text]) => key === "note" && text.trim()) ? "" : words.say_why;
  if (check.kind === "tick" && !has("right") && !has("wrong")) return words.press_one;
  if (check.kind === "wait" && !has("begin")) return words.press_begin;
  if (check.kind === "photo" && !photo) return words.take_photo;
  const empty = fields.some(([key, text]) => key.startsWith("value_") && !text.trim());
  return empty && !has("tap") ? words.enter_reading : "";
}

async function keep(form, submitter) {
  const data = new FormData(form, submitter);
  const fields = [...data].filter(([name, value]) => typeof value === "string" && name !== "csrfmiddlewaretoken");
  const [photoName, file] = [...data].find(([, value]) => value instanceof File && value.size) ?? [];
  const card = "amends" in form.dataset ? null : form.closest("[data-check]");
  const check = card && JSON.parse(card.dataset.check);
  // A photo that is taken first is one more, never the mended one of another.
  const parked = "take" in form.dataset ? null : queue.unsent().find((item) => item.key === form.dataset.parked || isOpenToMend(form, item));
  // A browser never fills in a chosen file again: a parked item's photo is taken over unless there is another.
  const lacks = form.dataset.cannot ?? missing(form, check, fields, file ?? parked?.photo);
  const waits = queue.unsent().some((item) => item.group && item.group === form.dataset.group);
  const held = "last" in form.dataset && submitter?.ariaDisabled === "true" && !waits;
  // An answer that was on its way may come after the signal went.
  if (held && queue.now.signal === "yes" && navigator.onLine) {
    // The server says what holds it, all of it.
    direct(form, submitter);
    return;
  }
  say(form, lacks || (held ? words.held : ""));
  if (lacks || held) return;
  const key = store.newKey();
  const own = fields.filter(([name]) => name !== "key");
  if (fields.length !== own.length) own.push(["key", key]);
  const tapped = own.filter(([name]) => name === "surfaces").map(([, key]) => key);
  const photo = file ? await evidence(photoName, file, { keepPlace: "keepPlace" in person }) : parked ? await store.photoOf(parked) : null;
  const item = {
    key,
    user: person.user,
    name: person.name,
    address: addressOf(form),
    group: form.dataset.group ?? "",
    page: new URL(form.dataset.page ?? "", location.href).pathname,
    whole: "whole" in form.dataset,
    label: form.dataset.label ?? document.title,
    brings: form.dataset.brings ?? "",
    at: new Date().toISOString(),
    last: "last" in form.dataset,
    counted: !("uncounted" in form.dataset),
    fields: own,
    walls: (check?.places ?? []).filter((place) => tapped.includes(place.key)).map((place) => place.name),
    verdict: check && outcome(check, photo ? [...own, ["photo", ""]] : own),
    photo,
  };
  try {
    await queue.add(item);
  } catch {
    // Nothing leaves the form: it can be sent with signal, or once there is room.
    say(form, words.full);
    if (navigator.onLine) direct(form, submitter);
    return;
  }
  stay(form, key);
  // Only now that the mended one is kept may the other go.
  if (parked) await queue.takeBack(parked.key);
  clear(form);
  walls();
  queue.flush().then(() => {
    const { state } = queue.now.items.find((each) => each.key === key) ?? {};
    // Who types into something else by then stays with it.
    if (state === "sent" && form.dataset.then && !touched.size) location.assign(form.dataset.then.replace(NO_KEY, key));
    else if (state === "parked" && item.whole) return mend(item);
    else if (item.whole) [...document.querySelectorAll(".on-phone")].at(-1)?.scrollIntoView({ block: "center" });
  });
}

// What was kept leaves the form, unless somebody types the next into it by then.
function clear(form) {
  if (!pressed.has(addressOf(form))) return;
  if (!("stays" in form.dataset)) form.reset();
  touched.delete(form.closest("[data-live]"));
  form.closest("details")?.removeAttribute("open");
}

// A form that is a page of its own (data-whole) is mended on the page that the server makes of it: the one at hand may
// have other fields.
const isOpenToMend = (form, item) => item.whole && item.state === "parked" && form.elements?.key?.value === item.key;

async function mend(item) {
  const me = await fetch("/phone/me/", { cache: "no-store" }).then((answer) => answer.json(), () => null);
  if (!me?.csrf) return;
  const form = document.createElement("form");
  Object.assign(form, { method: "post", action: item.address, hidden: true });
  for (const [name, value] of [...item.fields, ["csrfmiddlewaretoken", me.csrf]]) {
    form.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
  }
  document.body.append(form);
  awaitAnswer();
  HTMLFormElement.prototype.submit.call(form);
}

// A form that the browser sends itself is answered by a page, which no kept one may stand in for.
const awaitAnswer = () => navigator.serviceWorker?.controller?.postMessage("a form goes");
window.addEventListener("submit", (event) => event.defaultPrevented || awaitAnswer());

// As a page without this file would.
function direct(form, submitter) {
  form.removeAttribute("data-queue");
  // A form can't be submitted while it tells that it is.
  setTimeout(() => form.requestSubmit(submitter?.form === form ? submitter : undefined));
}

// By a form's address, since its card may be renewed meanwhile: the button that was pressed last, and when; nothing once
// somebody typed or tapped into it since.
const pressed = new Map();
document.addEventListener("input", ({ target }) => target.form?.matches?.("form[data-queue]") && pressed.delete(addressOf(target.form)));

// A glove presses twice.
function isTwice(form, submitter) {
  const [address, button] = [addressOf(form), `${submitter?.name}=${submitter?.value}`];
  if (pressed.get(address)?.button === button && Date.now() - pressed.get(address).at < TWICE) return true;
  pressed.set(address, { button, at: Date.now() });
  return false;
}

document.addEventListener("submit", (event) => {
  const { target: form, submitter } = event;
  // A button of htmx only changes the form: without htmx the server does. What is direct needs the server.
  if (submitter?.hasAttribute("hx-post") || "direct" in (submitter?.dataset ?? {})) return;
  if (!form.matches("form[data-queue]") || !person.user || !window.indexedDB) return;
  event.preventDefault();
  if (isTwice(form, submitter)) return;
  keep(form, submitter).finally(() => {
    if ("take" in form.dataset) form.elements.file.disabled = false;
  });
  // The form has been read; the next photo waits until this one is kept.
  if ("take" in form.dataset) form.elements.file.disabled = true;
});

// Photo first: it is kept as soon as it is taken.
document.addEventListener("change", ({ target }) => {
  if (target.files?.length && target.form?.matches("form[data-take]")) target.form.requestSubmit();
});

// ---- what the page shows of it

function bar(now) {
  const isMine = (item) => !person.user || item.user === person.user;
  const mine = queue.unsent().filter(isMine);
  const others = queue.unsent().filter((item) => !isMine(item));
  const parked = mine.filter((item) => item.state === "parked");
  const lines = [];
  if (losses.all().length) lines.push(lostText());
  if (now.signal === "no") lines.push(words.no_signal);
  if (mine.length) lines.push(fill(mine.length === 1 ? words.one_waits : words.some_wait, { count: mine.length, since: clock(mine[0].at) }));
  if (mine.length && now.logIn) lines.push(words.log_in);
  if (parked.length) lines.push(words.mend);
  for (const name of new Set(others.map((item) => item.name))) lines.push(fill(words.others_wait, { name }));
  const made = document.getElementById("phone").dataset.made;
  if (now.signal === "no" && Date.now() - Date.parse(made) > 60_000) lines.push(fill(words.as_of, { when: clock(made) }));
  const place = document.getElementById("phone-bar");
  place.hidden = !lines.length;
  place.querySelector("a").textContent = lines.join(" ");
}

const lostText = () => fill(words.lost, { count: losses.all().length, since: clock(losses.since()) });

const shape = { holds: "holds", fails: "fails", waiting: "held", skipped: "held" };

// What was typed and pressed, as words.
const typed = (item) => [
  ...(item.walls?.length ? [item.walls.join(", ")] : []),
  ...item.fields.filter(([name, text]) => text && /^(value_|tap$|note$|text$|caption$)/.test(name)).map(([, text]) => text),
];

const PLACES = "form[data-queue], [data-queued]"; // a form, or what stands on this page for a form of another
const addressOf = (place) => place.dataset.queued ?? new URL(place.action, location.href).pathname;

function cards() {
  for (const note of document.querySelectorAll(".on-phone")) note.remove();
  // The first of a page's places of the same address.
  const forms = new Map([...document.querySelectorAll(PLACES)].reverse().map((place) => [addressOf(place), place]));
  for (const item of queue.unsent().filter((each) => each.user === person.user)) {
    const form = forms.get(item.address);
    if (!form || isOpenToMend(form, item)) continue;
    const note = document.createElement("div");
    note.className = "on-phone";
    const badge = document.createElement("p");
    badge.append(
      document.getElementById(`verdict-${shape[item.verdict] ?? "held"}`).content.cloneNode(true),
      ` ${words[item.verdict] ?? (item.whole ? words.unjudged : words.kept)}`,
    );
    const line = document.createElement("p");
    line.className = "tol";
    line.textContent = [...(item.whole ? [item.label] : typed(item)), fill(words.on_phone, { when: clock(item.at) })].join(" · ");
    note.append(badge, line);
    const hours = JSON.parse(form.closest("[data-check]")?.dataset.check ?? "{}").limit?.low;
    if (item.verdict === "waiting" && hours) note.append(countdown(Date.parse(item.at) + hours * 3_600_000));
    if (item.state === "parked") note.append(trouble(item));
    // A folded form would hide it.
    const fold = form.closest("details");
    (fold ?? form).before(note);
    if (item.state === "parked" && !item.whole) refill(form, item);
    if (item.state === "parked" && fold) fold.open = true;
  }
  document.dispatchEvent(new CustomEvent("phone-shown", { detail: queue.unsent().filter((each) => each.user === person.user) }));
}

// What waits of a check, oldest first.
function waitingOn(section) {
  const addresses = [...section.querySelectorAll(PLACES)].map(addressOf);
  return queue.now.items
    .filter((item) => item.state === "waiting" && item.user === person.user && addresses.includes(item.address))
    .sort((a, b) => (a.at < b.at ? -1 : 1));
}

// The surfaces of a check as they stand with what waits on top of it, and tapped those that still want an answer. Left
// alone where nothing waits, somebody taps, or a parked one is mended.
function walls() {
  for (const chips of document.querySelectorAll(".walls")) {
    const section = chips.closest("[data-check]");
    const waits = waitingOn(section);
    if ((!waits.length && !("waits" in chips.dataset)) || touched.has(section) || "parked" in chips.form.dataset) continue;
    chips.dataset.waits = "";
    const states = standing(JSON.parse(section.dataset.check), waits);
    const next = toAnswer(states);
    for (const chip of chips.querySelectorAll("[data-place]")) {
      const state = states.get(chip.dataset.place);
      const mark = state !== "open" && document.getElementById(`verdict-${shape[state] ?? "held"}`).content.cloneNode(true);
      chip.querySelector(".stands").replaceChildren(...(mark ? [mark] : []));
      chip.querySelector("input").checked = next.includes(chip.dataset.place);
    }
    const fold = chips.closest("details");
    if (fold && next.length) fold.open = true;
  }
}

// Whether the phase could be signed, as far as the phone knows: what the server said, and what waits on top of it.
function signing() {
  if (!queue.now.items.some((item) => item.state === "waiting" && item.user === person.user)) return;
  const sections = [...document.querySelectorAll("[data-check]")];
  const proved = sections.every((section) => proves(JSON.parse(section.dataset.check), waitingOn(section)));
  const button = document.querySelector("form[data-last] .btn[aria-disabled]");
  if (!button || !proved) return;
  button.removeAttribute("aria-disabled");
  const why = document.getElementById("why");
  if (why) why.textContent = words.may_sign;
}

function trouble(item) {
  const box = document.createElement("p");
  box.className = "do";
  const said = Object.values(item.errors ?? {}).flat();
  box.textContent = item.errors?.status ? fill(words.not_yours, { status: item.errors.status }) : `${words.not_taken} ${said.join(" ")}`;
  if (item.whole && !item.errors?.status) box.append(" ", button(words.mend_it, "btn", () => mend(item)));
  return box;
}

// What was typed stands in its form once more, to be mended; what is sent then takes the parked one's place (`keep`).
function refill(form, item) {
  if (form.dataset.parked === item.key) return;
  form.dataset.parked = item.key;
  const tapped = item.fields.filter(([name]) => name === "surfaces").map(([, key]) => key);
  for (const box of form.querySelectorAll("[name=surfaces]")) box.checked = tapped.includes(box.value);
  for (const [name, text] of item.fields) {
    const field = form.elements[name];
    if (field && "value" in field && field.type !== "hidden" && field.type !== "submit") field.value = text;
  }
}

// ---- after a receipt: the cards as the server has them now, but for one that somebody is typing into

const touched = new Set();
document.addEventListener("input", (event) => touched.add(event.target.closest("[data-live]")));
// While the camera is open nothing is typed, and what it takes goes to the field that it was opened by.
const isFile = (event) => event.target.matches?.("input[type=file]");
document.addEventListener("click", (event) => isFile(event) && touched.add(event.target.closest("[data-live]")));
document.addEventListener("cancel", (event) => isFile(event) && touched.delete(event.target.closest("[data-live]")), true);

async function renew(sent) {
  if (!sent.some((item) => item.page === location.pathname)) return;
  // The address of a refused sign-off leads back to its phase.
  const answer = await fetch(location.pathname + location.search).catch(() => null);
  if (!answer?.ok || answer.url.includes("/login/")) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const active = document.activeElement?.closest("[data-live]");
  for (const region of document.querySelectorAll("[data-live]")) if (!touched.has(region)) swap(region, fresh);
  // The keyboard stays at the card that it was in.
  if (active && !active.isConnected) document.getElementById(active.id)?.querySelector("button, input:not([type=hidden])")?.focus();
}

function swap(region, fresh) {
  const other = fresh.getElementById(region.id);
  if (other && other.innerHTML !== region.innerHTML) region.replaceWith(document.importNode(other, true));
}

// ---- the day's pages

const dayLine = document.getElementById("day-kept");

// The page as it is now, kept on the phone; its body, or null where the phone may not keep it.
async function keepPage(page) {
  const address = new URL(page, location.origin).href;
  const response = await fetch(address, { redirect: "manual", cache: "no-store" }).catch(() => null);
  if (!response?.ok || !response.headers.has("Phone-Keep")) return null;
  const headers = new Headers(response.headers);
  headers.set("Kept-At", String(Date.now()));
  const body = await response.blob();
  await (await caches.open("pages")).put(address, new Response(body, { headers }));
  return body;
}

// What was sent stands on another page now, which may be asked for without signal.
async function bring(sent) {
  if (!navigator.serviceWorker) return;
  for (const page of new Set(sent.map((item) => item.brings).filter(Boolean))) await keepPage(page).catch(() => null);
}

async function takeAlong() {
  const answer = await fetch("/phone/day/", { cache: "no-store", redirect: "manual" }).catch(() => null);
  if (!answer?.ok) return;
  const { pages, later } = await answer.json();
  dayLine.ariaBusy = "true";
  const photos = new Set();
  let kept = await takePages(pages, photos, (n) => (dayLine.textContent = fill(words.taking, { kept: n, all: pages.length })));
  const tell = (all) => {
    dayLine.textContent = fill(kept === all ? words.day_kept : words.day_part, { kept, all, when: clock(Date.now()) });
  };
  tell(pages.length);
  if (kept === pages.length) {
    kept += await takePages(later, photos);
    tell(pages.length + later.length);
  }
  const cache = await caches.open("pages");
  // The worker keeps them, the newest of them: a key begins with its time.
  for (const photo of [...photos].sort().reverse().slice(0, 200)) {
    if (!(await cache.match(photo))) await fetch(photo).catch(() => null);
  }
  dayLine.ariaBusy = "false";
  if (kept === pages.length + later.length) (await navigator.serviceWorker.ready).active?.postMessage("pages are fresh");
}

// Keeps them, one after another, and notes what photos they show; how many could be kept.
async function takePages(pages, photos, onward = () => null) {
  let kept = 0;
  for (const page of pages) {
    // A phone that is full keeps what fits.
    const body = await keepPage(page).catch(() => null);
    if (!body) continue;
    const seen = new DOMParser().parseFromString(await body.text(), "text/html").querySelectorAll("img[src*='size=small']");
    for (const { src } of seen) photos.add(src);
    onward((kept += 1));
  }
  return kept;
}

// From the beginning: what the worker says before somebody listens is lost.
navigator.serviceWorker?.addEventListener("message", (event) => {
  if (event.data === "fresh" && !touched.size) location.reload();
});

async function serveWithoutSignal() {
  if (!navigator.serviceWorker) {
    if (dayLine) dayLine.textContent = words.no_https;
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
  if (dayLine && !lock.isShut()) await takeAlong();
}

// ---- the page of what waits

function list() {
  const place = document.getElementById("waiting-list");
  if (!place) return;
  const items = queue.unsent();
  document.getElementById("nothing-waits").hidden = items.length > 0;
  const lost = document.getElementById("lost");
  lost.hidden = !losses.all().length;
  if (!lost.hidden) lost.replaceChildren(`${lostText()} `, button(words.understood, "btn quiet", () => (losses.forget(), bar(queue.now), list())));
  place.replaceChildren(
    ...items.map((item) => {
      const entry = document.createElement("section");
      entry.className = "check";
      const title = document.createElement("h2");
      title.className = "t";
      title.textContent = item.label;
      const line = document.createElement("p");
      line.className = "tol";
      line.textContent = [item.name, clock(item.at), words[item.verdict], ...typed(item), item.photo && words.with_photo].filter(Boolean).join(" · ");
      entry.append(title, line);
      if (item.state === "parked") entry.append(trouble(item));
      const buttons = document.createElement("p");
      buttons.className = "buttons";
      const open = document.createElement("a");
      open.className = "btn quiet";
      open.href = item.page;
      open.textContent = words.open_page;
      buttons.append(open, button(words.send_again, "btn", () => queue.again(item.key)));
      buttons.append(button(words.delete, "btn danger", () => confirm(words.really_delete) && queue.takeBack(item.key)));
      entry.append(buttons);
      return entry;
    }),
  );
}

function button(text, look, press) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = look;
  made.textContent = text;
  made.addEventListener("click", press);
  return made;
}

// ---- the bar

// The day goes from the phone with the log-out, so not before the server has heard of it: without signal it stays.
let leaving = false;
async function leave(event) {
  event.preventDefault();
  if (leaving) return;
  leaving = true;
  const form = event.target;
  say(form, "");
  if (await lock.logOut()) {
    await window.caches?.delete("pages");
    location.assign("/login/");
  } else say(form, words.log_out_no_signal);
  leaving = false;
}

document.addEventListener("click", ({ target }) => {
  const fold = document.querySelector(".fieldbar details[open]");
  if (fold && !fold.contains(target)) fold.open = false;
});

// ---- begin

function asLeft() {
  for (const form of document.querySelectorAll("form[data-stays]")) {
    showWaiting(form, queue.unsent().filter((item) => item.state === "waiting" && item.user === person.user && item.address === addressOf(form)));
    if (form.dataset.cannot) say(form, form.dataset.cannot);
  }
}

async function begin() {
  lock.begin();
  let isLeft = true; // before all else that shows: what waits stands in its form as soon as the page says that it waits
  queue.listen((now, sent) => {
    if (isLeft) asLeft();
    isLeft = false;
    bar(now);
    cards();
    walls();
    signing();
    list();
    if (!sent.length) return;
    const isSent = (form) => sent.some((item) => item.address === addressOf(form));
    if ([...document.querySelectorAll("form[data-cannot]")].some(isSent)) {
      awaitAnswer();
      location.reload();
    }
    renew(sent).then(() => (cards(), walls(), signing()));
    bring(sent);
  });
  // Logged out: others must not read this person's pages. What waits stays.
  if (document.querySelector("form[action$='/login/']")) await window.caches?.delete("pages");
  for (const form of document.querySelectorAll("form[action$='/logout/']")) form.addEventListener("submit", leave);
  await queue.load();
  const pulse = () => queue.unsent().length && queue.flush();
  addEventListener("online", () => queue.flush());
  addEventListener("offline", () => {
    queue.now.signal = "no";
    bar(queue.now);
  });
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && pulse());
  setInterval(pulse, EVERY);
  if (!person.user) return;
  await queue.flush();
  if (queue.now.user || !navigator.serviceWorker) await serveWithoutSignal();
}

begin();
