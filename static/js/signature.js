// A signature drawn on a canvas: strokes in a frame of 600 by 200, kept as JSON in the form's hidden field. Without this
// file the typed name stands for it.

const WIDTH = 600, HEIGHT = 200, MOST_POINTS = 5000; // as in estimating/signing.py

function pad(place) {
  const canvas = place.querySelector("canvas");
  const field = place.closest("form").querySelector("[name=strokes]");
  const pen = canvas.getContext("2d");
  let strokes = [];
  let stroke = null;

  const draw = () => {
    pen.clearRect(0, 0, WIDTH, HEIGHT);
    pen.lineWidth = 4;
    pen.lineCap = pen.lineJoin = "round";
    pen.strokeStyle = getComputedStyle(canvas).color;
    for (const points of strokes) {
      pen.beginPath();
      pen.moveTo(...points[0]);
      for (const point of points) pen.lineTo(...point);
      pen.stroke();
    }
  };
  const within = (value, most) => Math.max(0, Math.min(most, Math.round(value)));
  const add = (event) => {
    const frame = canvas.getBoundingClientRect();
    const point = [
      within((event.clientX - frame.left) / frame.width * WIDTH, WIDTH),
      within((event.clientY - frame.top) / frame.height * HEIGHT, HEIGHT),
    ];
    const last = stroke.at(-1);
    if (last && last[0] === point[0] && last[1] === point[1]) return;
    if (strokes.flat().length < MOST_POINTS) stroke.push(point);
  };
  const keep = () => { field.value = strokes.length ? JSON.stringify(strokes) : ""; };

  canvas.addEventListener("pointerdown", (event) => {
    if (stroke || event.button > 0) return;
    canvas.setPointerCapture(event.pointerId);
    strokes.push(stroke = []);
    add(event);
    if (!stroke.length) strokes.pop();
    draw();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!stroke) return;
    add(event);
    draw();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, () => { stroke = null; keep(); });
  }
  place.querySelector("[data-clear]").addEventListener("click", () => {
    strokes = [];
    keep();
    draw();
  });

  // A form that came back has what was drawn.
  try { strokes = JSON.parse(field.value || "[]"); } catch { strokes = []; }
  if (!Array.isArray(strokes)) strokes = [];
  place.hidden = false;
  draw();
}

for (const place of document.querySelectorAll("[data-signature]")) pad(place);
