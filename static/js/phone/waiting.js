// The page of what waits on this phone. What another person entered is named and counted, and neither shown nor touched:
// a phone goes from hand to hand.

import * as losses from "./losses.js";
import * as queue from "./queue.js";
import { trouble } from "./mending.js";
import { button, clock, fill, isMine, person, typed, words } from "./page.js";

export const lostText = () => fill(words.lost, { count: losses.all().length, since: clock(losses.since()) });

export function list() {
  const place = document.getElementById("waiting-list");
  if (!place) return;
  const items = queue.unsent();
  document.getElementById("nothing-waits").hidden = items.length > 0;
  const lost = document.getElementById("lost");
  lost.hidden = !losses.all().length;
  if (!lost.hidden) lost.replaceChildren(`${lostText()} `, button(words.understood, "btn quiet", forget));
  place.replaceChildren(...items.filter(isMine).map(entry), ...others(items.filter((item) => !isMine(item))));
}

function forget() {
  losses.forget();
  queue.look();
}

function section(name) {
  const made = document.createElement("section");
  made.className = "check";
  const title = document.createElement("h2");
  title.className = "t";
  title.textContent = name;
  made.append(title);
  return made;
}

function line(text) {
  const made = document.createElement("p");
  made.className = "tol";
  made.textContent = text;
  return made;
}

function entry(item) {
  const made = section(item.label);
  const told = [item.name, clock(item.at), words[item.verdict], ...typed(item), item.photo && words.with_photo];
  made.append(line(told.filter(Boolean).join(" · ")));
  if (item.state === "parked") made.append(trouble(item));
  const buttons = document.createElement("p");
  buttons.className = "buttons";
  const open = document.createElement("a");
  open.className = "btn quiet";
  open.href = item.page;
  open.textContent = words.open_page;
  const sendAgain = () => queue.again(item.key, person.user);
  const takeBack = () => confirm(words.really_delete) && queue.takeBack(item.key, person.user);
  buttons.append(open, button(words.send_again, "btn", sendAgain), button(words.delete, "btn danger", takeBack));
  made.append(buttons);
  return made;
}

function others(items) {
  return [...new Set(items.map(({ user }) => user))].map((user) => {
    const theirs = items.filter((item) => item.user === user);
    const made = section(theirs[0].name);
    made.append(line(fill(words.of_another, { name: theirs[0].name, count: theirs.length })));
    return made;
  });
}
