// A PIN as this phone keeps it: never itself, only what PBKDF2 makes of it with a salt. Never sent anywhere.

const ROUNDS = 600_000; // of HMAC-SHA-256, as the OWASP Password Storage Cheat Sheet asks (from memory)

const toText = (bytes) => btoa(String.fromCharCode(...bytes));
const toBytes = (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));

// Absent at an address without https.
export const possible = Boolean(globalThis.crypto?.subtle);

// PBKDF2 with HMAC-SHA-256 (RFC 8018), as base64; `length` in bytes.
export async function derive(secret, salt, rounds, length = 32) {
  const key = await crypto.subtle.importKey("raw", new TextEncoder().encode(secret), "PBKDF2", false, ["deriveBits"]);
  const bits = await crypto.subtle.deriveBits({ name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds }, key, length * 8);
  return toText(new Uint8Array(bits));
}

// What is wrong with a PIN, by the name of the words that say it; empty where nothing is.
export function fault(first, second) {
  if (!/^\d{4,8}$/.test(first)) return "pin_digits";
  if (/^(\d)\1+$/.test(first) || "0123456789".includes(first) || "9876543210".includes(first)) return "pin_easy";
  return first === second ? "" : "pin_differ";
}

export async function set(secret) {
  const salt = crypto.getRandomValues(new Uint8Array(16));
  gate.save({ salt: toText(salt), rounds: ROUNDS, hash: await derive(secret, salt, ROUNDS), tries: 0 });
}

// Counts the try before it is judged: who closes the page meanwhile has had it.
export async function isRight(secret) {
  const kept = gate.record();
  gate.save({ ...kept, tries: kept.tries + 1 });
  if ((await derive(secret, toBytes(kept.salt), kept.rounds)) !== kept.hash) return false;
  gate.save({ ...kept, tries: 0 });
  return true;
}
