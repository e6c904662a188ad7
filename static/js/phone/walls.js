// How a check stands with what waits on this phone on top of it, on each of the surfaces that it is proved on, and whether
// that counts yet, as inspections/standing.py has it. tests/vectors/verdicts.json is run here and in Python.

const PROVED = ["holds", "waived"];
const PASSES = ["holds", "waiting"];
const HOUR = 3_600_000; // ms

const ms = (moment) => (moment ? Date.parse(moment) : Infinity);

// From when on what passes the check counts, in ms; Infinity: not yet. `cards`: the checks of its phase in their order,
// each with what waits of it: [{check, items}]. `signed`: by phases' keys, when a sign-off that waits was pressed.
export function turn(check, cards, signed = {}) {
  let since = -Infinity;
  const first = (moment) => (since = Math.max(since, moment));
  if (check.covers) first(ms(check.covers.signed ?? signed[check.covers.phase]));
  for (const card of cards) {
    if (check.after?.includes(card.check.key)) first(over(card, cards, signed));
    if (!card.check.restarts?.includes(check.key)) continue;
    const failed = card.items.filter(({ verdict }) => verdict === "fails").map(({ at }) => ms(at));
    first(Math.max(...failed, card.check.failed ? ms(card.check.failed) : -Infinity));
  }
  return since;
}

// From when on a check is over for those that come after it.
function over({ check, items }, cards, signed) {
  const states = [...standing(check, items, turn(check, cards, signed)).values()];
  if (states.every((state) => state === "waived")) return -Infinity;
  if (states.some((state) => ["open", "skipped"].includes(state))) return check.required ? Infinity : -Infinity;
  if (!states.every((state) => [...PASSES, "waived"].includes(state))) return Infinity;
  const newest = items.filter(({ verdict }) => PASSES.includes(verdict)).at(-1);
  if (!newest) return ms(check.over);
  return ms(newest.at) + (check.kind === "wait" ? Number(check.limit?.low ?? 0) * HOUR : 0);
}

const isPast = (due) => Boolean(due) && Date.parse(due) <= Date.now();

// How something stands now: a wait that is over holds. `due`: of one that runs.
const asOfNow = (state, due) => (state === "waiting" && isPast(due) ? "holds" : state);

// What an item that waits says of its check: null where only the server can tell.
export const stands = ({ verdict, due }) => asOfNow(verdict, due);

// Whether a wait has ended since the page was made.
export const isOver = (check) =>
  [check, ...(check.places ?? [])].some(({ state, due }) => state === "waiting" && isPast(due));

// By the surfaces' keys how they stand; of a check that is the room's, once, by an empty key. `items`: what waits of the
// check on this phone, oldest first; `since`: its `turn`.
export function standing(check, items, since = -Infinity) {
  const apart = check.places?.length > 0;
  const places = apart ? check.places : [{ ...check, key: "" }];
  const counted = (state, at) => (PASSES.includes(state) && at && ms(at) < since ? "early" : state);
  const states = new Map(places.map(({ key, state, due, at }) => [key, counted(asOfNow(state, due), at)]));
  for (const item of items) {
    // An entry names its surfaces, a survey the one that was read.
    const told = item.fields.filter(([name]) => name === "surfaces" || name === "surface").map(([, key]) => key);
    // A photo's place is called a surface, too; that isn't one of the check's.
    const named = apart ? told.filter((key) => states.has(key)) : [];
    for (const key of named.length ? named : states.keys()) {
      // Only a failure ends a waiver.
      if (states.get(key) !== "waived" || item.verdict === "fails") states.set(key, counted(stands(item), item.at));
    }
  }
  return states;
}

// The surfaces that the next entry is most likely about: those without an answer, else those that don't hold; none where
// it goes for all of them alike.
export function toAnswer(states) {
  const keys = [...states.keys()];
  const unanswered = keys.filter((key) => states.get(key) === "open");
  const found = unanswered.length ? unanswered : keys.filter((key) => !PROVED.includes(states.get(key)));
  return found.length < keys.length ? found : [];
}

const passes = (check, state) => PROVED.includes(state) || (!check.required && ["open", "skipped"].includes(state));

// Whether the check lets its phase be signed.
export const proves = (check, items, since) =>
  [...standing(check, items, since).values()].every((state) => passes(check, state));

// Whether it surely doesn't: what only the server can judge may let it.
export const stops = (check, items, since) =>
  [...standing(check, items, since).values()].some((state) => state != null && !passes(check, state));
