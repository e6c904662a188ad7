// One picture of surfaces that meet: where its lines stand, and the bare pattern shifted under the hand.

const TRANSLATED = /translate\(([-\d.]+) ([-\d.]+)\)/;

export class Picture {
  constructor(svg, up) {
    this.svg = svg;
    this.up = up; // the name of the line that all its surfaces share
    this.scale = Number(svg.dataset.scale);
    this.faces = [...svg.querySelectorAll(".face")];
    this.marks = new Map(); // by face, as the server made them last
    this.handles = [...svg.querySelectorAll(".handle")];
    this.places = new Map(this.handles.map((each) => [each, each.transform.baseVal[0].matrix]));
    for (const [handle, { e, f }] of this.places) this.places.set(handle, [e, f]);
  }

  /** Units of the picture to a pixel of the screen. */
  get zoom() {
    return 1 / this.svg.getScreenCTM().a;
  }

  /** Shows the lines away from where they were last laid, by mm: the pattern, the lines and the handles. */
  shift(away) {
    const rise = -away(this.up) * this.scale;
    let any = false;
    for (const face of this.faces) {
      const aside = away(`x${face.dataset.lead}`) * this.scale;
      const held = aside !== 0 || rise !== 0;
      any ||= held;
      face.classList.toggle("held", held);
      const pattern = face.querySelector(".ghost pattern");
      if (pattern) {
        pattern.dataset.laid ??= pattern.getAttribute("patternTransform");
        const moved = pattern.dataset.laid.replace(TRANSLATED, (_all, x, y) => `translate(${+x + aside} ${+y + rise})`);
        pattern.setAttribute("patternTransform", moved);
      }
      const [level, plumb] = face.querySelectorAll(".lines path");
      level?.setAttribute("transform", `translate(0 ${rise})`);
      plumb?.setAttribute("transform", `translate(${aside} 0)`);
    }
    for (const [handle, [x, y]] of this.places) {
      const aside = away(`x${handle.dataset.surface}`) * this.scale;
      handle.setAttribute("transform", `translate(${x + aside} ${y + rise})`);
    }
    this.svg.classList.toggle("moving", any);
  }

  /** Takes the marks and places that the server made. */
  take(faces, places) {
    for (const face of this.faces) {
      const marks = faces[face.dataset.surface] ?? "";
      // A surface whose line didn't move is as it was: nothing is drawn anew.
      if (this.marks.get(face) !== marks) face.innerHTML = marks;
      this.marks.set(face, marks);
    }
    for (const handle of this.handles) this.places.set(handle, places[handle.dataset.surface]);
  }
}
