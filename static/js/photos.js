// Photos to sort, and where a photo was taken: only the checks and surfaces of the chosen room are offered, and a tap on
// the surface's drawing fills in the two lengths. Everything works without this file, by choosing and typing.

import * as store from "./phone/store.js";

const words = JSON.parse(document.getElementById("phone-words").textContent);
const STEP = { in: 12.7, mm: 10 }; // mm: a thumb is no nearer than half an inch
const SVG = "http://www.w3.org/2000/svg";

// ---- the room: a form shows the options of its room, whatever the page has

const whole = new WeakMap(); // the options that a select had at first

function narrow(form) {
  const box = document.getElementById("rooms-of");
  if (!box || !form.elements.room) return;
  const roomOf = JSON.parse(box.textContent);
  const room = form.elements.room.value;
  for (const select of [form.elements.check, form.elements.surface].filter(Boolean)) {
    if (!whole.has(select)) whole.set(select, [...select.children].map((each) => each.cloneNode(true)));
    const { value } = select;
    const belongs = (option) => !option.value || !room || roomOf[option.value] === room;
    select.replaceChildren(
      ...whole.get(select).map((each) => each.cloneNode(true)).filter((each) => [...(each.matches("option") ? [each] : each.children)].some(belongs)),
    );
    select.value = value;
    if (!select.value) select.value = "";
  }
}

// ---- the place: the drawing of the chosen surface, and a mark where it was tapped

const lengths = (form) => ["left", "bottom"].map((name) => form.querySelector(`[data-from=${name}]`));

// A length as it is typed into the form, from mm: never beyond the surface.
function typed(mm, most) {
  const { units } = document.getElementById("surface-drawings").dataset;
  const step = STEP[units];
  const steps = Math.min(Math.round(mm / step), Math.floor(most / step));
  if (units !== "in") return String(steps * step);
  return steps % 2 ? `${steps > 1 ? Math.floor(steps / 2) : ""} 1/2`.trim() : String(steps / 2);
}

function draw(form) {
  const spot = form.querySelector("[data-spot]");
  if (!spot) return;
  const drawing = document.querySelector(`#surface-drawings [data-surface="${form.elements.surface.value}"]`);
  if (spot.dataset.shows === (form.elements.surface.value || "none")) return;
  spot.dataset.shows = form.elements.surface.value || "none";
  spot.hidden = !drawing;
  spot.querySelector("svg")?.remove();
  if (!drawing) return;
  const svg = drawing.querySelector("svg").cloneNode(true);
  Object.assign(svg.dataset, drawing.dataset);
  spot.append(svg);
}

function mark(svg, x, y) {
  svg.querySelector(".photo")?.remove();
  const dot = document.createElementNS(SVG, "circle");
  for (const [name, value] of Object.entries({ class: "photo", cx: x, cy: y, r: 13 })) dot.setAttribute(name, value);
  svg.append(dot);
}

document.addEventListener("click", (event) => {
  const svg = event.target.closest?.("[data-spot] svg");
  if (!svg) return;
  const form = svg.closest("form");
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const [wide, high, scale] = ["wide", "high", "scale"].map((name) => Number(svg.dataset[name]));
  const within = (value, most) => Math.min(Math.max(value, 0), most);
  const left = within(at.x / scale, wide);
  const bottom = within(high - at.y / scale, high);
  mark(svg, left * scale, (high - bottom) * scale);
  const [across, up] = lengths(form);
  across.value = typed(left, wide);
  up.value = typed(bottom, high);
  // As if it was typed: what is on the page isn't taken away any more.
  up.dispatchEvent(new Event("input", { bubbles: true }));
});

// A length typed by hand is another place than was tapped.
document.addEventListener("input", ({ target, isTrusted }) => {
  if (isTrusted && target.matches?.("[data-from]")) target.form.querySelector("[data-spot] .photo")?.remove();
});

// ---- what the form shows of what it says

function show(form) {
  narrow(form);
  draw(form);
}

document.addEventListener("change", ({ target }) => {
  if (!target.form?.querySelector("[data-spot], [name=room]")) return;
  const { room } = target.form.elements;
  if (target.name === "photo" && target.dataset.room) room.value = target.dataset.room;
  show(target.form);
});
// A form is reset after this event.
document.addEventListener("reset", ({ target }) => setTimeout(show, 0, target));

function showAll() {
  for (const spot of document.querySelectorAll("[data-spot]")) show(spot.closest("form"));
}

// ---- what waits on the phone

const fill = (text, values) => text.replace(/%\((\w+)\)s/g, (_, name) => values[name]);

document.addEventListener("phone-shown", ({ detail: unsent }) => {
  const place = document.getElementById("photos-waiting");
  const waiting = unsent.filter((item) => item.photo && item.address === place?.dataset.address).length;
  if (place) {
    place.hidden = !waiting;
    place.textContent = waiting ? fill(waiting === 1 ? words.one_photo : words.some_photos, { count: waiting }) : "";
  }
  const sorted = new Set(unsent.filter((item) => item.state === "waiting").map((item) => item.fields.find(([name]) => name === "photo")?.[1]));
  for (const choice of document.querySelectorAll(".sorting [name=photo]")) {
    choice.disabled = sorted.has(choice.value);
    const said = choice.closest("label").querySelector(".sorted-here");
    said.hidden = !choice.disabled;
    said.textContent = choice.disabled ? words.sorted_here : "";
  }
  showAll();
});

// Without signal the small copy may be missing; the photo itself is on the phone that took it.
async function ownPhoto(img) {
  const key = img.dataset.photo;
  delete img.dataset.photo;
  const photo = await store.photoOf({ key, photo: {} }).catch(() => null);
  if (photo?.bytes) img.src = URL.createObjectURL(new Blob([photo.bytes]));
}

document.addEventListener("error", ({ target }) => target.matches?.("img[data-photo]") && ownPhoto(target), true);
for (const img of document.querySelectorAll("img[data-photo]")) if (img.complete && !img.naturalWidth) ownPhoto(img);

showAll();
