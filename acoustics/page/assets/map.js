// Where a driver would do better: a judgment of every place of the front, under the drivers.

import { fresh, html, say, svg } from "./build.js";
import { RAMP } from "./look.js";
import { fixed, name, place } from "./words.js";

const STEPS = RAMP.length;

export function placementMap(host, front, design, { start, stop, move }) {
  const movable = design.drivers.filter((each) => each.movable && each.face === "front");
  if (!movable.length || !design.map_metrics.length) {
    host.append(html("p", {}, "No driver on the front can be moved."));
    return { put() {}, busy() {}, stale() {} };
  }
  const [which, what] = [fresh("which"), fresh("what")];
  const driver = html("select", { id: which }, ...movable.map((each) =>
    html("option", { value: each.name }, name(each.name, 30))));
  const metric = html("select", { id: what }, ...design.map_metrics.map((each) =>
    html("option", { value: each.by }, each.words)));
  const go = html("button", { type: "button" }, "Map its places");
  const off = html("button", { type: "button", hidden: true }, "Take the map away");
  const said = html("p", { role: "status" });
  const progress = html("progress", { max: 1, value: 0, hidden: true, "aria-label": "Map" });
  const legend = html("div", { class: "legend" });
  const old = html("p", { class: "why", hidden: true },
    "Something else was moved since: map its places again.");
  const there = html("button", { type: "button", hidden: true }, "Move it to the best place");
  host.append(html("div", { class: "fields" },
    html("div", { class: "field" }, html("label", { for: which }, "Driver"), driver),
    html("div", { class: "field" }, html("label", { for: what }, "Judged by"), metric)),
  html("div", { class: "acts" }, go, off, there), progress, said, old, legend);

  let shown = null; // the map, and the draft that it is of

  function clear() {
    shown = null;
    front.under.replaceChildren();
    legend.replaceChildren();
    off.hidden = there.hidden = progress.hidden = old.hidden = true;
    say(said, "");
  }
  go.addEventListener("click", () => {
    clear();
    progress.hidden = off.hidden = false;
    progress.value = 0;
    say(said, "Every place is being judged …");
    start(driver.value, metric.value);
  });
  off.addEventListener("click", () => {
    stop();
    clear();
    go.focus();
  });
  there.addEventListener("click", () => shown && move(shown.driver, shown.best));

  function drawn() {
    if (!shown) return;
    const { right, up, shares } = shown;
    const w = (right.length > 1 ? right[1] - right[0] : 0.005) * front.scale;
    const h = (up.length > 1 ? up[1] - up[0] : 0.005) * front.scale;
    const d = Array(STEPS).fill("");
    shares.forEach((share, i) => {
      if (!Number.isFinite(share)) return;
      const x = front.X(right[i % right.length]) - w / 2;
      const y = front.Y(up[Math.floor(i / right.length)]) - h / 2;
      const cell = `M${x.toFixed(1)} ${y.toFixed(1)}h${(w + 0.4).toFixed(1)}v` +
        `${(h + 0.4).toFixed(1)}h${(-w - 0.4).toFixed(1)}z`;
      d[Math.min(Math.floor(share * STEPS), STEPS - 1)] += cell;
    });
    const [bx, by] = [front.X(shown.best[0]), front.Y(shown.best[1])];
    const cross = `M${bx - 9} ${by}h18M${bx} ${by - 9}v18M${bx - 6} ${by}a6 6 0 1 0 12 0a6 6 0 1 0 -12 0`;
    front.under.replaceChildren(...d.map((each, i) => svg("path", { d: each, fill: RAMP[i] })),
      svg("path", { class: "best halo", d: cross }), svg("path", { class: "best", d: cross }));
  }
  front.whenDrawn(drawn);

  return {
    busy(share) {
      progress.value = share;
    },
    put(found, where) {
      const { right, up, values } = found.arrays;
      const less = design.map_metrics.find(({ by }) => by === found.by)?.less_is_better ?? true;
      const known = values.data.filter(Number.isFinite);
      if (!known.length) {
        clear();
        say(said, "It fits nowhere else.");
        return;
      }
      const low = known.reduce((a, b) => Math.min(a, b));
      const high = known.reduce((a, b) => Math.max(a, b));
      const wide = Math.max(high - low, 1e-9);
      const shares = Array.from(values.data, (value) =>
        (less ? value - low : high - value) / wide);
      shown = { ...found, right: right.data, up: up.data, shares };
      progress.hidden = true;
      off.hidden = there.hidden = false;
      const best = less ? low : high;
      const near = (list, wanted) => list.reduce((a, v, i) =>
        (Math.abs(v - wanted) < Math.abs(list[a] - wanted) ? i : a), 0);
      const here = values.data[near(up.data, where[1]) * right.data.length +
        near(right.data, where[0])];
      const now = Number.isFinite(here) ? `; about ${fixed(here, 1)} dB where it is now` : "";
      say(said, `Best place for ${name(found.driver, 30)}: ${place(found.best)}, ` +
        `${found.words} ${fixed(best, 1)} dB${now}.`);
      const bar = svg("svg", { class: "ramp", viewBox: `0 0 ${STEPS} 1`, role: "img",
        preserveAspectRatio: "none", "aria-label": "Colours of the map, from good to bad" },
      ...RAMP.map((fill, i) => svg("rect", { x: i, y: 0, width: 1.02, height: 1, fill })));
      const end = (value, words) => html("span", {}, `${fixed(value, 1)} dB, ${words}`);
      legend.replaceChildren(bar, html("p", { class: "ends" }, end(best, "best"),
        end(less ? high : low, "worst")));
      drawn();
    },
    // Something else than this driver's place has changed since.
    stale(draft) {
      if (!shown) return;
      const rest = (each) => JSON.stringify({ ...each,
        places: { ...each.places, [shown.driver]: null } });
      old.hidden = rest(draft) === rest(shown.draft);
    },
  };
}
