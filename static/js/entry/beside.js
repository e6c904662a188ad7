// What the drawing says of a field while somebody types stands beside the field, too. After saving the server writes it
// there.

function show() {
  for (const note of document.querySelectorAll("#entry .beside")) note.remove();
  for (const said of document.querySelectorAll("#entry .shown [data-field]")) {
    const field = document.getElementById(said.dataset.field);
    if (!field) continue;
    const note = said.cloneNode(true);
    note.querySelector("span").remove();
    note.removeAttribute("data-field");
    note.classList.add("beside");
    field.after(note);
    const fold = field.closest("details");
    if (fold) fold.open = true;
  }
}

document.addEventListener("htmx:after:swap", show);
