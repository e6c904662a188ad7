// Keys for lengths under a finger: they fill the field that was touched, whose soft keyboard stays away. Typing on a
// keyboard goes on as ever; Enter goes to the next length. Typing works without this file.

import "./no-signal.js";

const pad = document.querySelector(".keypad");
const LENGTH = "input[data-length]";
const PART = / ?\d+\/\d+$/;
let field = null;
let untouched = false; // the first key replaces what stood there before

function open(input) {
  field = input;
  untouched = true;
  input.select();
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
    from.form.querySelector(".end [name=save]").focus();
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
  if (target.matches(LENGTH) && target.inputMode === "none") open(target);
  else close();
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.isComposing || !event.target.matches?.(`#entry ${LENGTH}`)) return;
  event.preventDefault();
  goOn(event.target);
});

// The field keeps the keyboard while its keys are pressed.
pad?.addEventListener("mousedown", (event) => event.preventDefault());
pad?.addEventListener("click", (event) => {
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
