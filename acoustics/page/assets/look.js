// Colours and dashes, those of the figures of a report; contrast to white at least 3:1.

export const INK = "#1c222b";
export const QUIET = "#59636f";
export const GRID = "#d7dce2";
const SERIES = ["#1c3f94", "#d1600f", "#3a9e6e", "#7b1040", "#8c86d8"];
const DASHES = ["", "7 3", "3 2.5", "8 3 2 3", "1.5 2"];
export const PINNED = { stroke: "#59636f", "stroke-width": 1.1, "stroke-dasharray": "4 3" };

// Paper for good to ink for bad: lightness falls all the way, which needs no colour to be read.
export const RAMP = ["#fbf8ee", "#efe3b8", "#c9d39a", "#86b99a", "#4796a5", "#2f6aa3", "#3b3d8c",
  "#3a1763", "#1d0430"];

export const series = (i) => ({
  stroke: SERIES[i % SERIES.length],
  "stroke-dasharray": DASHES[(i + Math.floor(i / SERIES.length)) % DASHES.length],
});
