// Folded parts of a page are open where there is room for them, and on paper. Without this file each opens by a press.

const folds = [...document.querySelectorAll("details.fold")];
const wide = matchMedia("(min-width: 821px)"); // as in gaugerod.css, where tables become cards

if (wide.matches) for (const fold of folds) fold.open = true;
let closed = [];
addEventListener("beforeprint", () => {
  closed = folds.filter((fold) => !fold.open);
  for (const fold of closed) fold.open = true;
});
addEventListener("afterprint", () => { for (const fold of closed) fold.open = false; });
