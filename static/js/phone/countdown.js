// Waits on a card count down by this phone's clock, with signal or without. Once one is over the card says so; that it
// holds, only the server says, when the page is loaded again.

const MINUTE = 60_000; // ms
const words = JSON.parse(document.getElementById("phone-words").textContent);
const fill = (text, values) => text.replace(/%\((\w+)\)s/g, (_, name) => values[name]);
const two = (number) => String(number).padStart(2, "0");

// In minutes, and in the last hour with seconds; never less than there is.
export function left(ms) {
  const minutes = Math.ceil(ms / MINUTE);
  if (minutes >= 60) return fill(words.hours_left, { hours: Math.floor(minutes / 60), minutes: two(minutes % 60) });
  const seconds = Math.ceil(ms / 1000);
  return fill(words.seconds_left, { minutes: Math.floor(seconds / 60), seconds: two(seconds % 60) });
}

function count() {
  for (const wait of document.querySelectorAll("[data-due]")) {
    const [line, status, again] = wait.children;
    const ms = Date.parse(wait.dataset.due) - Date.now();
    const figure = line.querySelector("b");
    const text = ms > 0 ? left(ms) : "";
    if (text && figure.textContent !== text) figure.textContent = text;
    if (text || line.hidden) continue;
    line.hidden = true;
    status.textContent = words.wait_over;
    if (again) again.hidden = false;
    document.dispatchEvent(new Event("wait-over"));
  }
}

// Of a wait that began on this phone and isn't sent yet; `due` as a number of ms.
export function countdown(due) {
  const wait = document.createElement("div");
  wait.dataset.due = new Date(due).toISOString();
  wait.innerHTML = '<p class="tol"><b></b></p><p role="status"></p>';
  setTimeout(count);
  return wait;
}

setInterval(count, 1000);
count();
