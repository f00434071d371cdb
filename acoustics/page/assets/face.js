// The front of the cabinet, and its drivers to be dragged or moved by arrow keys.

import { set, svg, whenSized } from "./build.js";
import { moving } from "./moving.js";
import { INK, QUIET, series } from "./look.js";
import { millimetres, name, place } from "./words.js";

const AIR = 26; // px round the front: room for its sizes
const TALL = 2.5; // times as high as wide: needs more of the window
const LEAST_REACH = 22; // px: half of what a finger needs

// `told(driver, [right, up], {held, time})` hears of every move.
export function face(host, design, snap, told) {
  const outline = design.front.outline;
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  const box = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const wide = box[1] - box[0];
  const tall = box[3] - box[2];
  let scale = 1000; // px per m
  let size = [0, 0];
  let now = design.draft.places;
  let ghosts = {};

  const X = (right) => size[0] / 2 + (right - (box[0] + box[1]) / 2) * scale;
  const Y = (up) => size[1] / 2 - (up - (box[2] + box[3]) / 2) * scale - 4;

  const board = svg("path", { class: "wood" });
  const middle = svg("path", { class: "middle", stroke: QUIET, "stroke-dasharray": "10 4 2 4",
    "stroke-width": 0.7, fill: "none" });
  const under = svg("g", { class: "under" });
  const others = svg("g");
  const shades = svg("g");
  const sizes = svg("text", { class: "sizes", "text-anchor": "middle", fill: INK });
  const onFront = design.drivers.map((driver, i) => ({ driver, look: series(i) }))
    .filter(({ driver }) => driver.face === "front")
    .sort((a, b) => b.driver.frame - a.driver.frame);
  const pieces = onFront.map(({ driver, look }) => piece(driver, look));
  const picture = svg("svg", { class: "face", role: "group", "aria-label":
    "Front of the cabinet. Drag a driver, or move it with the arrow keys: 1 mm, with Shift 5 mm." },
  board, under, middle, others, shades, ...pieces.map(({ group }) => group), sizes);
  host.append(picture);
  host.classList.toggle("tall", tall > TALL * wide);

  function piece(driver, look) {
    const frame = svg("circle", { class: "frame", stroke: look.stroke });
    const cone = svg("circle", { class: "cone", fill: look.stroke });
    const reach = svg("circle", { class: "reach" });
    const word = svg("text", { "text-anchor": "middle", fill: INK, class: "called" },
      name(driver.name, 14));
    const inverted = driver.inverted ? ", polarity inverted" : "";
    const group = svg("g", { class: "driver", "data-driver": driver.name }, frame, cone, word, reach);
    if (driver.movable) {
      const [[left, right]] = driver.span;
      set(group, { tabindex: 0, role: "slider", "aria-label": `${name(driver.name)}${inverted}`,
        "aria-valuemin": Math.round(left * 1000), "aria-valuemax": Math.round(right * 1000) });
      moving(group, {
        snap,
        span: driver.span,
        where: () => now[driver.name],
        metres: (px) => px / scale,
        told: (where, about) => told(driver.name, where, about),
      });
    } else {
      set(group, { class: "driver fixed", role: "img",
        "aria-label": `${name(driver.name)}${inverted}: ${driver.why}` });
    }
    return { driver, group, frame, cone, reach, word };
  }
  function sized() {
    for (const { driver, frame, cone, reach, word } of pieces) {
      set(frame, { r: driver.frame * scale });
      set(cone, { r: Math.max(driver.radius * scale, 2) });
      set(reach, { r: Math.max(driver.frame * scale, LEAST_REACH) });
      set(word, { y: Math.max(driver.radius * scale + 14, driver.frame * scale * 0.7) });
    }
  }
  function drawn() {
    for (const { driver, group } of pieces) {
      const where = now[driver.name];
      set(group, { transform: `translate(${X(where[0]).toFixed(1)} ${Y(where[1]).toFixed(1)})` });
      if (driver.movable) {
        set(group, { "aria-valuenow": Math.round(where[0] * 1000), "aria-valuetext": place(where) });
      }
    }
  }
  function ghostly() {
    shades.replaceChildren(...onFront.filter(({ driver }) => ghosts[driver.name]).map(
      ({ driver }) => {
        const [right, up] = ghosts[driver.name];
        return svg("circle", { class: "ghost", cx: X(right), cy: Y(up), r: driver.frame * scale });
      }));
  }
  let redrawn = () => {};
  function drawAll() {
    const round = outline.map(([x, y]) => `${X(x).toFixed(1)} ${Y(y).toFixed(1)}`);
    set(board, { d: `M${round.join("L")}Z` });
    set(middle, { d: `M${X(0)} ${Y(box[3]) - 6}V${Y(box[2]) + 6}` });
    others.replaceChildren(...design.front.others.filter((each) => each.face === "front").flatMap(
      ({ what, at: [x, y], radius }) => [
        svg("circle", { class: "other", cx: X(x), cy: Y(y), r: radius * scale }),
        svg("text", { x: X(x), y: Y(y) + 4, "text-anchor": "middle", fill: INK, class: "called" },
          name(what, 16))]));
    set(sizes, { x: size[0] / 2, y: size[1] - 5 });
    sizes.textContent = `${millimetres(wide)} × ${millimetres(tall)} mm`;
    sized();
    drawn();
    ghostly();
    redrawn();
  }
  whenSized(host, (w, h) => {
    size = [w, h];
    scale = Math.min((w - 2 * AIR) / wide, (h - AIR - 14) / tall);
    set(picture, { viewBox: `0 0 ${w} ${h}`, width: w, height: h });
    drawAll();
  });

  return {
    under,
    X, Y,
    get scale() { return scale; },
    whenDrawn(each) { redrawn = each; },
    show(places) {
      now = places;
      drawn();
    },
    // Where the drivers are in the layout that is kept to compare.
    pin(places) {
      ghosts = places ?? {};
      ghostly();
    },
    // Names of drivers that cannot be where they are.
    blocked(words) {
      for (const { driver, group } of pieces) {
        group.classList.toggle("blocked", words.some((each) => each.includes(driver.name)));
      }
    },
  };
}
