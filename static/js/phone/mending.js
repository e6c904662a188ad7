// What the server sent back stands at its form with the reason, to be mended; and forms that go without the queue.

import { button, fill, words } from "./page.js";

// Who is logged in, and the token that a form needs; the status where the server says neither, null without signal.
export async function askWho() {
  try {
    const answer = await fetch("/phone/me/", { cache: "no-store", redirect: "manual" });
    return answer.ok ? await answer.json() : { status: answer.status };
  } catch {
    return null;
  }
}

// A form that the browser sends itself is answered by a page, which no kept one may stand in for.
export const awaitAnswer = () => navigator.serviceWorker?.controller?.postMessage("a form goes");

// As a page without scripts would.
export function direct(form, submitter) {
  form.removeAttribute("data-queue");
  form.removeAttribute("data-signal");
  // A form can't be submitted while it tells that it is.
  setTimeout(() => form.requestSubmit(submitter?.form === form ? submitter : undefined));
}

// A form that is a page of its own (data-whole) is mended on the page that the server makes of it: the one at hand may
// have other fields.
export const isOpenToMend = (form, item) =>
  item.whole && item.state === "parked" && form.elements?.key?.value === item.key;

export async function mend(item) {
  const me = await askWho();
  if (!me?.csrf) return;
  const form = document.createElement("form");
  Object.assign(form, { method: "post", action: item.address, hidden: true });
  for (const [name, value] of [...item.fields, ["csrfmiddlewaretoken", me.csrf]]) {
    form.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
  }
  document.body.append(form);
  awaitAnswer();
  HTMLFormElement.prototype.submit.call(form);
}

// Why an item is parked.
export function trouble(item) {
  const box = document.createElement("p");
  box.className = "do";
  const { status, unread } = item.errors ?? {};
  if (unread) box.textContent = words.photo_unread;
  else if (status) box.textContent = fill(words.not_yours, { status });
  else box.textContent = `${words.not_taken} ${Object.values(item.errors ?? {}).flat().join(" ")}`;
  if (item.whole && !status && !unread) box.append(" ", button(words.mend_it, "btn", () => mend(item)));
  return box;
}

// What was typed stands in its form once more; what is sent then takes the parked one's place (`keep`).
export function refill(form, item) {
  if (form.dataset.parked === item.key) return;
  form.dataset.parked = item.key;
  const tapped = item.fields.filter(([name]) => name === "surfaces").map(([, key]) => key);
  for (const box of form.querySelectorAll("[name=surfaces]")) box.checked = tapped.includes(box.value);
  for (const [name, text] of item.fields) {
    const field = form.elements[name];
    if (field && "value" in field && field.type !== "hidden" && field.type !== "submit") field.value = text;
  }
}
