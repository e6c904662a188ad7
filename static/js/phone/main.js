// Every page of the shop's people: keeps forms marked data-queue on the phone before they are sent, and says how many
// wait. Without this file, or where the browser keeps nothing, the forms work by themselves.

import * as day from "./day.js";
import * as queue from "./queue.js";
import * as store from "./store.js";
import * as lock from "./lock.js";
import * as losses from "./losses.js";
import * as signing from "./signing.js";
import { askWho, awaitAnswer, direct, isOpenToMend, mend, refill, trouble } from "./mending.js";
import { addressOf, clock, fill, isMine, person, PLACES, say, touched, typed, words } from "./page.js";
import { evidence } from "./photos.js";
import { outcome } from "./verdict.js";
import { countdown } from "./countdown.js";
import { showWaiting, stay } from "./stays.js";
import { standing, toAnswer } from "./walls.js";
import { list, lostText } from "./waiting.js";
import "./voids.js";

const NO_KEY = "00000000-0000-0000-0000-000000000000"; // in data-then: the key of what was sent
const EVERY = 30_000; // ms between two tries while something waits
const CLOCK_TOLERANCE = 2 * 60_000; // ms, as shop/phone.py
const TWICE = 1000; // ms in which a second press is the same one
const HOUR = 3_600_000; // ms

const span = (ms) => {
  const minutes = Math.round(ms / 60_000);
  return { hours: Math.floor(minutes / 60), minutes: String(minutes % 60).padStart(2, "0") };
};

// ---- keeping a form

// What can't be an entry whatever the server thinks.
function missing(form, check, fields, photo) {
  const { needs } = form.dataset;
  if (needs && ![...form.querySelectorAll(needs)].some((field) => field.value.trim())) return form.dataset.lacks ?? words.enter_reading;
  if (!check) return "";
  const has = (name) => fields.some(([key]) => key === name);
  if (has("skip")) return fields.some(([key, text]) => key === "note" && text.trim()) ? "" : words.say_why;
  if (["tick", "inspection"].includes(check.kind) && !has("right") && !has("wrong")) return words.press_one;
  if (check.kind === "inspection" && !fields.some(([key, text]) => key === "inspector" && text.trim())) return words.say_who;
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
  const isParked = (item) => isMine(item) && (item.key === form.dataset.parked || isOpenToMend(form, item));
  const parked = "take" in form.dataset ? null : queue.unsent().find(isParked);
  // A browser never fills in a chosen file again: a parked item's photo is taken over unless there is another.
  const lacks = form.dataset.cannot ?? missing(form, check, fields, file ?? parked?.photo);
  const before = "last" in form.dataset ? signing.phasesBefore(form) : [];
  const held = "last" in form.dataset ? signing.holding(form) : [];
  const waits = queue.unsent().some((item) => isMine(item) && [form.dataset.group, ...before].includes(item.group));
  // An answer that was on its way may come after the signal went.
  if (held.length && !waits && queue.now.signal === "yes" && navigator.onLine) {
    // The server says what holds it, all of it.
    direct(form, submitter);
    return;
  }
  say(form, lacks || (held.length ? signing.inWords(held) : ""));
  if (lacks || held.length) return;
  const key = store.newKey();
  const own = fields.filter(([name]) => name !== "key");
  if (fields.length !== own.length) own.push(["key", key]);
  const tapped = own.filter(([name]) => name === "surfaces").map(([, key]) => key);
  let photo;
  try {
    if (file) photo = await evidence(photoName, file, { keepPlace: "keepPlace" in person });
    else photo = parked ? await store.photoOf(parked) : null;
  } catch {
    say(form, words.photo_unread);
    if (file) form.elements[photoName].value = "";
    return;
  }
  const verdict = check && outcome(check, photo ? [...own, ["photo", ""]] : own);
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
    before,
    fields: own,
    walls: (check?.places ?? []).filter((place) => tapped.includes(place.key)).map((place) => place.name),
    verdict,
    due: verdict === "waiting" && check.limit?.low ? new Date(Date.now() + check.limit.low * HOUR).toISOString() : null,
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
  if (parked) await queue.takeBack(parked.key, person.user);
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

window.addEventListener("submit", (event) => event.defaultPrevented || awaitAnswer());

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
  if (form.matches("form[data-signal]")) {
    event.preventDefault();
    goWithSignal(form, submitter);
    return;
  }
  if (!form.matches("form[data-queue]") || !person.user || !window.indexedDB) return;
  event.preventDefault();
  if (isTwice(form, submitter)) return;
  keep(form, submitter).finally(() => {
    if ("take" in form.dataset) form.elements.file.disabled = false;
  });
  // The form has been read; the next photo waits until this one is kept.
  if ("take" in form.dataset) form.elements.file.disabled = true;
});

