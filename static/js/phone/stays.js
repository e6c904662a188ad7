// A form for something that is there (data-stays): what was kept of it on the phone stays in it, also when the page is
// opened again without signal, so that the next save goes on from there. `after`: the key of the save that it goes on from.

const OWN = new Set(["csrfmiddlewaretoken", "key", "save", "after"]);

// What was just kept stands in the form.
export function stay(form, key) {
  if ("stays" in form.dataset) form.elements.after.value = key;
}

// Fills in what waits, the newest of it. Where the page has other fields than that (`cannot`), it is no page to go on from.
export function showWaiting(form, waiting) {
  const item = waiting.at(-1);
  if (!item) return;
  const kept = new Map(item.fields.filter(([name]) => !OWN.has(name)));
  const fields = [...form.elements].filter((field) => field.name && field.type !== "submit" && !OWN.has(field.name));
  const names = new Set(fields.map((field) => field.name));
  const isSame = [...kept.keys()].every((name) => names.has(name)) && fields.every((field) => field.type === "checkbox" || kept.has(field.name));
  if (!isSame) {
    form.dataset.cannot = form.dataset.stays;
    return;
  }
  for (const field of fields) {
    if (field.type === "checkbox") field.checked = kept.has(field.name);
    else field.value = kept.get(field.name);
  }
  stay(form, item.key);
}
