// The layout sheet at the wall and at the saw: one surface at a time, large, with the screen kept on. It is made of what
// stands on the page already, so it works without signal; without this file the page is the sheet.

const SWIPE = 60; // px that a finger goes sideways before it turns the page
const box = document.getElementById("large");
const surfaces = [...document.querySelectorAll(".layout-sheet .surface")];
const part = (name) => box.querySelector(name);
const fromTemplate = (name) => document.getElementById(name).content.cloneNode(true);

let at = 0;

// ---- the screen stays on: as long as this is open and to be seen

let lock = null;

function say(state) {
  for (const line of box.querySelectorAll("[data-screen]")) line.hidden = line.dataset.screen !== state;
}

// A browser lets go of it by itself whenever the page is hidden, and may refuse it when the battery is low.
async function holdScreen() {
  if (!box.open || document.visibilityState !== "visible" || lock) return;
  try {
    const got = await navigator.wakeLock.request("screen");
    if (!box.open || lock) return void got.release();
    lock = got;
    lock.addEventListener("release", () => {
      if (lock === got) lock = null;
      if (box.open) say("");
    });
    say("on");
  } catch {
    say("off");
  }
}

function letScreenGo() {
  lock?.release();
  lock = null;
}

document.addEventListener("visibilitychange", holdScreen);

// ---- one surface

function filled(tag, content) {
  const made = document.createElement(tag);
  made.append(...content);
  return made;
}

// A row of the cut list, its size first.
function cut(row) {
  const [, piece, size] = [...row.cells].map((cell) => cell.cloneNode(true));
  piece.querySelector(".of").remove();
  const from = `${box.dataset.outOf} ${row.dataset.tile}`;
  return filled("li", [filled("b", size.childNodes), filled("span", piece.childNodes), filled("span", [from])]);
}

function cutsOf(name) {
  const rows = [...document.querySelectorAll(".cuts tr[data-surface]")].filter((row) => row.dataset.surface === name);
  if (!rows.length) return fromTemplate("large-none");
  const list = filled("ul", rows.map(cut));
  list.className = "large-cuts";
  const made = fromTemplate("large-cuts");
  made.append(list);
  return made;
}

function show(n) {
  at = Math.max(0, Math.min(surfaces.length - 1, n));
  const surface = surfaces[at];
  const name = surface.querySelector("h2").textContent;
  part("#large-name").textContent = name;
  part(".place").textContent = `${at + 1} / ${surfaces.length}`;
  const copies = [...surface.querySelectorAll("figure, table")].map((each) => each.cloneNode(true));
  const body = part(".body");
  body.replaceChildren(...copies, cutsOf(name));
  body.scrollTo(0, 0);
  // Not `disabled`: the keyboard would lose its place at the last surface.
  part("[data-step=back]").ariaDisabled = String(at === 0);
  part("[data-step=next]").ariaDisabled = String(at === surfaces.length - 1);
}

// ---- open and close

async function open() {
  // First, so that the dialog comes to lie above it. An iPhone has none for pages.
  await document.documentElement.requestFullscreen?.().catch(() => null);
  show(at);
  box.showModal();
  part("#large-name").focus();
  holdScreen();
}

function closed() {
  letScreenGo();
  if (document.fullscreenElement) document.exitFullscreen();
}

const steps = { back: () => show(at - 1), next: () => show(at + 1), close: () => box.close() };

box?.addEventListener("click", (event) => steps[event.target.closest("[data-step]")?.dataset.step]?.());
box?.addEventListener("close", closed);
box?.addEventListener("keydown", (event) => {
  const step = { ArrowLeft: "back", ArrowRight: "next" }[event.key];
  if (!step) return;
  event.preventDefault();
  steps[step]();
});
// Escape leaves the full screen before the page hears of it: it shall leave both.
document.addEventListener("fullscreenchange", () => !document.fullscreenElement && box.open && box.close());

let start = null;
box?.addEventListener("touchstart", ({ touches }) => {
  start = touches.length === 1 ? [touches[0].clientX, touches[0].clientY] : null;
}, { passive: true });
box?.addEventListener("touchend", ({ changedTouches: [touch] }) => {
  if (!start || visualViewport.scale > 1) return;
  const [x, y] = [touch.clientX - start[0], touch.clientY - start[1]];
  if (Math.abs(x) > SWIPE && Math.abs(x) > 2 * Math.abs(y)) show(at + (x < 0 ? 1 : -1));
});

if (box && surfaces.length && box.showModal) {
  const place = document.getElementById("large-open");
  place.hidden = false;
  place.querySelector("button").addEventListener("click", open);
}
