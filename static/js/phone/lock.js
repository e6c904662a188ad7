// Asks for the PIN where gate.js has hidden the page. The queue goes on sending behind it.

import * as pin from "./pin.js";
import * as queue from "./queue.js";

const words = JSON.parse(document.getElementById("phone-words").textContent);
const box = document.getElementById("lock");

// Too many wrong tries: only a log-in opens again.
export const isShut = () => (gate.record()?.tries ?? 0) >= gate.MOST;

function say(text) {
  const place = document.getElementById("lock-said");
  place.textContent = text;
  place.hidden = !text;
}

function ask() {
  if (!box.open) box.showModal();
  if (isShut()) shut();
}

async function answer(event) {
  event.preventDefault();
  const field = document.getElementById("lock-pin");
  const button = box.querySelector("form .btn");
  const typed = field.value;
  if (!typed || button.ariaDisabled === "true") return;
  say("");
  button.ariaDisabled = "true";
  const right = await pin.isRight(typed).finally(() => (button.ariaDisabled = "false"));
  field.value = "";
  if (right) {
    gate.unlock();
    box.close();
  } else if (isShut()) shut();
  else {
    const left = gate.MOST - gate.record().tries;
    say(left === 1 ? words.pin_last : words.pin_wrong.replace("%(left)s", left));
    field.focus();
  }
}

// The pages go from the phone, and the log-in ends as soon as there is signal. What waits stays.
async function shut() {
  box.querySelector("form").hidden = true;
  say(words.pin_shut);
  await window.caches?.delete("pages");
  await logInAgain();
}

let leaving = null;

// Once at a time: a press, and signal that comes back, may ask for it together.
function logInAgain() {
  leaving ??= leave().finally(() => (leaving = null));
  return leaving;
}

// Ends the log-in, after what waits was sent; false where the server can't be reached.
export async function logOut() {
  await queue.flush();
  const answer = await fetch("/phone/me/", { cache: "no-store", redirect: "manual" }).catch(() => null);
  if (!answer?.ok) return answer?.status === 401;
  const { csrf } = await answer.json();
  const headers = { "X-CSRFToken": csrf };
  const gone = await fetch("/logout/", { method: "POST", redirect: "manual", headers }).catch(() => null);
  return gone?.type === "opaqueredirect";
}

async function leave() {
  if (!(await logOut())) {
    say(isShut() ? words.pin_shut : words.pin_no_signal);
    return;
  }
  location.assign(`/login/?next=${encodeURIComponent(location.pathname)}`);
  await new Promise(() => {}); // the page ends here
}

export function begin() {
  if (!box) return;
  box.querySelector("form").addEventListener("submit", answer);
  document.getElementById("lock-log-in").addEventListener("click", logInAgain);
  // Escape closes any dialog at the second press.
  box.addEventListener("cancel", (event) => event.preventDefault());
  box.addEventListener("close", () => gate.isLocked() && ask());
  document.addEventListener("phone-locked", ask);
  addEventListener("online", () => gate.isLocked() && isShut() && shut());
  if (gate.isLocked()) ask();
}
