// Numbers as people read and write them.

export const minus = (text) => text.replace("-", "−");

export const fixed = (value, places) => {
  const text = value.toFixed(places);
  return minus(Number(text) === 0 ? text.replace("-", "") : text);
};

export const decibels = (value) => (Number.isFinite(value) ? `${fixed(value, 1)} dB` : "–");

export const metres = (value) => (Number.isFinite(value) ? `${fixed(value, 2)} m` : "–");

export const millimetres = (value) => trimmed(value * 1000, 1);

export function hertz(f) {
  return f >= 1000 ? `${Number((f / 1000).toPrecision(3))} kHz` : `${Number(f.toPrecision(3))} Hz`;
}

// At most so many decimals, without zeros at the end.
export function trimmed(value, places) {
  return minus(String(Number(value.toFixed(places)) + 0));
}

// What somebody typed, or NaN: a comma is a decimal point, units and blanks may follow.
export function typed(text) {
  const plain = text.trim().replace(/[−–]/g, "-").replace(",", ".").replace(/\s+/g, "");
  const found = /^([+-]?(?:\d+\.?\d*|\.\d+))(k?)[a-zµ]*$/i.exec(plain);
  return found ? Number(found[1]) * (found[2].toLowerCase() === "k" ? 1000 : 1) : NaN;
}

// "12 mm right, 125 mm up"
export function place([right, up]) {
  const part = (value, more, less, none) => {
    const size = millimetres(Math.abs(value));
    return size === "0" ? none : `${size} mm ${value > 0 ? more : less}`;
  };
  return `${part(right, "right", "left", "in the middle across")}, ` +
    part(up, "up", "down", "at half height");
}

// Names come from files: directions of writing stay inside, and endless ones end.
export function name(text, most = 60) {
  const letters = Array.from(String(text));
  const short = letters.length > most ? `${letters.slice(0, most - 1).join("")}…` : letters.join("");
  return `\u2068${short}\u2069`;
}
