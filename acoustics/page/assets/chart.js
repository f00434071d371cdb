// Levels over frequency, drawn by hand so that a new frame only sets the paths' data.

import { bent } from "./bent.js";
import { say, set, svg } from "./build.js";
import { calm } from "./calm.js";
import { key } from "./key.js";
import { layered } from "./layers.js";
import { GRID, INK, PINNED, QUIET } from "./look.js";
import { fineFrequencies, labelledFrequencies, linear, logarithmic, shortHertz, spreadOut, steps }
  from "./scales.js";
import { decibels, minus } from "./words.js";

const END_LETTERS = 34; // px at the right side, where curves are named at their ends

// about: {label, frequency, from, to, step, curves: [{name, look, end}], reader}. `range` of the
// level axis is set by `span`; `end` is what is written where the curve ends. Curves of one end are
// named together.
export function frequencyChart(host, about) {
  const { frequency, curves, reader, step } = about;
  const low = about.from ?? 20;
  const high = about.to ?? 20000;
  const ends = [...new Set(curves.map(({ end }) => end).filter(Boolean))];
  const right = ends.length ? END_LETTERS : 12;

  const grid = svg("g"); // no class: that of the fields for numbers would set its letters
  const pinned = curves.map(() => svg("path", { fill: "none", class: "pinned", ...PINNED }));
  const paths = curves.map(({ look }) => svg("path", { fill: "none", class: "curve",
    "stroke-linejoin": "round", ...look }));
  const upright = svg("path", { class: "cursor", stroke: INK, "stroke-width": 1 });
  const marks = svg("g");
  const endWords = ends.map((text) => svg("text", { class: "end", fill: INK }, text));
  const layers = layered(about.label, { grid, still: [marks, ...pinned],
    moving: [...paths.slice().reverse(), upright], ends: endWords, right });
  const { LEFT, TOP, picture } = layers;
  const { list, outputs } = key(curves, ends.length > 0);
  host.append(layers.plot, list);

  let values = curves.map(() => null);
  let kept = curves.map(() => null);
  let span = about.span;
  let marked = [];
  let width = 0;
  let height = 0;
  let x = null;
  let y = null;
  let across = [];

  function drawGrid() {
    const line = (d, thick) => svg("path", { d, stroke: GRID, "stroke-width": thick });
    const word = (wx, wy, anchor, text) =>
      svg("text", { x: wx, y: wy, "text-anchor": anchor, fill: INK }, text);
    const labelled = labelledFrequencies(low, high, width);
    const found = fineFrequencies(low, high).map((f) =>
      line(`M${LEFT + x.at(f)} ${TOP}v${height}`, labelled.includes(f) ? 1 : 0.5));
    for (const f of labelled) {
      found.push(word(LEFT + x.at(f), TOP + height + 20, "middle", shortHertz(f)));
    }
    for (const v of steps(...span, step)) {
      found.push(line(`M${LEFT} ${TOP + y.at(v)}h${width}`, v === 0 ? 2 : 1));
      found.push(word(LEFT - 6, TOP + y.at(v) + 4, "end", minus(String(v))));
    }
    found.push(word(LEFT + width / 2, TOP + height + 38, "middle", "Frequency, Hz"));
    const up = word(0, 0, "middle", about.unit ?? "Level, dB");
    set(up, { transform: `translate(12 ${TOP + height / 2}) rotate(-90)`, fill: QUIET });
    grid.replaceChildren(...found, up);
  }
  function traced(row) {
    if (!row) return "";
    const scale = -height / (span[1] - span[0]);
    const zero = -scale * span[1];
    return bent(across, Array.from(row, (level) =>
      Math.min(Math.max(zero + level * scale, -900), 1900)));
  }
  function drawEnds() {
    if (!ends.length || !values[0]) return;
    const wanted = ends.map((end) => {
      const rows = values.filter((row, i) => row && curves[i].end === end);
      const mean = rows.reduce((sum, row) => sum + row[row.length - 1], 0) / rows.length;
      return Number.isFinite(mean) ? Math.min(Math.max(y.at(mean), 0), height) : height;
    });
    spreadOut(wanted, 14, 4, height - 2).forEach((place, i) =>
      set(endWords[i], { x: LEFT + width + 5, y: (TOP + place + 4).toFixed(1) }));
  }
  function drawMarks() {
    marks.replaceChildren(...marked.flatMap(({ at, text }) => [
      svg("path", { d: `M${x.at(at)} 0V${height}`, stroke: QUIET, "stroke-dasharray": "2 4" }),
      svg("text", { x: x.at(at) + 4, y: height - 6, fill: QUIET }, text)]));
  }
  function drawCursor() {
    const at = x.at(frequency[reader.index]);
    set(upright, { d: `M${at.toFixed(1)} 0V${height}` });
    readOut();
  }
  function readOut() {
    curves.forEach((_, i) => {
      say(outputs[i], values[i] ? decibels(values[i][reader.index]) : "–");
    });
  }
  const readOutCalmly = calm(readOut);
  function drawCurves() {
    for (let i = 0; i < paths.length; i += 1) paths[i].setAttribute("d", traced(values[i]));
    drawEnds();
  }
  function drawAll() {
    if (!x) return;
    drawGrid();
    drawMarks();
    drawCurves();
    kept.forEach((row, i) => pinned[i].setAttribute("d", traced(row)));
    drawCursor();
  }
  function scaled() {
    if (!width) return;
    x = logarithmic(low, high, width);
    y = linear(span[1], span[0], 0, height);
    across = Array.from(frequency, (f) => x.at(f));
    drawAll();
  }
  layers.whenSized((w, h) => {
    [width, height] = [w, h];
    scaled();
  });

  const pointed = (event) => {
    if (!x || (event.type === "pointermove" && event.pointerType === "touch" && !event.buttons)) return;
    const box = picture.getBoundingClientRect();
    reader.at(x.value(event.clientX - box.left - LEFT));
  };
  picture.addEventListener("pointermove", pointed);
  picture.addEventListener("pointerdown", pointed);
  reader.listen(() => x && drawCursor());

  return {
    put(rows) {
      values = rows;
      if (!x) return;
      drawCurves();
      readOutCalmly();
    },
    pin(rows) {
      kept = curves.map((_, i) => rows?.[i] ?? null);
      if (x) kept.forEach((row, i) => pinned[i].setAttribute("d", traced(row)));
    },
    mark(all) {
      marked = all;
      if (x) drawMarks();
    },
    // Another range of levels; curves that move leave it alone.
    span(next) {
      if (next[0] === span[0] && next[1] === span[1]) return;
      span = next;
      scaled();
    },
  };
}

// Every chart is read off at the same frequency.
export function readOff(frequency) {
  const listeners = [];
  const reader = {
    index: nearest(1000),
    at(f) { reader.go(nearest(f)); },
    go(index) {
      if (index === reader.index) return;
      reader.index = Math.min(Math.max(index, 0), frequency.length - 1);
      listeners.forEach((each) => each());
    },
    listen(each) { listeners.push(each); },
  };
  function nearest(f) {
    let best = 0;
    for (let i = 1; i < frequency.length; i += 1) {
      if (Math.abs(Math.log(frequency[i] / f)) < Math.abs(Math.log(frequency[best] / f))) best = i;
    }
    return best;
  }
  return reader;
}
