// A check that is proved on each of its surfaces apart: how they stand, as inspections/standing.py has it.
// tests/vectors/verdicts.json is run here and in Python.

const PROVED = ["holds", "waived"];

const isPast = (due) => Boolean(due) && Date.parse(due) <= Date.now();

// How something stands now: a wait that is over holds. `due`: of one that runs.
const asOfNow = (state, due) => (state === "waiting" && isPast(due) ? "holds" : state);

// What an item that waits says of its check: null where only the server can tell.
export const stands = ({ verdict, due }) => asOfNow(verdict, due);

// Whether a wait has ended since the page was made.
export const isOver = (check) =>
  [check, ...(check.places ?? [])].some(({ state, due }) => state === "waiting" && isPast(due));

// By the surfaces' keys how they stand; of a check that is the room's, once, by an empty key. `items`: what waits of the
// check on this phone, oldest first.
export function standing(check, items) {
  const apart = check.places?.length > 0;
  const places = apart ? check.places : [{ ...check, key: "" }];
  const states = new Map(places.map(({ key, state, due }) => [key, asOfNow(state, due)]));
  for (const item of items) {
    // An entry names its surfaces, a survey the one that was read.
    const told = item.fields.filter(([name]) => name === "surfaces" || name === "surface").map(([, key]) => key);
    // A photo's place is called a surface, too; that isn't one of the check's.
    const named = apart ? told.filter((key) => states.has(key)) : [];
    for (const key of named.length ? named : states.keys()) states.set(key, stands(item));
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
export const proves = (check, items) => [...standing(check, items).values()].every((state) => passes(check, state));

// Whether it surely doesn't: what only the server can judge may let it.
export const stops = (check, items) =>
  [...standing(check, items).values()].some((state) => state != null && !passes(check, state));
