// The four panels of curves: which curves answer which question.

import { by, html, say } from "./build.js";
import { frequencyChart, readOff } from "./chart.js";
import { rows } from "./frames.js";
import { lobeChart } from "./lobes.js";
import { INK, series } from "./look.js";
import { hertz, name, typed } from "./words.js";

const AT_SEAT = 40; // dB that a level axis shows
const AROUND = 30;
const RIGHT = ["#7086c8", "#4a64b4", "#1c3f94", "#0f2560"];
const LEFT = ["#cf7420", "#b85a10", "#8f4410", "#5f2d0c"];

const listed = (words) => (words.length > 1
  ? `${words.slice(0, -1).join(", ")} and ${words[words.length - 1]}` : words[0] ?? "");

function top(all) {
  let most = -Infinity;
  for (const row of all) for (const v of row) if (v > most) most = v;
  return Number.isFinite(most) ? 5 * Math.ceil((most + 1.5) / 5) : 90;
}

export function panels(design) {
  const { frequency, angles, heights, drivers } = design;
  const reader = readOff(frequency);
  reading(by("reading"), frequency, reader);
  const common = { frequency, reader, step: 5, span: [45, 85] };

  const surfaces = design.surfaces.length ? `with ${listed(design.surfaces)}` : "with no surface";
  const seat = frequencyChart(by("seat"), { ...common,
    label: "Level at your seat over frequency, direct sound alone and with every reflection",
    curves: [
      { name: "direct sound alone", look: { stroke: "#d1600f", "stroke-width": 1.6,
        "stroke-dasharray": "7 3" } },
      { name: surfaces, look: { stroke: "#1c3f94", "stroke-width": 2.2 } },
    ] });
  const axis = frequencyChart(by("axis"), { ...common,
    label: "Level over frequency on the reference axis, in the listening window, of each driver",
    curves: [
      { name: "reference axis", look: { stroke: INK, "stroke-width": 2.2 } },
      { name: "listening window", look: { stroke: "#7b1040", "stroke-width": 1.6,
        "stroke-dasharray": "8 3 2 3" } },
      ...drivers.map((driver, i) => ({ name: `${name(driver.name, 24)} alone`,
        look: { ...series(i), "stroke-width": 1 } })),
    ] });

  const order = angles.map((angle, i) => ({ angle, i })).sort(
    (a, b) => Math.abs(a.angle) - Math.abs(b.angle) || b.angle - a.angle);
  const steps = [...new Set(order.map(({ angle }) => Math.abs(angle)))];
  const sides = frequencyChart(by("sides"), { ...common, from: 100, step: 3, span: [-21, 6],
    unit: "Against the axis, dB",
    label: "Level to the sides against the reference axis over frequency",
    curves: order.map(({ angle }) => {
      const shade = Math.min(steps.indexOf(Math.abs(angle)), RIGHT.length - 1);
      return {
        name: `${Math.abs(angle)}° ${angle > 0 ? "right" : "left"}`,
        end: `${Math.abs(angle)}°`,
        look: angle > 0 ? { stroke: RIGHT[shade], "stroke-width": 1.6 }
          : { stroke: LEFT[shade], "stroke-width": 1.6, "stroke-dasharray": "6 3" },
      };
    }) });
  const lobes = lobeChart(by("heights"), { heights, ears: design.ear_heights });
  say(by("version"), `roundover ${design.version}`);

  const aside = ({ arrays }) => {
    const all = rows(arrays.aside);
    const ahead = arrays.axis.data;
    return order.map(({ i }) => all[i].map((level, f) => level - ahead[f]));
  };
  const around = ({ arrays }) => [arrays.axis.data, arrays.window.data, ...rows(arrays.each)];
  const over = ({ arrays, crossovers, looks, figures }, draft) => ({
    rows: rows(arrays.lobes),
    crossovers,
    looks,
    earHeight: draft.ear_height,
    low: figures["lobe low"] ?? NaN,
    high: figures["lobe high"] ?? NaN,
  });

  return {
    put(heard, draft) {
      seat.put(rows(heard.arrays.seat));
      axis.put(around(heard));
      sides.put(aside(heard));
      lobes.put(over(heard, draft));
    },
    // Ranges of levels that hold what is heard; only when the hand has let go.
    settle(heard, draft) {
      const most = top([...rows(heard.arrays.seat), heard.arrays.axis.data]);
      seat.span([most - AT_SEAT, most]);
      axis.span([most - AROUND, most]);
      axis.mark(heard.crossovers.map((at) => ({ at, text: hertz(at) })));
    },
    pin(pin) {
      seat.pin(pin && rows(pin.heard.arrays.seat));
      axis.pin(pin && around(pin.heard).slice(0, 2));
      sides.pin(pin && aside(pin.heard));
      lobes.pin(pin && over(pin.heard, pin.draft));
    },
  };
}

// The frequency at which all charts are read off: a slider and a number.
function reading(host, frequency, reader) {
  const slider = html("input", { type: "range", id: "read-at", min: 0, max: frequency.length - 1,
    step: 1, "aria-label": "Frequency at which the curves are read off" });
  const number = html("input", { type: "text", inputmode: "decimal", id: "read-hertz",
    autocomplete: "off" });
  host.append(html("label", { for: "read-hertz" }, "Read off at"), number,
    html("span", { class: "unit" }, "Hz"), slider);
  const show = () => {
    const f = frequency[reader.index];
    slider.value = String(reader.index);
    slider.setAttribute("aria-valuetext", hertz(f));
    if (document.activeElement !== number) number.value = String(Number(f.toPrecision(3)));
  };
  slider.addEventListener("input", () => reader.go(Number(slider.value)));
  number.addEventListener("change", () => {
    const f = typed(number.value);
    if (Number.isFinite(f) && f > 0) reader.at(f);
    number.value = String(Number(frequency[reader.index].toPrecision(3)));
  });
  reader.listen(show);
  show();
}
