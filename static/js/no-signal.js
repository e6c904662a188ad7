// A form whose parts the server adds or drops: without signal it can't, and what is typed is saved as it stands. `.no-signal` in
// the form says so.

document.addEventListener(
  "click",
  (event) => {
    const more = event.target.closest?.("#entry button[hx-post], #entry button[data-direct]");
    const warning = document.querySelector("#entry .no-signal");
    if (!more || !warning) return;
    warning.hidden = navigator.onLine;
    if (navigator.onLine) return;
    event.preventDefault();
    event.stopPropagation();
    warning.scrollIntoView({ block: "center" });
  },
  true,
);
