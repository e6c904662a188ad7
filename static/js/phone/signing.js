// Whether a phase could be signed, as far as the phone knows: what the server said as the page was made, what waits here
// on top of it, and waits that have ended since. The server decides.

import * as queue from "./queue.js";
import { addressOf, fill, isMine, PLACES, words } from "./page.js";
import { isOver, proves, stands, stops, turn } from "./walls.js";

const MOST = 3; // checks that are named

// Where what is entered of a check goes; what only stands beside it, as an amendment, says nothing of it.
const addressesOf = (section) =>
  [...section.querySelectorAll(PLACES)].filter((place) => !("amends" in place.dataset)).map(addressOf);

const unsentAt = (addresses) => queue.unsent().filter((item) => isMine(item) && addresses.includes(item.address));

// What waits of a check, oldest first.
const waitingAt = (addresses) => unsentAt(addresses).filter((item) => item.state === "waiting");
export const waitingOn = (section) => waitingAt(addressesOf(section));

// The page's checks, each with where it is entered and what waits of it.
function cardsHere() {
  return [...document.querySelectorAll("[data-check]")].map((section) => {
    const addresses = addressesOf(section);
    return { check: JSON.parse(section.dataset.check), addresses, items: waitingAt(addresses) };
  });
}

// From when on what is entered of a check counts, as far as this phone knows.
export function turnOf(check, cards = cardsHere()) {
  const signs = queue.unsent().filter((item) => isMine(item) && item.last && item.state === "waiting");
  return turn(check, cards, Object.fromEntries(signs.map((item) => [item.group, item.at])));
}

const earlier = (form) => JSON.parse(form.dataset.before ?? "[]");
export const phasesBefore = (form) => earlier(form).map(({ key }) => key);

// The phase's own checks, and those of signed phases before it that hold it.
function checksOf(form) {
  const cards = cardsHere();
  const here = cards.map(({ check, addresses }) => ({ ...check, addresses, since: turnOf(check, cards) }));
  return [...earlier(form).flatMap(({ checks }) => checks), ...here];
}

// What keeps the phase from being signed and the phone knows of, by name; empty where it knows of nothing. What is parked
// is mended before the sign-off goes, and what only the server can judge it judges before.
export function holding(form) {
  const mine = queue.unsent().filter(isMine);
  const waits = mine.filter((item) => item.state === "waiting");
  const isSigned = ({ key, signed }) => signed || waits.some((item) => item.last && item.group === key);
  const unsigned = earlier(form).filter((phase) => !isSigned(phase));
  const all = checksOf(form);
  const isParked = ({ addresses }) => unsentAt(addresses).some((item) => item.state === "parked");
  const held = all.filter((check) => !isParked(check) && stops(check, waitingAt(check.addresses), check.since));
  // What was entered here for a phase before, on a check that held nothing on the server: the newest of each.
  const known = all.flatMap(({ addresses }) => addresses);
  const before = phasesBefore(form);
  const others = waits.filter((item) => !item.last && before.includes(item.group) && !known.includes(item.address));
  const newest = [...new Map(others.map((item) => [item.address, item])).values()];
  const late = newest.filter((item) => ["fails", "waiting"].includes(stands(item)));
  return [
    ...unsigned.map(({ name }) => fill(words.not_signed, { name })),
    ...held.map(({ text }) => text),
    ...late.map(({ label }) => label),
  ];
}

export function inWords(names) {
  const more = names.length > MOST ? ` (+${names.length - MOST})` : "";
  return fill(words.held, { what: names.slice(0, MOST).join(" · ") + more });
}

// The button and the line below it, as the phone knows it; the server's own where it knows nothing else.
export function show() {
  const form = document.querySelector("form[data-last]");
  if (!form) return;
  const button = form.querySelector(".btn");
  form.dataset.said ??= button.ariaDisabled === "true" ? "held" : "open";
  const checks = checksOf(form);
  const knows = queue.unsent().some(isMine) || checks.some(isOver);
  if (!knows && !("shown" in form.dataset)) return;
  form.dataset.shown = "";
  const names = holding(form);
  const isSure = checks.every((check) => proves(check, waitingAt(check.addresses), check.since));
  button.ariaDisabled = names.length ? "true" : null;
  const why = document.getElementById("why");
  const may = form.dataset.said === "held" ? words.may_sign : "";
  why.textContent = names.length ? inWords(names) : isSure ? may : words.may_try;
  why.hidden = !why.textContent;
}
