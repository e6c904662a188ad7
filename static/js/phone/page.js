// What the phone's scripts share of the page that they run on.

export const words = JSON.parse(document.getElementById("phone-words").textContent);
export const person = document.getElementById("phone").dataset;

// A time in Spanish ends with a point: a sentence that it ends needs no second one.
export const fill = (text, values) => text.replace(/%\((\w+)\)s/g, (_, name) => values[name]).replace(/\.\.(?= |$)/g, ".");

export const clock = (at) => {
  const date = new Date(at);
  const today = date.toDateString() === new Date().toDateString();
  return date.toLocaleString(document.documentElement.lang, today ? { timeStyle: "short" } : { dateStyle: "short", timeStyle: "short" });
};

export const PLACES = "form[data-queue], [data-queued]"; // a form, or what stands on this page for a form of another
export const addressOf = (place) => place.dataset.queued ?? new URL(place.action, location.href).pathname;

export const isMine = (item) => item.user === person.user;

// The regions of the page that somebody is typing into.
export const touched = new Set();

// Over a form, why it isn't kept.
export function say(form, text) {
  let box = form.querySelector(":scope > .kept-not");
  if (!box) {
    box = document.createElement("p");
    box.className = "kept-not errors";
    box.setAttribute("role", "alert");
    form.prepend(box);
  }
  box.textContent = text;
  box.hidden = !text;
  // A long form is pressed at its foot.
  if (text) box.scrollIntoView({ block: "nearest" });
}

// What was typed and pressed, as words.
export const typed = (item) => [
  ...(item.walls?.length ? [item.walls.join(", ")] : []),
  ...item.fields.filter(([name, text]) => text && /^(value_|tap$|note$|text$|caption$)/.test(name)).map(([, text]) => text),
];

export function button(text, look, press) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = look;
  made.textContent = text;
  made.addEventListener("click", press);
  return made;
}
