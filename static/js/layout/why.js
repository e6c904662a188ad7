// The reason that somebody taps or types stays in its form while they look at other options, which are pages of their own.

export function keepWhy(form) {
  if (!form) return;
  const key = `why ${location.pathname}`;
  const { why, reason } = form.elements;
  for (const [name, value] of Object.entries(JSON.parse(sessionStorage.getItem(key) ?? "{}"))) form.elements[name].value ||= value;
  form.addEventListener("input", () => sessionStorage.setItem(key, JSON.stringify({ why: why.value, reason: reason.value })));
  form.addEventListener("submit", () => sessionStorage.removeItem(key));
}
