// Lines under the hand: the pattern follows at once, the server's pieces and figures as they come. What isn't counted
// yet is dimmed, so that no old figure passes for a new one.

import { Picture } from "./lines.js";

const SETTLED = 350; // ms without a move
const STRAIGHT = 6; // px: less than this across a drag is no move that way

export function follow(laying, foreseen) {
  const inch = laying.dataset.unit === "in";
  const [step, leap] = inch ? [25.4 / 16, 25.4] : [1, 25];
  const inputs = [...laying.querySelectorAll(".move input[data-mm]")];
  const base = Object.fromEntries(
    [...laying.querySelectorAll(".move input[type=hidden]")].map((each) => [each.name, each.value]),
  );
  const at = Object.fromEntries(inputs.map((each) => [each.name, Number(each.dataset.mm)]));
  let laid = { ...at };
  const said = Object.fromEntries(inputs.map((each) => [each.name, each.value]));
  // Typed and not sent: it stays until the line is moved by hand.
  const typed = new Set();
  for (const input of inputs) input.addEventListener("input", () => typed.add(input.name));
  let asking = false;
  let timer = 0;
  const byId = (id) => document.getElementById(id);

  const pictures = [...laying.querySelectorAll("svg.unfolded")].map((svg) => {
    const mine = new Set([...svg.querySelectorAll(".face")].map((face) => `y${face.dataset.surface}`));
    return new Picture(svg, inputs.find((each) => mine.has(each.name))?.name);
  });

  function show() {
    const away = (name) => (name in at ? at[name] - laid[name] : 0);
    for (const picture of pictures) picture.shift(away);
    const stale = Object.keys(at).some((name) => at[name] !== laid[name]);
    for (const id of ["figures", "findings", "drawings"]) {
      byId(id).classList.toggle("dim-figures", stale || (id === "drawings" && timer !== 0));
      byId(id).setAttribute("aria-busy", stale);
    }
    // What is chosen is what was laid last: not while something else is shown.
    laying.querySelector(".choose button")?.toggleAttribute("disabled", stale);
  }

  function address(settled) {
    const query = new URLSearchParams(base);
    for (const [name, mm] of Object.entries(at)) query.set(name, `${mm.toFixed(4)} mm`);
    if (settled) query.set("settled", "1");
    return `${laying.dataset.nudge}?${query}`;
  }

  async function ask(settled = false) {
    if (asking) return;
    asking = true;
    const asked = { ...at };
    let answer;
    try {
      answer = await (await fetch(address(settled), { headers: { Accept: "application/json" } })).json();
    } catch {
      answer = { refused: byId("cant").dataset.lost };
    }
    asking = false;
    take(answer, asked);
    if (Object.keys(at).some((name) => at[name] !== asked[name])) ask();
    else if (!settled && !answer.refused) {
      clearTimeout(timer);
      timer = setTimeout(() => {
        timer = 0;
        ask(true);
      }, SETTLED);
      show();
    }
  }

  function take(answer, asked) {
    byId("cant").hidden = !answer.refused;
    byId("cant").textContent = answer.refused ?? "";
    const last = Object.keys(at).every((name) => at[name] === asked[name]);
    if (answer.refused) {
      if (last) laying.dataset.state = "refused";
      return;
    }
    laid = asked;
    for (const picture of pictures) picture.take(answer.faces, answer.places);
    byId("figures").innerHTML = answer.figures;
    byId("findings").innerHTML = answer.findings;
    byId("said").textContent = answer.said;
    Object.assign(said, answer.lines);
    for (const input of inputs) if (!typed.has(input.name)) input.value = said[input.name];
    for (const [handle, picture] of handles()) tell(handle, picture);
    if (answer.drawings) {
      byId("drawings").innerHTML = answer.drawings;
      foreseen.again(answer.counted);
    }
    isByHand(answer.query);
    if (last) laying.dataset.state = answer.drawings ? "counted" : "laid";
    show();
  }

  // What is shown is none of the options any more: the address and the form that chooses say where the lines stand.
  function isByHand(query) {
    const title = byId("shown-title");
    title.textContent = title.dataset.byHand;
    for (const option of laying.querySelectorAll(":is(.options, .places) .opt.on")) {
      option.classList.remove("on");
      option.removeAttribute("aria-current");
      option.querySelector("[data-on]")?.removeAttribute("data-on");
    }
    foreseen.byHand();
    const here = `?${new URLSearchParams(query)}`;
    history.replaceState(null, "", here);
    for (const link of laying.querySelectorAll("a.compare")) {
      const number = new URLSearchParams(link.search).get("compare");
      link.search = `${here}&compare=${number}`;
    }
    const form = laying.querySelector("form.choose");
    if (!form) return;
    form.action = location.pathname + here;
    byId("asked").replaceChildren(
      ...Object.entries({ ...query, option: "1" }).map(([name, value]) =>
        Object.assign(document.createElement("input"), { type: "hidden", name, value }),
      ),
    );
  }

  function move(name, mm) {
    if (!(name in at) || at[name] === mm) return;
    at[name] = mm;
    typed.delete(name);
    clearTimeout(timer);
    timer = 0;
    laying.dataset.state = "moving";
    foreseen.pause();
    requestAnimationFrame(show);
    ask();
  }

  // The next mark of the tape that way; floats a hair off a mark are on it.
  const next = (mm, by) => {
    const marks = mm / Math.abs(by);
    const mark = by > 0 ? Math.floor(marks + 1e-4) + 1 : Math.ceil(marks - 1e-4) - 1;
    return Math.abs(by) === step ? mark * step : mm + by;
  };
  const nearest = (mm) => Math.round(mm / step) * step;

  const handles = () => pictures.flatMap((picture) => picture.handles.map((handle) => [handle, picture]));
  const text = (name) => said[name] ?? "";

  function tell(handle, picture) {
    const x = `x${handle.dataset.surface}`;
    handle.setAttribute("aria-valuenow", Math.round(at[x]));
    handle.setAttribute("aria-valuetext", `${text(x)}, ${text(picture.up)}`);
  }

  for (const [handle, picture] of handles()) {
    const x = `x${handle.dataset.surface}`;
    handle.classList.add("ready");
    const wide = Math.round(Number(handle.dataset.wide));
    const told = { tabindex: 0, role: "slider", "aria-label": handle.dataset.name, "aria-describedby": "how-to-move" };
    for (const [name, value] of Object.entries({ ...told, "aria-valuemin": 0, "aria-valuemax": wide })) {
      handle.setAttribute(name, value);
    }
    tell(handle, picture);

    handle.addEventListener("keydown", (event) => {
      const by = event.shiftKey ? leap : step;
      const ways = { ArrowLeft: [x, -by], ArrowRight: [x, by], ArrowUp: [picture.up, by], ArrowDown: [picture.up, -by] };
      const way = ways[event.key];
      if (!way) return;
      event.preventDefault();
      move(way[0], next(at[way[0]], way[1]));
    });

    handle.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      event.preventDefault();
      handle.focus({ preventScroll: true });
      handle.setPointerCapture(event.pointerId);
      const from = { left: event.clientX, top: event.clientY, x: at[x], y: at[picture.up] };
      const mm = picture.zoom / picture.scale;
      const drag = ({ clientX, clientY }) => {
        const aside = clientX - from.left;
        const down = clientY - from.top;
        move(x, Math.abs(aside) < STRAIGHT ? from.x : nearest(from.x + aside * mm));
        move(picture.up, Math.abs(down) < STRAIGHT ? from.y : nearest(from.y - down * mm));
      };
      handle.addEventListener("pointermove", drag);
      for (const end of ["pointerup", "pointercancel"]) {
        handle.addEventListener(end, () => handle.removeEventListener("pointermove", drag), { once: true });
      }
    });
  }
  byId("how-to-move").hidden = false;
}
