// A chart in two layers: what stays, and over it what moves with a hand. Each is a picture of its
// own, so that a new frame draws the curves again and not the grid and the words beside them.

import { html, set, svg, whenSized } from "./build.js";

const LEFT = 52;
const TOP = 12;
const BELOW = 44;

// `still` and `moving` are cut at the frame of the chart, `grid` and `ends` are not.
export function layered(label, { grid, still, moving, ends = [], right }) {
  const cut = [still, moving].map((inside) => {
    const part = svg("svg", { x: LEFT, y: TOP, class: "inner" });
    part.append(...inside);
    return part;
  });
  const picture = svg("svg", { class: "chart", role: "img", "aria-label": label }, grid, cut[0]);
  const over = svg("svg", { class: "chart over", "aria-hidden": "true" }, cut[1], ...ends);
  return {
    LEFT, TOP, picture,
    plot: html("div", { class: "plot" }, picture, over),
    // Calls `drawn(width, height)` with what is inside the frame, now and whenever it changes.
    whenSized(drawn) {
      whenSized(picture.parentNode, (all, tall) => {
        const width = all - LEFT - right;
        const height = tall - TOP - BELOW;
        for (const each of [picture, over]) {
          set(each, { viewBox: `0 0 ${all} ${tall}`, width: all, height: tall });
        }
        for (const each of cut) set(each, { width, height });
        drawn(width, height);
      });
    },
  };
}
