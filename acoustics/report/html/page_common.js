// What reads figures off and zooms them. Without it every figure is the picture that it is.
const NS = "http://www.w3.org/2000/svg";
const numbers = (text, between) =>
  text.split(between).map((part) => (part === "" ? NaN : Number(part)));
const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
const minus = (text) => text.replace(/^-(?=0(\.0*)?$)/, "").replace("-", "−");

function hertz(f) {
  return f >= 1000 ? `${Number((f / 1000).toPrecision(3))} kHz` : `${Number(f.toPrecision(3))} Hz`;
}
function element(tag, attributes, inside = "") {
  const made = document.createElementNS(NS, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.textContent = inside;
  return made;
}
function userUnits(svg, event) {
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
}

// Pointers on a figure: `shares` says where one is, from 0 at the left and lower end of what is
// shown to 1 at the other; `zoom(factor, across, up)`, `move(dx, dy)` and `point(across, up, event)`
// do what they ask for. `drags()` says whether a single finger moves the figure instead of the page.
function gestures(svg, shares, { zoom, move, point, drags = () => false }) {
  const held = new Map(); // pointers that are down, and where
  svg.addEventListener("pointermove", (event) => {
    const [across, up] = shares(event);
    const before = held.get(event.pointerId);
    if (held.size === 2 && before) {
      const other = [...held].find(([id]) => id !== event.pointerId)[1];
      const apart = (p) => Math.max(Math.hypot(p[0] - other[0], p[1] - other[1]), 0.02);
      zoom(apart(before) / apart([across, up]), other[0], other[1]);
    } else if (before && (event.pointerType === "mouse" || drags())) {
      move(across - before[0], before[1] - up);
    }
    if (before) held.set(event.pointerId, [across, up]);
    if (held.size < 2) point(across, up, event);
  });
  svg.addEventListener("pointerdown", (event) => {
    held.set(event.pointerId, shares(event));
    if (event.pointerType === "mouse") svg.setPointerCapture(event.pointerId);
    point(...shares(event), event);
  });
  for (const over of ["pointerup", "pointercancel", "pointerleave"]) {
    svg.addEventListener(over, (event) => held.delete(event.pointerId));
  }
  svg.addEventListener("dblclick", (event) => zoom(0.5, ...shares(event)));
  svg.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !event.metaKey) return; // the page scrolls
    event.preventDefault();
    zoom(event.deltaY < 0 ? 0.8 : 1.25, ...shares(event));
  }, { passive: false });
}

// The buttons below a figure, and keys while something below it has the focus.
function buttons(figure, acts) {
  figure.addEventListener("click", (event) => acts[event.target.dataset.do]?.());
  figure.addEventListener("keydown", (event) => {
    const elsewhere = event.ctrlKey || event.metaKey || event.altKey;
    if (elsewhere || event.target.tagName === "SELECT") return;
    const act = { "+": "in", "-": "out", Escape: "reset" }[event.key];
    if (act) acts[act]();
  });
  figure.querySelector(".controls").hidden = false;
}
