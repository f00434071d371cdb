// Entry of numbers: a field that takes a comma, and a slider with such a field as its twin.

import { fresh, html, say, set } from "./build.js";
import { trimmed, typed } from "./words.js";

const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
const tidy = (value) => Number(value.toFixed(7));

// about: {label, unit, scale (of the unit in SI), places, step (SI), span [low, high] (SI), put}.
// `put(value, {held})` is told what was set, in SI.
export function numberField({ label, hidden, unit, scale = 1, places, step, span, put }) {
  const id = fresh("field");
  const input = html("input", { id, type: "text", inputmode: "decimal", autocomplete: "off",
    "aria-describedby": `${id}-said` });
  const said = html("span", { class: "said", id: `${id}-said`, role: "status" });
  const element = html("div", { class: "field" },
    html("label", { for: id }, hidden ? html("span", { class: "unseen" }, `${hidden} `) : "",
      label),
    html("span", { class: "entry" }, input, html("span", { class: "unit" }, unit)), said);
  let value = NaN;
  let dirty = false;

  const shown = () => trimmed(value / scale, places);
  function show(next) {
    value = next;
    if (!dirty) input.value = shown();
  }
  function complain(words) {
    say(said, words);
    set(input, { "aria-invalid": words ? "true" : "false" });
  }
  function take(next) {
    const within = clamp(next, ...span);
    dirty = false;
    complain(within === next ? "" : `${trimmed(span[0] / scale, places)} to ` +
      `${trimmed(span[1] / scale, places)} ${unit}`);
    set(input, { "aria-invalid": "false" });
    show(tidy(within));
    put(value, { held: false });
  }
  input.addEventListener("input", () => { dirty = true; });
  input.addEventListener("change", () => {
    const next = typed(input.value) * scale;
    if (Number.isFinite(next)) take(next);
    else complain(`Not a number; write it like ${shown()}`);
  });
  input.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (way) {
      event.preventDefault();
      take(tidy(value + way * step * (event.shiftKey ? 5 : 1)));
    } else if (event.key === "Escape") {
      dirty = false;
      complain("");
      show(value);
    }
  });
  return {
    element, show,
    off(why = "") {
      input.disabled = true;
      say(said, why);
    },
  };
}

// A slider and its twin; `even` sliders move by ratios.
export function sliderField(about) {
  const { label, span, step, put, even = false, unit, scale = 1, places } = about;
  const STEPS = even ? 400 : Math.max(1, Math.round((span[1] - span[0]) / step));
  const to = even
    ? (i) => span[0] * (span[1] / span[0]) ** (i / STEPS)
    : (i) => tidy(span[0] + (i / STEPS) * (span[1] - span[0]));
  const from = even
    ? (v) => Math.log(v / span[0]) / Math.log(span[1] / span[0]) * STEPS
    : (v) => (v - span[0]) / (span[1] - span[0]) * STEPS;
  const rounded = (v) => (even ? Number(v.toPrecision(3)) : v);
  const field = numberField(about);
  const slider = html("input", { type: "range", min: 0, max: STEPS, step: 1,
    "aria-label": about.hidden ? `${about.hidden} ${label}` : label });
  const words = (v) => set(slider, { "aria-valuetext": `${trimmed(v / scale, places)} ${unit}` });
  slider.addEventListener("input", () => {
    const value = rounded(to(Number(slider.value)));
    words(value);
    put(value, { held: true });
  });
  slider.addEventListener("change", () => put(rounded(to(Number(slider.value))), { held: false }));
  const element = html("div", { class: "sliding" }, field.element, slider);
  return {
    element,
    show(value) {
      field.show(value);
      if (document.activeElement !== slider || Math.abs(Number(slider.value) - from(value)) > 0.6) {
        slider.value = String(Math.round(from(value)));
      }
      words(value);
    },
    off(why) {
      field.off(why);
      slider.disabled = true;
    },
  };
}
