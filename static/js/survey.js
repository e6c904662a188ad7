// Readings by tapping: each key fills the marked place and goes on to the next. Typing works without this file.

import * as grid from "./survey_grid.js";

const taps = document.querySelector(".taps");
const cells = () => [...document.querySelectorAll(".cell.out")];
let here = null; // the id of the field that the next tap fills

function mark(cell) {
  here = cell ? cell.querySelector("input").id : null;
  for (const each of cells()) each.classList.toggle("here", each === cell);
  taps.querySelector("b").textContent = cell ? cell.dataset.name : "";
  taps.hidden = !cell;
}

function marked() {
  const all = cells();
  return all.find((cell) => cell.querySelector("input").id === here) ?? all[0];
}

document.addEventListener("focusin", (event) => {
  const cell = event.target.closest?.(".cell.out");
  if (cell) mark(cell);
});

taps.addEventListener("click", (event) => {
  const key = event.target.closest("button");
  const cell = key && marked();
  if (!cell) return;
  // A tap is instead of the keyboard of the phone, which stays away.
  if (document.activeElement?.closest(".cell")) document.activeElement.blur();
  if ("tap" in key.dataset) {
    const input = cell.querySelector("input");
    input.value = key.dataset.tap;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }
  const all = cells();
  const next = all[all.indexOf(cell) + 1] ?? cell;
  mark(next);
  next.scrollIntoView({ block: "center" });
});

// The phone makes new lines and places by itself. What it can't read, like feet and inches, the server can.
document.addEventListener(
  "click",
  (event) => {
    const button = event.target.closest?.("#entry button[hx-post]");
    if (!button) return;
    const next = grid.change(button);
    const warning = document.querySelector("#entry .no-signal");
    warning.hidden = Boolean(next) || navigator.onLine;
    if (!next && navigator.onLine) return;
    event.preventDefault();
    event.stopPropagation();
    (next ?? warning).scrollIntoView({ block: "center" });
    const cell = next?.closest(".cell.out");
    if (cell) mark(cell);
    else if (!next?.value || !button.checkVisibility()) next?.focus({ preventScroll: true });
    if (!document.querySelector(".cell.here")) mark(marked());
  },
  true,
);

// Lines that htmx brought: the mark goes on where it was.
new MutationObserver(() => {
  if (!document.querySelector(".cell.here")) mark(marked());
}).observe(taps.parentElement, { childList: true });
mark(marked());
