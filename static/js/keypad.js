// Keys for lengths under a finger: they fill the field that was touched, whose soft keyboard stays away. Typing on a
// keyboard goes on as ever; Enter goes to the next length. Typing works without this file.

import "./no-signal.js";

const pads = [...document.querySelectorAll(".keypad")];
let pad = pads[0]; // of a page that has two, the one in the unit of the field
const DECIMAL = ["mm", "percent"]; // units without fractions
const LENGTH = "input[data-length]";
const PART = / ?\d+\/\d+$/;
let field = null;
let untouched = false; // the first key replaces what stood there before

function open(input) {
  // The same field of a form that was renewed goes on where it was.
  const goesOn = field && !field.isConnected && field.id === input.id;
  const begins = goesOn ? untouched : true;
  close();
  pad = pads.find((each) => each.classList.contains("metric") === DECIMAL.includes(input.dataset.length)) ?? pads[0];
  field = input;
  untouched = begins;
  if (begins) input.select();
  const part = input.closest("fieldset")?.querySelector("legend")?.textContent.trim();
  const name = input.labels[0]?.firstChild.textContent.trim();
  pad.querySelector("b").textContent = part ? `${part}: ${name}` : name;
  pad.hidden = false;
  const { bottom } = input.getBoundingClientRect();
  if (bottom > pad.getBoundingClientRect().top - 8) input.scrollIntoView({ block: "center" });
}

function close() {
  field = null;
  pad.hidden = true;
}

const seen = (input) => input.checkVisibility() && !input.disabled;

function goOn(from) {
  const all = [...from.form.querySelectorAll(LENGTH)].filter(seen);
  const next = all[all.indexOf(from) + 1];
  if (!next) {
    close();
    (from.form.querySelector(".end [name=save], .end [name=keep]") ?? from.form.querySelector(".btn[name]"))?.focus();
    return;
  }
  next.inputMode = from.inputMode;
  next.focus();
}

function write(text) {
  field.value = text;
  untouched = false;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function press(key) {
  const old = untouched && !("back" in key.dataset) && !("sign" in key.dataset) && !("feet" in key.dataset) ? "" : field.value;
  if ("back" in key.dataset) write(PART.test(old) ? old.replace(PART, "") : old.slice(0, -1).trimEnd());
  else if ("sign" in key.dataset) write(old.startsWith("-") ? old.slice(1) : `-${old}`);
  else if ("feet" in key.dataset) write(/^-?\d+$/.test(old) ? `${old}' ` : old);
  else if (key.dataset.part) {
    const whole = old.replace(PART, "").trimEnd();
    write(/\d$|'$/.test(whole) ? `${whole} ${key.dataset.part}` : `${whole}${key.dataset.part}`);
  } else if (!PART.test(old)) write(old + key.textContent);
}

// A touched field gets the keys, before it is focused and the soft keyboard comes.
document.addEventListener(
  "pointerdown",
  (event) => {
    if (event.pointerType === "mouse" || !pad) return;
    const input = event.target.closest?.("label")?.control ?? event.target;
    if (input.matches?.(LENGTH) && input.dataset.keyboard === undefined) input.inputMode = "none";
  },
  true,
);

document.addEventListener("focusin", ({ target }) => {
  if (!pad || pad.contains(target)) return;
  if (target.matches(LENGTH) && target.inputMode === "none") {
    open(target);
    return;
  }
  // Not before the tap is over: the page moves when the keys go, and the button under the finger with it.
  const was = field;
  setTimeout(() => field === was && close());
});

document.addEventListener("htmx:after:swap", () => {
  if (!field || field.isConnected) return;
  const renewed = document.getElementById(field.id);
  if (renewed) open(renewed);
  else close();
});

// Where a choice says the unit of other fields, they get its keys, with signal or without.
document.addEventListener("change", ({ target }) => {
  if (!target.dataset.unitOf) return;
  for (const input of target.form.querySelectorAll(target.dataset.unitOf)) input.dataset.length = target.value;
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.isComposing || !event.target.matches?.(`#entry ${LENGTH}`)) return;
  event.preventDefault();
  goOn(event.target);
});

for (const each of pads) {
  // The field keeps the keyboard while its keys are pressed.
  each.addEventListener("mousedown", (event) => event.preventDefault());
  each.addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (!key || !field) return;
    if ("next" in key.dataset) goOn(field);
    else if ("keyboard" in key.dataset) {
      const input = field;
      input.dataset.keyboard = "";
      input.inputMode = "";
      close();
      input.blur();
      input.focus();
    } else press(key);
  });
}