// What is decided for good is decided on what the server has (data-signal): it doesn't wait here, but stays in its form.
async function goWithSignal(form, submitter) {
  say(form, "");
  const me = await askWho();
  if (me?.csrf) direct(form, submitter);
  else say(form, me?.status === 401 ? words.log_in : words.needs_signal);
}

// Photo first: it is kept as soon as it is taken.
document.addEventListener("change", ({ target }) => {
  if (target.files?.length && target.form?.matches("form[data-take]")) target.form.requestSubmit();
});

// ---- what the page shows of it

function bar(now) {
  const mine = queue.unsent().filter((item) => !person.user || isMine(item));
  const others = queue.unsent().filter((item) => !mine.includes(item));
  const parked = mine.filter((item) => item.state === "parked");
  const lines = [];
  if (losses.all().length) lines.push(lostText());
  if (now.signal === "no") lines.push(words.no_signal);
  if (mine.length) lines.push(fill(mine.length === 1 ? words.one_waits : words.some_wait, { count: mine.length, since: clock(mine[0].at) }));
  if (mine.length && now.logIn) lines.push(words.log_in);
  if (parked.length) lines.push(words.mend);
  if (Math.abs(now.clockOff) > CLOCK_TOLERANCE) lines.push(fill(words.clock_off, span(Math.abs(now.clockOff))));
  for (const name of new Set(others.map((item) => item.name))) lines.push(fill(words.others_wait, { name }));
  const made = document.getElementById("phone").dataset.made;
  if (now.signal === "no" && Date.now() - Date.parse(made) > 60_000) lines.push(fill(words.as_of, { when: clock(made) }));
  const place = document.getElementById("phone-bar");
  place.hidden = !lines.length;
  place.querySelector("a").textContent = lines.join(" ");
}

const shape = { holds: "holds", fails: "fails", waiting: "held", skipped: "held" };

function cards() {
  for (const note of document.querySelectorAll(".on-phone")) note.remove();
  // The first of a page's places of the same address.
  const forms = new Map([...document.querySelectorAll(PLACES)].reverse().map((place) => [addressOf(place), place]));
  for (const item of queue.unsent().filter(isMine)) {
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
    const check = JSON.parse(form.closest("[data-check]")?.dataset.check ?? "{}");
    const isEarly = ["holds", "waiting"].includes(item.verdict) && check.key && Date.parse(item.at) < signing.turnOf(check);
    if (isEarly) note.append(Object.assign(document.createElement("p"), { className: "do", textContent: words.early }));
    else if (item.due) note.append(countdown(Date.parse(item.due)));
    if (item.state === "parked") note.append(trouble(item));
    // A folded form would hide it.
    const fold = form.closest("details");
    (fold ?? form).before(note);
    if (item.state === "parked" && !item.whole) refill(form, item);
    if (item.state === "parked" && fold) fold.open = true;
  }
  document.dispatchEvent(new CustomEvent("phone-shown", { detail: queue.unsent().filter(isMine) }));
}

// The surfaces of a check as they stand with what waits on top of it, and tapped those that still want an answer. Left
// alone where nothing waits, somebody taps, or a parked one is mended.
function walls() {
  for (const chips of document.querySelectorAll(".walls")) {
    const section = chips.closest("[data-check]");
    const waits = signing.waitingOn(section);
    if ((!waits.length && !("waits" in chips.dataset)) || touched.has(section) || "parked" in chips.form.dataset) continue;
    chips.dataset.waits = "";
    const check = JSON.parse(section.dataset.check);
    const states = standing(check, waits, signing.turnOf(check));
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

document.addEventListener("wait-over", signing.show);

// ---- after a receipt: the cards as the server has them now, but for one that somebody is typing into

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
    const waits = (item) => item.state === "waiting" && isMine(item) && item.address === addressOf(form);
    showWaiting(form, queue.unsent().filter(waits));
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
    signing.show();
    list();
    if (!sent.length) return;
    const isSent = (form) => sent.some((item) => item.address === addressOf(form));
    if ([...document.querySelectorAll("form[data-cannot]")].some(isSent)) {
      awaitAnswer();
      location.reload();
    }
    renew(sent).then(() => (cards(), walls(), signing.show()));
    day.bring(sent);
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
  if (queue.now.user || !navigator.serviceWorker) await day.serveWithoutSignal();
}

begin();
