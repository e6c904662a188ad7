// Lines and places of a survey, more and fewer and evenly apart, as rooms/surveys/state.py has them: without the server,
// so that a grid grows where there is no signal. Without this file the buttons send the form and get it back.

import { length, rounded } from "./phone/verdict.js";

const { line: LINE, place: PLACE, units, ...MOST } = JSON.parse(document.getElementById("survey-grid").textContent);
const form = () => document.getElementById("entry");
const field = (name) => form().elements[name];
const count = (what) => Number(field(what).value);
const called = (words, n) => words.replace("%(number)s", n + 1);
const readings = () => [...form().querySelectorAll(".reads")];
const copyOf = (name) => document.getElementById(name).content.firstElementChild.cloneNode(true);

// A length as it is written into a field: to 1/64 in where that says it exactly, else in mm. `mm` as a fraction.
function written([top, bottom]) {
  const parts = [top * 640n, bottom * 254n]; // 1/64 in
  if (units === "in" && parts[0] % parts[1] === 0n) {
    const [whole, rest] = [parts[0] / parts[1] / 64n, (parts[0] / parts[1]) % 64n];
    let [up, down] = [rest, 64n];
    while (up && up % 2n === 0n) [up, down] = [up / 2n, down / 2n];
    return `${[whole || !up ? whole : "", up ? `${up}/${down}` : ""].filter((part) => part !== "").join(" ")}"`;
  }
  const [millionths] = rounded([top, bottom], 6n);
  const digits = String(millionths % 1_000_000n).padStart(6, "0").replace(/0+$/, "");
  return `${millionths / 1_000_000n}${digits && `.${digits}`} mm`;
}


// As the server keeps a length, in millionths of a mm; null for what it can't read here.
function read(name) {
  const found = length(field(name)?.value ?? "", units);
  return found && rounded(found, 6n);
}

const times = ([top, bottom], n) => [top * BigInt(n), bottom];

// One step on from the field `before`; empty where that can't be told.
function after(before, step) {
  const [from, by] = [field(before)?.value ? read(before) : [0n, 1n], read(step)];
  return from && by ? written([from[0] * by[1] + by[0] * from[1], from[1] * by[1]]) : "";
}

function named(cell, name, text = "") {
  const input = cell.querySelector("input");
  input.name = name;
  input.id = `id_${name}`;
  input.setAttribute("value", text);
  cell.querySelector("label").htmlFor = input.id;
  return cell;
}

const outOf = (line, place) => named(copyOf("blank-line").querySelector(".out"), `line-${line}-${place}`);

function oneMoreLine() {
  const n = count("lines");
  const line = copyOf("blank-line");
  line.querySelector("legend").textContent = called(LINE, n);
  const at = named(line.querySelector(".at"), `line-${n}-at`, n ? after(`line-${n - 1}-at`, "across") : written([0n, 1n]));
  const outs = Array.from({ length: count("places") }, (_, place) => outOf(n, place));
  line.querySelector(".cells").replaceChildren(at, ...outs);
  document.getElementById("no-lines").before(line);
  field("lines").value = n + 1;
  return outs[0].querySelector("input");
}

function oneMorePlace() {
  const n = count("places");
  const place = named(copyOf("blank-place"), `place-${n}`, after(`place-${n - 1}`, "along"));
  place.querySelector("label").textContent = n + 1;
  document.getElementById("places").append(place);
  for (const [line, each] of readings().entries()) each.querySelector(".cells").append(outOf(line, n));
  field("places").value = n + 1;
  return place.querySelector("input");
}

function without(what) {
  const last = what === "line" ? readings().slice(-1) : [...form().querySelectorAll("#places, .reads .cells")].map((each) => each.lastElementChild);
  for (const each of last) each.remove();
  field(`${what}s`).value -= 1;
  return document.querySelector(`button[name=add][value=${what}]`);
}

function spaced() {
  const [across, along] = [read("across"), read("along")];
  if (!across || !along) return null;
  for (let n = 0; n < count("lines"); n++) field(`line-${n}-at`).value = written(times(across, n));
  for (let n = 0; n < count("places"); n++) field(`place-${n}`).value = written(times(along, n));
  return field("along");
}

// What stands over each reading, and which buttons there is use for.
function show() {
  const [lines, places] = [count("lines"), count("places")];
  for (const [line, each] of readings().entries()) {
    for (const [place, cell] of [...each.querySelectorAll(".out")].entries()) {
      const name = field(`place-${place}`).value || called(PLACE, place);
      cell.dataset.name = `${called(LINE, line)}, ${field(`place-${place}`).value || place + 1}`;
      const label = cell.querySelector("label > span:last-child");
      if (label.textContent !== name) label.textContent = name;
    }
  }
  const use = {
    add: { line: lines < MOST.lines && (lines + 1) * places <= MOST.cells, place: places < MOST.places && lines * (places + 1) <= MOST.cells },
    remove: { line: lines > 0, place: places > 1 },
  };
  for (const button of form().querySelectorAll("button:is([name=add], [name=remove])")) {
    const part = button.name === "add" ? button : button.parentElement;
    part.hidden = !use[button.name][button.value];
  }
  document.getElementById("no-lines").hidden = lines > 0;
}

const WAYS = { add: { line: oneMoreLine, place: oneMorePlace }, remove: { line: () => without("line"), place: () => without("place") }, space: { 1: spaced } };

// Does what the button says. The field to go on with; null where a distance is needed and can't be read here.
export function change({ name, value }) {
  const next = WAYS[name][value]();
  if (!next) return null;
  show();
  // A page that somebody works on isn't loaded anew.
  form().dispatchEvent(new Event("input", { bubbles: true }));
  return next;
}

document.addEventListener("input", ({ target }) => target.name?.startsWith("place-") && show());
