// How long curves take from the hand to the eye, as user timing "drag-to-curves".
//
// A frame is painted after its animation callbacks, and a message posted by one of them is handled
// right after that. A second animation callback would only come a whole frame later and count it.

const sent = new Map(); // serial -> time of the pointer's event
const channel = new MessageChannel();
let waiting = [];

channel.port1.onmessage = () => {
  const end = performance.now();
  for (const [label, start] of waiting) performance.measure(label, { start, end });
  waiting = [];
};

function painted(label, start) {
  waiting.push([label, start]);
  if (waiting.length === 1) requestAnimationFrame(() => channel.port2.postMessage(null));
}

export function asked(serial, start) {
  if (serial && start) sent.set(serial, start);
}

let first = true;
export function drawn(serial) {
  if (first) painted("first-curves", 0);
  first = false;
  const start = sent.get(serial);
  if (start !== undefined) painted("drag-to-curves", start);
  for (const each of sent.keys()) if (each <= serial) sent.delete(each);
}
