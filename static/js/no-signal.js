// A form whose parts the server adds or drops: without signal it can't. What the page can add by itself it does; else what
// is typed is saved as it stands. `.no-signal` in the form says so.

import { change } from "./entry/parts.js";

const warning = () => document.querySelector("#entry .no-signal");

document.addEventListener(
  "click",
  (event) => {
    const more = event.target.closest?.("#entry button[hx-post], #entry button[data-direct]");
    if (!more || !warning()) return;
    warning().hidden = navigator.onLine;
    if (navigator.onLine) return;
    event.preventDefault();
    event.stopPropagation();
    if (!change(more)) warning().scrollIntoView({ block: "center" });
  },
  true,
);

// A phone may think that it has signal.
document.addEventListener(
  "htmx:error",
  (event) => {
    const { ctx } = event.detail;
    if (!ctx?.select || ctx.response || !warning() || !ctx.sourceElement.matches?.("#entry button[name=add]")) return;
    if (!change(ctx.sourceElement)) return;
    warning().hidden = false;
    event.preventDefault();
  },
  true,
);
