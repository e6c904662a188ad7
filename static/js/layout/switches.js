// What each position of a switch would come to: asked one after the other, only where somebody looks.

export function foresee(section) {
  if (!section) return { pause() {}, byHand() {}, again() {} };
  let busy = false;
  let paused = false;

  const next = () =>
    [...section.querySelectorAll(".opt:not(.on) > .foreseen:empty")].find((each) => !each.closest("details:not([open])"));

  async function ask() {
    if (busy) return;
    busy = true;
    for (let place; !paused && (place = next()); ) {
      place.textContent = section.dataset.counting;
      const shown = new URLSearchParams(place.dataset.query);
      for (const name of ["mm", "cut", "needed"]) shown.set(name, section.dataset[name] ?? "");
      try {
        const answer = await fetch(`${section.dataset.foreseen}?${shown}`);
        place.innerHTML = answer.ok ? (await answer.json()).told : " ";
      } catch {
        place.textContent = " ";
      }
    }
    busy = false;
  }

  section.addEventListener("toggle", ask, true);
  ask();

  return {
    /** The hand comes first: nothing is asked while it moves. */
    pause() {
      paused = true;
    },
    /** Lines put by hand are at no position that places them. */
    byHand() {
      for (const stands of section.querySelectorAll(".places .stands")) stands.textContent = stands.dataset.byHand;
    },
    /** The option that is shown has other figures now. */
    again([mm, cut, needed]) {
      paused = false;
      Object.assign(section.dataset, { mm: mm ?? "", cut, needed });
      for (const place of section.querySelectorAll(".foreseen")) place.replaceChildren();
      ask();
    },
  };
}
