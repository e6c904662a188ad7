// What htmx puts into any page, watched over. An answer that hasn't what was asked for (an error, the log-in page) takes
// nothing away, and what was typed while the server answered stays.

const words = document.getElementById("swap-words").dataset;
const formOf = (source) => source.form ?? source.closest("form");

function say(source, text) {
  const form = formOf(source) ?? source;
  const note = form.querySelector(".not-swapped") ?? document.createElement("p");
  note.className = "errors not-swapped";
  note.setAttribute("role", "alert");
  note.textContent = text;
  const place = source === form ? null : source.closest(".buttons, .line");
  if (place) place.after(note);
  else form.prepend(note);
  if (place) note.scrollIntoView({ block: "nearest" });
}

// The token of a form goes with the session: who logs in in another tab goes on with that one's. False: this person
// isn't logged in.
async function renewToken() {
  const answer = await fetch("/phone/me/", { cache: "no-store", redirect: "manual" }).catch(() => null);
  const me = answer?.ok && (await answer.json().catch(() => null));
  if (!me?.csrf || me.user !== document.getElementById("phone").dataset.user) return false;
  for (const field of document.querySelectorAll("input[name=csrfmiddlewaretoken]")) field.value = me.csrf;
  document.body.setAttribute("hx-headers:inherited", JSON.stringify({ "X-CSRFToken": me.csrf }));
  return true;
}

async function explain({ sourceElement, response }) {
  const isPersons = document.getElementById("phone")?.dataset.user;
  const isLogIn = response?.raw.redirected || [401, 403].includes(response?.status);
  say(sourceElement, isPersons && isLogIn && !(await renewToken()) ? words.logIn : words.lost);
}

addEventListener("focus", () => document.querySelector(".not-swapped") && renewToken());

function isEmpty({ ctx, tasks }) {
  if (ctx.select) return !tasks.some((task) => task.type === "main" && task.fragment.childElementCount);
  return Boolean(ctx.selectOOB) && !tasks.some((task) => task.type !== "main");
}

const has = (field) => field.name && !["hidden", "submit", "button", "file"].includes(field.type);
const differs = (field, sent) => (field.type === "checkbox" ? field.checked !== sent.has(field.name) : field.value !== sent.get(field.name));

// Fields changed since they were sent keep that in the form that takes its place; who is in a field stays there.
function carryOver({ ctx, tasks }) {
  const { form, body } = ctx.request ?? {};
  const fresh = tasks.find(({ type }) => type === "main")?.fragment.querySelector("form");
  if (!form?.isConnected || fresh?.id !== form.id || !(body instanceof URLSearchParams)) return;
  for (const field of [...form.elements].filter((each) => has(each) && differs(each, body))) {
    const other = fresh.elements[field.name];
    if (!other || other.type !== field.type) continue;
    if (field.type === "checkbox") other.checked = field.checked;
    else other.value = field.value;
    for (let fold = other.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    ctx.carried = true;
  }
  const active = document.activeElement;
  if (form.contains(active) && has(active) && (ctx.carried || active !== ctx.from)) {
    fresh.querySelector("[autofocus]")?.removeAttribute("autofocus");
    const other = fresh.elements[active.name];
    if (other) other.inputMode = active.inputMode;
  }
}

document.addEventListener("htmx:before:request", ({ detail: { ctx } }) => {
  ctx.from = document.activeElement;
  // What is removed moves the names of what stands after it: nothing is typed meanwhile.
  if (ctx.select && ctx.request.body?.has?.("remove")) ctx.request.form.inert = true;
});

document.addEventListener("htmx:before:swap", (event) => {
  const { ctx } = event.detail;
  if (isEmpty(event.detail)) {
    event.preventDefault();
    explain(ctx);
    return;
  }
  if (!ctx.select) return;
  formOf(ctx.sourceElement)?.querySelector(".not-swapped")?.remove();
  carryOver(event.detail);
});

// What is drawn and worked out beside the form is of what stands in it now.
document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
  if (ctx.carried) document.getElementById(ctx.request.form.id)?.dispatchEvent(new Event("input", { bubbles: true }));
});

document.addEventListener("htmx:finally:request", ({ detail: { ctx } }) => {
  if (ctx.request.form) ctx.request.form.inert = false;
});

// No answer at all to who pressed a button. What goes by itself while somebody types goes again with the next key.
document.addEventListener("htmx:error", (event) => {
  const { ctx } = event.detail;
  if (!event.defaultPrevented && ctx?.select && !ctx.response && ctx.sourceElement.matches("button")) say(ctx.sourceElement, words.lost);
});
