// Binary messages: length of the header, header as JSON, arrays of 32-bit floats.

const text = new TextDecoder();

// The header with `arrays` as {name: {shape, data}}; data are views, nothing is copied.
export function decoded(buffer) {
  const length = new DataView(buffer).getUint32(0, true);
  const header = JSON.parse(text.decode(new Uint8Array(buffer, 4, length)));
  let at = 4 + length;
  const arrays = {};
  for (const [name, shape] of header.arrays) {
    const count = shape.reduce((a, b) => a * b, 1);
    arrays[name] = { shape, data: new Float32Array(buffer, at, count) };
    at += 4 * count;
  }
  return { ...header, arrays };
}

export function rows({ shape: [count, length], data }) {
  return Array.from({ length: count }, (_, i) => data.subarray(i * length, (i + 1) * length));
}
