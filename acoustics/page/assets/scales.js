// Where frequencies and levels are in a plot, and which of them are written at its sides.

const ROUND = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000];
const LETTER = 7.6; // px wide
const GAP = 4; // px

export function logarithmic(low, high, width) {
  const all = Math.log(high / low);
  return {
    at: (f) => (Math.log(f / low) / all) * width,
    value: (x) => low * Math.exp((x / width) * all),
  };
}

export function linear(low, high, from, to) {
  return {
    at: (v) => from + ((v - low) / (high - low)) * (to - from),
    value: (p) => low + ((p - from) / (to - from)) * (high - low),
  };
}

const within = (f, low, high) => f >= low * 0.999 && f <= high * 1.001;

// Those that are labelled: as many as do not touch.
export function labelledFrequencies(low, high, width) {
  const { at } = logarithmic(low, high, width);
  const reach = (f) => (shortHertz(f).length * LETTER) / 2;
  const found = [];
  for (const f of ROUND) {
    const last = found[found.length - 1];
    const room = last === undefined || at(f) - reach(f) > at(last) + reach(last) + GAP;
    if (within(f, low, high) && room) found.push(f);
  }
  return found;
}

export function fineFrequencies(low, high) {
  const found = [];
  for (let decade = 10; decade < 1e5; decade *= 10) {
    for (let i = 1; i < 10; i += 1) if (within(decade * i, low, high)) found.push(decade * i);
  }
  return found;
}

export const shortHertz = (f) => (f >= 1000 ? `${f / 1000}k` : String(f));

export function steps(low, high, step) {
  const found = [];
  for (let v = Math.ceil(low / step - 1e-9) * step; v <= high + 1e-9; v += step) {
    found.push(Number(v.toFixed(6)));
  }
  return found;
}

// Labels that stay in their order, at least `apart` from each other, between two ends.
export function spreadOut(wanted, apart, low, high) {
  const order = wanted.map((_, i) => i).sort((a, b) => wanted[a] - wanted[b]);
  const placed = [];
  let last = low - apart;
  for (const i of order) {
    last = Math.max(wanted[i], last + apart);
    placed[i] = last;
  }
  let next = high + apart;
  for (const i of order.reverse()) {
    next = Math.min(placed[i], next - apart);
    placed[i] = next;
  }
  return placed;
}
