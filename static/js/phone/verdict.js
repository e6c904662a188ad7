// Reads what was typed and judges it as the server does (trade/limits.py, inspections/forms.py): exact, in whole numbers.
// tests/vectors/verdicts.json is run here and in Python. What this can't read, the server may: then there is no verdict
// on the phone, and the entry is kept all the same.

const MOST = 40; // characters, as the field takes
const LONGEST = [1_000_000n, 1n]; // mm: 1 km
const AMBIGUOUS = /^[1-9]\d{0,2},\d{3}$/; // the comma could be a decimal or thousands

// A fraction as [top, bottom], BigInt, bottom > 0.
const times = ([a, b], [c, d]) => [a * c, b * d];
const plus = ([a, b], [c, d]) => [a * d + c * b, b * d];
const less = ([a, b], [c, d]) => a * d < c * b;

function decimal(text) {
  const match = /^(-?)(\d*)(?:[.,](\d+))?$/.exec(text);
  if (!match || !(match[2] || match[3])) return null;
  const digits = match[3] ?? "";
  const whole = BigInt((match[2] || "0") + digits);
  return [match[1] ? -whole : whole, 10n ** BigInt(digits.length)];
}

// As trade.lengths.plain_decimal.
const plainDecimal = (text) => (/^-?(\d{1,40}([.,]\d{1,40})?|[.,]\d{1,40})$/.test(text) ? decimal(text) : null);

function quantity(text) {
  const mixed = /^(?:(\d+)(?: - |[ -]))?(\d+) ?\/ ?(\d+)$/.exec(text);
  if (!mixed) return /^[\d.,]+$/.test(text) && !AMBIGUOUS.test(text) ? decimal(text) : null;
  const [, whole, top, bottom] = mixed;
  if (BigInt(bottom) === 0n || (whole && BigInt(top) >= BigInt(bottom))) return null;
  return plus([BigInt(whole ?? 0), 1n], [BigInt(top), BigInt(bottom)]);
}

// A length in mm; null for what it can't read, or is longer than 1 km. A bare number is in `units`, a fraction in inches.
export function length(text, units) {
  const found = inMm(text, units);
  return found && !less(LONGEST, found) ? found : null;
}

function inMm(text, units) {
  const plain = text.trim().toLowerCase().replace(/[″”“]/g, '"').replace(/[′’‘]/g, "'").replace(/\s+/g, " ");
  const inch = [254n, 10n];
  const metric = /^([\d.,]+) ?(mm|cm|m)\.?$/.exec(plain);
  if (metric) {
    const number = AMBIGUOUS.test(metric[1]) ? null : decimal(metric[1]);
    return number && times(number, [{ mm: 1n, cm: 10n, m: 1000n }[metric[2]], 1n]);
  }
  const marked = /^(.+?) ?(?:"|inches|inch|in\.?)$/.exec(plain);
  const found = quantity(marked ? marked[1] : plain);
  return found && (marked || plain.includes("/") || units === "in" ? times(found, inch) : found);
}

// By how a slope was read, 100 over its run in mm: a 2-ft level, 1 m; where nobody was asked, 1 ft or 1 m.
const PER_RUN = { in: [1000n, 6096n], mm: [1n, 10n] };

// A reading in the check's unit, as a fraction; null for what it can't read. `by`: how a slope was read (Entry.read_by).
export function reading(text, check, by = "") {
  const plain = text.trim();
  if (plain.length > MOST) return null;
  if (check.kind === "ohms") {
    const number = plainDecimal(plain.toLowerCase().replace(/(ohms?|ω)$/, "").trim());
    return number && !less(number, [0n, 1n]) && less(number, [100000n, 1n]) ? number : null;
  }
  if (check.kind === "coverage" || check.unit === "share" || (check.unit === "percent" && (by === "percent" || plain.endsWith("%")))) {
    const number = plainDecimal(plain.replace(/%$/, "").trim());
    return number && !less(number, [0n, 1n]) && !less([100n, 1n], number) ? number : null;
  }
  const mm = length(plain, by || check.units);
  if (!mm || less(mm, [0n, 1n])) return null;
  // The server stores a length with six places, a slope with four.
  if (check.unit !== "percent") return rounded(mm, 6n);
  const perRun = PER_RUN[by] ?? (check.units === "in" ? [1000n, 3048n] : PER_RUN.mm);
  return rounded(times(rounded(mm, 6n), perRun), 4n);
}

// Half away from zero at six places, as lengths are; to even at four, as Decimal's own rounding.
export function rounded([top, bottom], places) {
  const scale = 10n ** places;
  const whole = (top * scale) / bottom;
  const rest = top * scale - whole * bottom;
  const up = rest * 2n > bottom || (rest * 2n === bottom && (places === 6n || whole % 2n === 1n));
  return [whole + (up ? 1n : 0n), scale];
}

const allows = (limit, value) =>
  !(limit.low !== null && less(value, decimal(limit.low))) && !(limit.high !== null && less(decimal(limit.high), value));

// "holds", "fails" or "can't tell": `values` as fractions.
export function judge(limit, values) {
  const each = (limit.over ?? "each") === "each";
  if (each && !values.every((value) => allows(limit, value))) return "fails";
  if (values.length < (limit.count ?? 1)) return "can't tell";
  if (each) return "holds";
  const sum = values.reduce(plus, [0n, 1n]);
  return allows(limit, [sum[0], sum[1] * BigInt(values.length)]) ? "holds" : "fails";
}

// At how many corners and edges of a lifted tile, ten by ten, there is no mortar: each has to be supported.
export function bareEdges(text) {
  return [...text].filter((cell, n) => cell === "1" && (n < 10 || n >= 90 || n % 10 === 0 || n % 10 === 9)).length;
}

// How far a heating cable's reading lies off its tag, percent of the tag; null for a tag of nothing.
export function offTag([tag, read]) {
  if (!less([0n, 1n], tag)) return null;
  const off = less(read, tag) ? plus(tag, [-read[0], read[1]]) : plus(read, [-tag[0], tag[1]]);
  return times(times(off, [100n, 1n]), [tag[1], tag[0]]);
}

// What an entry says of its check: "holds", "fails", "waiting", "skipped", or null where only the server can tell.
export function outcome(check, fields) {
  const has = (name) => fields.some(([key]) => key === name);
  if (has("skip")) return "skipped";
  if (check.kind === "wait") return "waiting";
  if (check.kind === "tick" || check.kind === "inspection") return has("right") ? "holds" : has("wrong") ? "fails" : null;
  if (check.kind === "photo") return has("photo") ? "holds" : null;
  const tap = fields.find(([key]) => key === "tap");
  const typed = tap ? [tap[1]] : fields.filter(([key, text]) => key.startsWith("value_") && text.trim()).map(([, text]) => text);
  if (check.kind === "coverage" && fields.some(([key, text]) => key.startsWith("voids_") && bareEdges(text))) return "fails";
  const by = fields.find(([key]) => key === "read_by")?.[1] ?? "";
  let values = typed.map((text) => reading(text, check, by));
  if (!check.limit || !values.length || values.includes(null)) return null;
  if (check.kind === "ohms") values = values.length === 2 ? [offTag(values)] : [null];
  if (values.includes(null)) return null;
  const found = judge(check.limit, values);
  return found === "can't tell" ? null : found;
}
