// Reading and questioning what is typed, as the server does: see calculations/reading_entry.py.

const SLIPS = [0.1, 10, 0.01, 100];

/** The number in what was typed, with comma or point and with or without its unit, or null. */
export function read(text, unit = "mm") {
  const plain = text.normalize("NFKC").trim();
  const match = /^(-?)(\d+[.,]?\d*|[.,]\d+)\s*(.*)$/.exec(plain);
  if (!match || (match[3] && match[3].toLowerCase() !== unit.toLowerCase())) return null;
  return Number(match[1] + match[2].replace(",", "."));
}

/** What is doubtful about a value: null, or {value, suggestion} with the reading perhaps meant. */
export function doubt(value, target, low, high) {
  const believed = (candidate) => candidate >= low - 1e-9 && candidate <= high + 1e-9;
  if (believed(value)) return null;
  const off = (candidate) => Math.abs(Math.log(candidate / target));
  const meant = SLIPS.map((slip) => value * slip).filter(believed);
  meant.sort((a, b) => off(a) - off(b));
  return { value, suggestion: meant.length ? figures(meant[0]) : null };
}

export function figures(value) {
  return String(Number(value.toPrecision(9)));
}
