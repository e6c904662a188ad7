// The keys under a grid of readings: one tap fills the field that was touched last and goes on to the next. Without
// this file readings are typed.

const form = () => document.querySelector("form.readings");
const fields = () => [...form().querySelectorAll(".reading input")];
let last = null;

function show() {
  const taps = form()?.querySelector(".taps");
  if (taps) taps.hidden = fields().length === 0;
}

document.addEventListener("focusin", (event) => {
  if (event.target.matches?.(".reading input")) last = event.target;
});

document.addEventListener("click", (event) => {
  const key = event.target.closest?.(".taps button");
  if (!key) return;
  const sign = form().querySelector("[data-sign]");
  if (key === sign) {
    sign.setAttribute("aria-pressed", String(sign.getAttribute("aria-pressed") !== "true"));
    return;
  }
  const every = fields();
  const field = last?.isConnected ? last : every.find((each) => !each.value) ?? every[0];
  const back = sign.getAttribute("aria-pressed") === "true" && key.dataset.tap !== "0";
  field.value = (back ? "-" : "") + key.dataset.tap;
  sign.setAttribute("aria-pressed", "false");
  last = every[every.indexOf(field) + 1] ?? field;
  // Focus that a key moved brings no keyboard over the page; the field is only marked.
  for (const each of every) each.classList.toggle("next", each === last);
  last.scrollIntoView({ block: "center", behavior: "instant" });
});

document.addEventListener("htmx:after:swap", show);
show();
