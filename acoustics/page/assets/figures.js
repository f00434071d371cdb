// What is judged, in figures and words, against the layout that is kept to compare.

import { html, say } from "./build.js";
import { calm } from "./calm.js";
import { decibels, fixed, metres } from "./words.js";

// A smaller difference in level is hardly noticed by anybody (Zwicker & Fastl, Psychoacoustics,
// ch. 7: about 0.5 to 1 dB; from memory).
const NOTICED = 0.5; // dB

const ALL = [
  ["ripple off axis", "Ripple off axis", "against the axis", "smoother", "rougher"],
  ["common ripple", "Ripple in common", "shared by all directions", "smoother", "rougher"],
  ["ripple on axis", "Ripple on axis", "300 Hz to 10 kHz", "smoother", "rougher"],
  ["sides", "Left against right", "how far they differ", "more alike", "less alike"],
  ["seat level", "Level at your seat", "with all reflections", "softer", "louder"],
  ["floor dip", "Floor dip", "at your seat", "shallower", "deeper"],
];

export function inWords(difference, less, more) {
  const size = fixed(Math.abs(difference), 1);
  if (size === "0.0") return "the same";
  const said = `${difference < 0 ? less : more} by ${size} dB`;
  return Math.abs(difference) < NOTICED ? `${said}, hardly audible` : said;
}

function spanInWords(difference) {
  const size = fixed(Math.abs(difference), 2);
  return size === "0.00" ? "the same" : `${difference < 0 ? "narrower" : "wider"} by ${size} m`;
}

const number = (figures, name) => {
  const value = figures?.[name];
  return typeof value === "number" ? value : NaN;
};
const span = (figures) => number(figures, "lobe high") - number(figures, "lobe low");

export function figureList(host) {
  function entry(title, about) {
    const value = html("span", { class: "value" }, "–");
    const against = html("span", { class: "against" });
    host.append(html("div", {}, html("dt", {}, title, html("small", {}, about)),
      html("dd", {}, value, against)));
    return { value, against };
  }
  const shown = ALL.map(([, title, about]) => entry(title, about));
  const heights = entry("Heights that work", "within 3 dB round the ears");

  return {
    // Figures, and those they are held against or null.
    put: calm((now, pinned) => {
      ALL.forEach(([name, , , less, more], i) => {
        const value = number(now, name);
        say(shown[i].value, decibels(value));
        const difference = value - number(pinned, name);
        say(shown[i].against, Number.isFinite(difference) ? inWords(difference, less, more) : "");
      });
      const wide = span(now);
      say(heights.value, Number.isFinite(wide)
        ? `${metres(number(now, "lobe low"))} to ${metres(number(now, "lobe high"))}` : "–");
      const difference = wide - span(pinned);
      say(heights.against, Number.isFinite(difference) ? spanInWords(difference) : "");
    }),
    // For those who hear the page: the differences in one sentence.
    spoken(now, pinned) {
      const parts = ALL.map(([name, title, , less, more]) => {
        const value = number(now, name);
        const difference = value - number(pinned, name);
        const words = Number.isFinite(difference) ? `, ${inWords(difference, less, more)}` : "";
        return Number.isFinite(value) ? `${title} ${decibels(value)}${words}` : "";
      });
      return parts.filter(Boolean).join("; ");
    },
  };
}
