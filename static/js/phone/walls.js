// A check that is proved on each of its surfaces apart: how they stand, as inspections/standing.py has it.
// tests/vectors/verdicts.json is run here and in Python.

const PROVED = ["holds", "waived"];

// By the surfaces' keys how they stand; of a check that is the room's, once, by an empty key. `items`: what waits of the
// check on this phone, oldest first.
export function standing(check, items) {
  const apart = check.places?.length > 0;
  const states = new Map((apart ? check.places : [{ key: "", state: check.state }]).map(({ key, state }) => [key, state]));
  for (const { fields, verdict } of items) {
    // An entry names its surfaces, a survey the one that was read.
    const told = fields.filter(([name]) => name === "surfaces" || name === "surface").map(([, key]) => key);
    // A photo's place is called a surface, too; that isn't one of the check's.
    const named = apart ? told.filter((key) => states.has(key)) : [];
    for (const key of named.length ? named : states.keys()) states.set(key, verdict);
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

// Whether the check lets its phase be signed.
export function proves(check, items) {
  const passes = (state) => PROVED.includes(state) || (!check.required && ["open", "skipped"].includes(state));
  return [...standing(check, items).values()].every(passes);
}
