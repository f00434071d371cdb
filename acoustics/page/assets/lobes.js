// Level over the height of the ears, at and round the crossover: where the lobe points.

import { html, say, set, svg } from "./build.js";
import { calm } from "./calm.js";
import { key } from "./key.js";
import { layered } from "./layers.js";
import { GRID, INK, PINNED, QUIET, series } from "./look.js";
import { linear, steps } from "./scales.js";
import { fixed, hertz, metres, minus } from "./words.js";

const RIGHT = 12;
const SPAN = [-20, 6]; // dB against the level at the ears
const HOLD = 3; // dB: the window of a lobe

// Levels of every height against that at the ears.
function over(levels, heights, ear) {
  let i = 0;
  while (i < heights.length - 2 && heights[i + 1] < ear) i += 1;
  const share = Math.min(Math.max((ear - heights[i]) / (heights[i + 1] - heights[i]), 0), 1);
  const there = levels[i] + share * (levels[i + 1] - levels[i]);
  return Array.from(levels, (level) => level - there);
}

function words(at, crossovers) {
  if (!crossovers.includes(at)) return hertz(at);
  return `${hertz(at)}, ${crossovers.length > 1 ? "a" : "the"} crossover`;
}

// about: {heights, ears}. Up to three curves; the first is the heaviest.
export function lobeChart(host, about) {
  const { heights, ears } = about;
  const styles = [
    { stroke: INK, "stroke-width": 2.4 },
    { stroke: series(1).stroke, "stroke-width": 1.6, "stroke-dasharray": "7 3" },
    { stroke: series(0).stroke, "stroke-width": 1.6, "stroke-dasharray": "3 2.5" },
  ];
  const grid = svg("g");
  const band = svg("rect", { class: "hold", fill: "#3a9e6e", "fill-opacity": 0.16, x: 0 });
  const ends = svg("path", { stroke: "#1f6a45", "stroke-width": 1.5, fill: "none" });
  const ear = svg("path", { stroke: INK, "stroke-width": 1, "stroke-dasharray": "2 3" });
  const earWord = svg("text", { fill: INK, class: "ear", "text-anchor": "end" }, "ears");
  const pinned = styles.map(() => svg("path", { fill: "none", class: "pinned", ...PINNED }));
  const paths = styles.map((look) => svg("path", { fill: "none", class: "curve", ...look }));
  const layers = layered("Level over the height of the ears round the crossover frequency",
    { grid, still: pinned, moving: [band, ends, paths[2], paths[1], paths[0], ear, earWord],
      right: RIGHT });
  const { LEFT, TOP } = layers;
  const { list } = key(styles.map((look) => ({ name: "", look })));
  const names = [...list.querySelectorAll(".name")];
  const line = html("p", { class: "words" });
  host.append(layers.plot, list, line);

  let now = null;
  let before = null;
  let width = 0;
  let height = 0;
  let across = null;
  let up = null;

  function drawGrid() {
    const line = (d, thick) => svg("path", { d, stroke: GRID, "stroke-width": thick });
    const word = (x, y, anchor, text) =>
      svg("text", { x, y, "text-anchor": anchor, fill: INK }, text);
    const found = [];
    for (const v of steps(...SPAN, 5)) {
      found.push(line(`M${LEFT + across.at(v)} ${TOP}v${height}`, v === 0 ? 2 : 1));
      found.push(word(LEFT + across.at(v), TOP + height + 20, "middle", minus(String(v))));
    }
    for (const v of steps(heights[0], heights[heights.length - 1], 0.1)) {
      const whole = Math.abs((v * 2) % 1) < 1e-6;
      found.push(line(`M${LEFT} ${TOP + up.at(v)}h${width}`, whole ? 1 : 0.5));
      if (whole) found.push(word(LEFT - 6, TOP + up.at(v) + 4, "end", v.toFixed(1)));
    }
    for (const each of ears) {
      found.push(svg("path", { d: `M${LEFT - 5} ${TOP + up.at(each)}h9`, stroke: QUIET,
        "stroke-width": 2.5 }));
    }
    found.push(word(LEFT + width / 2, TOP + height + 38, "middle", "Against the level at the ears, dB"));
    const side = word(0, 0, "middle", "Height above the floor, m");
    set(side, { transform: `translate(12 ${TOP + height / 2}) rotate(-90)`, fill: QUIET });
    grid.replaceChildren(...found, side);
  }
  function traced(levels) {
    return levels.map((level, i) => `${i ? "L" : "M"}${across.at(Math.max(level, -99)).toFixed(1)} ` +
      `${up.at(heights[i]).toFixed(1)}`).join("");
  }
  function draw() {
    if (!across || !now) return;
    const { looks, crossovers, earHeight, low, high } = now;
    paths.forEach((_, i) => {
      const curve = (of) => (of?.rows[i] ? traced(over(of.rows[i], heights, of.earHeight)) : "");
      paths[i].setAttribute("d", curve(now));
      pinned[i].setAttribute("d", i === 0 || crossovers.length > 1 ? curve(before) : "");
      say(names[i], looks[i] ? words(looks[i], crossovers) : "");
      names[i].parentNode.hidden = !looks[i];
    });
    const at = up.at(earHeight);
    set(ear, { d: `M0 ${at.toFixed(1)}H${width}` });
    set(earWord, { x: width - 5, y: (at - 5).toFixed(1) });
    const known = Number.isFinite(low) && Number.isFinite(high);
    const [from, to] = known ? [up.at(high), up.at(low)] : [0, 0];
    set(band, { y: from, height: Math.max(to - from, 0), width });
    set(ends, { d: known ? `M0 ${from}H${width}M0 ${to}H${width}` : "" });
    told(known
      ? `Green: between ${metres(low)} and ${metres(high)} the level round the crossover stays within ` +
        `${HOLD} dB: ${fixed(high - low, 2)} m.`
      : `No span of heights holds the level within ${HOLD} dB.`);
  }
  const told = calm((text) => say(line, text));
  layers.whenSized((w, h) => {
    [width, height] = [w, h];
    across = linear(...SPAN, 0, width);
    up = linear(heights[0], heights[heights.length - 1], height, 0);
    drawGrid();
    draw();
  });
  return {
    put(next) { now = next; draw(); },
    pin(next) { before = next; draw(); },
  };
}
