// Everything that is set beside the places: seat, crossover, delays, edges.

import { fresh, html, set } from "./build.js";
import { numberField, sliderField } from "./fields.js";
import { name } from "./words.js";

const KINDS = { "as drawn": "as drawn", square: "square", rounded: "rounded",
  chamfered: "chamfered" };
const FIRST_SIZE = 0.02; // m, when edges get one

// `put(part of the draft, {held})` is told what was set.
export function controls(host, design, put) {
  const { limits, draft, drivers } = design;
  let now = draft;
  const group = (title, ...inside) =>
    html("fieldset", {}, html("legend", {}, title), ...inside);

  const ears = sliderField({ label: "Ear height", unit: "m", places: 3, step: 0.01,
    span: limits.ear_height, put: (value, how) => put({ ear_height: value }, how) });
  const away = sliderField({ label: "Distance", unit: "m", places: 3, step: 0.01,
    span: limits.distance, put: (value, how) => put({ distance: value }, how) });
  host.append(group("Your seat", ears.element, away.element));

  const movable = limits.corners.slice(0, draft.corners.length);
  const corners = movable.map((corner, i) => {
    const label = movable.length > 1 ? `Corner ${i + 1}` : "Corner";
    const field = sliderField({ label, hidden: name(corner.name), unit: "Hz", places: 0, step: 10,
      even: true, span: corner.span, put: (value, how) => put({
        corners: now.corners.map((each, j) => (i === j ? value : each)) }, how) });
    if (!corner.movable) field.off(corner.why);
    return { field, about: html("p", { class: "hint" }, name(corner.name)) };
  });
  const fixed = limits.corners.slice(draft.corners.length).map((each) =>
    html("p", { class: "why" }, `${name(each.name)}: ${each.why}`));
  const delays = drivers.map((driver) => {
    const { span, movable, why } = limits.delays[driver.name];
    const field = numberField({ label: `Delay of ${name(driver.name, 20)}`, unit: "ms",
      scale: 0.001, places: 3, step: 0.00001, span,
      put: (value, how) => put({ delays: { ...now.delays, [driver.name]: value } }, how) });
    if (!movable) field.off(why);
    return field;
  });
  host.append(group("Crossover",
    ...corners.flatMap(({ field, about }) => [about, field.element]), ...fixed,
    html("div", { class: "pairs" }, ...delays.map(({ element }) => element))));

  const edges = edgeChoice(limits.edges, put);
  host.append(group("Edges round the front", edges.element));

  return {
    show(next) {
      now = next;
      ears.show(next.ear_height);
      away.show(next.distance);
      corners.forEach(({ field }, i) => field.show(next.corners[i]));
      drivers.forEach(({ name: each }, i) => delays[i].show(next.delays[each]));
      edges.show(next.edges);
    },
  };
}

function edgeChoice(possible, put) {
  let now = { kind: "as drawn", size: 0 };
  const group = fresh("edges");
  const most = Math.max(...possible.map((each) => each.most));
  const size = sliderField({ label: "Size", hidden: "Edges:", unit: "mm", scale: 0.001, places: 1,
    step: 0.001, span: [0.001, Math.max(most, 0.002)],
    put: (value, how) => put({ edges: { ...now, size: Math.min(value, largest(now.kind)) } }, how) });
  const largest = (kind) => possible.find((each) => each.kind === kind).most;
  const choices = possible.map(({ kind, most: limit, why }) => {
    const input = html("input", { type: "radio", name: group, value: kind, disabled: why !== "" });
    input.addEventListener("change", () => {
      const wanted = now.size || FIRST_SIZE;
      put({ edges: { kind, size: limit ? Math.min(wanted, limit) : 0 } }, { held: false });
    });
    return { kind, input, label: html("label", { class: "choice" }, input, KINDS[kind] ?? kind) };
  });
  const whys = [...new Set(possible.map(({ why }) => why).filter(Boolean))];
  const element = html("div", {},
    html("div", { class: "choices" }, ...choices.map(({ label }) => label)), size.element,
    ...whys.map((why) => html("p", { class: "why" }, why)));
  return {
    element,
    show(next) {
      now = next;
      for (const { kind, input } of choices) input.checked = kind === next.kind;
      const sized = largest(next.kind) > 0;
      set(size.element, { hidden: !sized });
      size.element.hidden = !sized;
      if (sized) size.show(next.size);
    },
  };
}
