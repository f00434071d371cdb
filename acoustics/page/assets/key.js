// The key under a chart: a sample of each curve, its name, its value where it is read off.

import { html, svg } from "./build.js";

export function sample(look) {
  return svg("svg", { width: 28, height: 12, viewBox: "0 0 28 12", "aria-hidden": "true" },
    svg("path", { d: "M0 6H28", fill: "none", ...look }));
}

// Entries {name, look}; returns the list and the outputs, one for each. `paired`: two in a row.
export function key(entries, paired = false) {
  const outputs = entries.map(() => html("output", { "aria-live": "off" }));
  const list = html("ul", { class: paired ? "key two" : "key" }, ...entries.map(({ name, look }, i) =>
    html("li", {}, sample(look), html("span", { class: "name" }, name), outputs[i])));
  return { list, outputs };
}
