// Elements made by hand. Text is only ever set as text.

const DRAWN = "http://www.w3.org/2000/svg";

function filled(made, attributes, inside) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== undefined) made.setAttribute(name, String(value));
  }
  made.append(...inside);
  return made;
}

export const html = (tag, attributes = {}, ...inside) =>
  filled(document.createElement(tag), attributes, inside);

export const svg = (tag, attributes = {}, ...inside) =>
  filled(document.createElementNS(DRAWN, tag), attributes, inside);

export const set = (element, attributes) => filled(element, attributes, []);

export const by = (id) => document.getElementById(id);

// Text that is the same already is left alone: screen readers would read it again.
export function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

let numbered = 0;
export const fresh = (stem) => `${stem}-${(numbered += 1)}`;

// Calls `drawn(width, height)` now and whenever the element has another size.
export function whenSized(element, drawn) {
  let before = [0, 0];
  new ResizeObserver(() => {
    const size = [Math.round(element.clientWidth), Math.round(element.clientHeight)];
    if (size[0] > 40 && size[1] > 40 && (size[0] !== before[0] || size[1] !== before[1])) {
      before = size;
      drawn(...size);
    }
  }).observe(element);
}
