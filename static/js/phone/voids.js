// Tapping the voids on a lifted tile's back: a grid of ten by ten, a percent a cell. It fills the percentage, and tells
// the server which cells are bare. Without this file the percentage is typed.

const SIDE = 10;
const percent = (text) => String(SIDE * SIDE - (text.match(/1/g)?.length ?? 0));
const parts = (box) => {
  const form = box.closest("form");
  return { typed: form.elements[box.dataset.value], kept: form.elements[box.dataset.voids] };
};

function build(box) {
  const { kept } = parts(box);
  const text = kept.value.length === SIDE * SIDE ? kept.value : "0".repeat(SIDE * SIDE);
  const grid = box.querySelector(".void-grid");
  grid.replaceChildren(
    ...[...text].map((cell, n) => {
      const button = document.createElement("button");
      button.type = "button";
      button.setAttribute("aria-pressed", String(cell === "1"));
      button.setAttribute("aria-label", `${Math.floor(n / SIDE) + 1}, ${(n % SIDE) + 1}`);
      // One stop for the keyboard; arrows go on from there.
      button.tabIndex = n ? -1 : 0;
      return button;
    }),
  );
  grid.hidden = false;
  box.querySelector(".no-script")?.remove();
}

function taken(box, grid) {
  const { typed, kept } = parts(box);
  kept.value = [...grid.children].map((cell) => (cell.getAttribute("aria-pressed") === "true" ? "1" : "0")).join("");
  typed.value = percent(kept.value);
}

document.addEventListener(
  "toggle",
  (event) => {
    if (event.target.matches?.("details.voids[open]")) build(event.target);
  },
  true,
);

document.addEventListener("click", (event) => {
  const cell = event.target.closest?.(".void-grid button");
  if (!cell) return;
  cell.setAttribute("aria-pressed", String(cell.getAttribute("aria-pressed") !== "true"));
  taken(cell.closest("details.voids"), cell.parentElement);
});

document.addEventListener("keydown", (event) => {
  const cell = event.target.closest?.(".void-grid button");
  const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -SIDE, ArrowDown: SIDE }[event.key];
  if (!cell || !step) return;
  event.preventDefault();
  const next = cell.parentElement.children[[...cell.parentElement.children].indexOf(cell) + step];
  if (!next) return;
  cell.tabIndex = -1;
  next.tabIndex = 0;
  next.focus();
});

// A percentage typed by hand is another one than was tapped.
document.addEventListener("input", (event) => {
  const box = event.target.form?.querySelector(`details.voids[data-value="${CSS.escape(event.target.name)}"]`);
  if (!box) return;
  const { kept } = parts(box);
  if (kept.value && percent(kept.value) !== event.target.value.trim()) kept.value = "";
});
