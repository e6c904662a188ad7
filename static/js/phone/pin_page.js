// The page where a person gives this phone a PIN, changes it or takes it away.

import * as pin from "./pin.js";

const words = JSON.parse(document.getElementById("phone-words").textContent);
const part = (name) => document.getElementById(name);
const form = part("pin-form");

function show(done = "") {
  const kept = Boolean(gate.record());
  part("pin-none").hidden = kept || !pin.possible;
  part("pin-kept").hidden = !kept;
  part("pin-no-https").hidden = pin.possible;
  part("pin-no-script").hidden = true;
  form.hidden = !pin.possible;
  part("pin-remove").hidden = !kept;
  part("pin-done").textContent = done;
}

function refuse(name) {
  const place = part("pin-errors");
  place.hidden = !name;
  place.textContent = words[name] ?? "";
  const field = name === "pin_differ" ? form.elements.again : form.elements.pin;
  for (const each of [form.elements.pin, form.elements.again]) {
    each.ariaInvalid = name && each === field ? "true" : null;
  }
  if (name) field.focus();
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const [first, second] = [form.elements.pin.value, form.elements.again.value];
  const name = pin.fault(first, second);
  refuse(name);
  if (name) return;
  try {
    await pin.set(first);
  } catch {
    refuse("pin_not_kept");
    return;
  }
  form.reset();
  show(words.pin_set);
});

part("pin-remove").addEventListener("click", () => {
  gate.save(null);
  show(words.pin_gone);
});

show();
