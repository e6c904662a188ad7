// Runs before anything of the page is drawn (no module: those run later). Where this person has a PIN on this phone, the
// page stays hidden when it is reopened, or comes back after ten minutes out of sight; lock.js asks for the PIN then.
// docs/decisions/0018 says what that protects and what not.

(() => {
  const AWAY = 10 * 60_000; // ms
  const MOST = 5; // wrong tries in a row; then only a log-in opens
  const TICK = 15_000; // ms
  const { user, loggedIn } = document.getElementById("phone").dataset;
  const name = `gaugerod-pin:${user}`;

  // {salt, rounds, hash, tries}, or null. A browser that keeps nothing has no PIN to ask for.
  function record() {
    try {
      return JSON.parse(localStorage.getItem(name));
    } catch {
      return null;
    }
  }
  const save = (made) => (made ? localStorage.setItem(name, JSON.stringify(made)) : localStorage.removeItem(name));
  const isLocked = () => document.documentElement.classList.contains("locked");
  const see = () => localStorage.setItem("gaugerod-seen", Date.now());
  const wasAway = () => Math.abs(Date.now() - localStorage.getItem("gaugerod-seen")) > AWAY;

  function lock() {
    sessionStorage.removeItem("gaugerod-open");
    document.documentElement.classList.add("locked");
    document.dispatchEvent(new Event("phone-locked"));
  }

  function unlock() {
    sessionStorage.setItem("gaugerod-open", user);
    see();
    document.documentElement.classList.remove("locked");
  }

  // Whoever typed the password just now needs no PIN, and has as many tries as ever.
  function hasJustLoggedIn() {
    if (Number(loggedIn) <= Number(localStorage.getItem("gaugerod-log-in"))) return false;
    localStorage.setItem("gaugerod-log-in", loggedIn);
    const kept = record();
    if (kept) save({ ...kept, tries: 0 });
    return true;
  }

  function pulse() {
    if (isLocked()) return;
    if (record() && wasAway()) lock();
    else see();
  }

  globalThis.gate = { user, record, save, isLocked, unlock, MOST };
  if (!user) return;
  try {
    const isOpen = hasJustLoggedIn() || (sessionStorage.getItem("gaugerod-open") === user && !wasAway());
    const kept = record();
    if (kept && (!isOpen || kept.tries >= MOST)) lock();
    else unlock();
  } catch {
    return; // nothing is kept here
  }
  document.addEventListener("visibilitychange", pulse);
  for (const moment of ["pagehide", "pageshow", "focus"]) addEventListener(moment, pulse);
  // Out of sight it only looks whether the time is over.
  setInterval(() => (document.visibilityState === "visible" || wasAway()) && pulse(), TICK);
})();
