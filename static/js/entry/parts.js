// Walls, floors, openings, sides and corners that are added while there is no signal: copies of the blank ones that came
// with the page. The last that was added so can go again; all else waits for the server.

const BLANK = "9999"; // as in rooms/entry/page.py
const MOST = { opening: 20, leg: 40, surface: 60, corner: 120 }; // as in rooms/entry/state.py
const MOST_FIELDS = 900;

const CORNERS = "select[name^=corner-]:is([name$=-left], [name$=-right])";
const blank = (what) => document.querySelector(`template[data-blank="${what}"]`);
const counter = (form, kind, at) => form.elements[{ opening: `surface-${at}-openings`, leg: `surface-${at}-legs`, surface: "surfaces", corner: "corners" }[kind]];

// True where it could be done here.
export function change(button) {
  const [kind, which, number] = button.value.split(":");
  if (!MOST[kind] || !button.form) return false;
  return button.name === "add" ? add(button, kind, which) : takeBack(button, kind, which, number);
}

function add(button, kind, which) {
  const { form } = button;
  const source = blank(kind === "surface" ? button.value : kind);
  const count = counter(form, kind, which);
  const number = Number(count?.value);
  if (!source || !count || number >= MOST[kind] || form.elements.length + source.content.querySelectorAll("[name]").length > MOST_FIELDS) return false;
  const index = kind === "opening" || kind === "leg" ? which : number;
  const holder = document.createElement("div");
  holder.innerHTML = source.innerHTML
    .replace(new RegExp(`(surface|opening|leg|corner|shown)([-:])${BLANK}`, "g"), `$1$2${index}`)
    .replace(new RegExp(`(surface-${index}-${kind}-|opening:${index}:)0`, "g"), `$1${number}`);
  const part = holder.firstElementChild;
  part.dataset.here = "";
  const legend = part.querySelector("legend");
  if (legend) legend.textContent = legend.textContent.replace(/\d+/, number + 1);
  button.closest(".buttons").before(part);
  count.value = number + 1;
  if (kind === "surface") part.querySelector(`[name="surface-${index}-wet"]`).checked = Boolean(form.elements[`surface-${index - 1}-wet`]?.checked);
  if (button.value === "surface:wall") for (const list of form.querySelectorAll(CORNERS)) list.add(new Option(legend.textContent, index));
  if (kind === "corner") part.querySelectorAll("select").forEach(withWalls);
  window.htmx?.process(part);
  part.querySelector("select, input:not([type=hidden])")?.focus();
  return true;
}

// A corner is between walls that the page has by now.
function withWalls(list) {
  if (!list.matches(CORNERS)) return;
  for (const wall of list.form.querySelectorAll("fieldset[data-here] select[name^=surface-][name$=-kind]")) {
    const index = wall.name.split("-")[1];
    if (wall.name === `surface-${index}-kind` && wall.value === "wall") list.add(new Option(wall.closest("fieldset").querySelector("legend").textContent, index));
  }
}

function takeBack(button, kind, which, number) {
  const count = counter(button.form, kind, which);
  const last = Number(count?.value) - 1;
  if (kind !== "leg" && Number(kind === "opening" ? number : which) !== last) return false;
  const part = button.form.elements[{ opening: `surface-${which}-opening-${last}-kind`, leg: `surface-${which}-leg-${last}-way`, surface: `surface-${last}-kind`, corner: `corner-${last}-first` }[kind]]?.closest("[data-here]");
  if (!part) return false;
  part.remove();
  count.value = last;
  if (kind === "surface") for (const option of document.querySelectorAll(`#entry :is(${CORNERS}) option[value="${last}"]`)) option.remove();
  return true;
}
