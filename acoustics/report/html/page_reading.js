// What a panel of a drawn figure tells of a place in it. Places are values across and up, as the
// panel counts them; their steps are those of its numbers, or of what is told.
function reader(panel) {
  const [left, top, right, bottom] = panel.box;
  const { field, traces } = panel;

  function along(scale, log, first, last) { // between user units and values
    const [low, high] = scale.ends;
    const share = (value) => (log ? Math.log(value / low) / Math.log(high / low)
      : (value - low) / (high - low));
    return {
      place: (value) => first + share(value) * (last - first),
      value: (place) => {
        const part = clamp((place - first) / (last - first), 0, 1);
        return log ? low * (high / low) ** part : low + part * (high - low);
      },
    };
  }
  function stops(scale, log, given) { // all places that the pointer and a slider stop at
    if (given) {
      const way = log ? Math.log : (value) => value;
      return {
        count: given.length,
        at: (i) => given[i],
        near: (value) => given.reduce((best, each, i) =>
          (Math.abs(way(each) - way(value)) < Math.abs(way(given[best]) - way(value)) ? i : best), 0),
      };
    }
    const per = 10 ** scale.digits;
    const first = Math.ceil(Math.min(...scale.ends) * per);
    const last = Math.floor(Math.max(...scale.ends) * per);
    return {
      count: last - first + 1,
      at: (i) => (first + i) / per,
      near: (value) => clamp(Math.round(value * per), first, last) - first,
    };
  }
  function direction(name, log, first, last) {
    const scale = panel[name];
    if (!scale) return null;
    const longest = traces && panel.along === name
      ? traces.reduce((best, each) => (each.at.length > best.length ? each.at : best), []) : null;
    return { scale, upward: scale.ends[1] > scale.ends[0], ...along(scale, log, first, last),
      stops: stops(scale, log, field ? field[name] : longest) };
  }
  const x = direction("x", panel.log, left, right);
  const y = direction("y", false, bottom, top);

  function inWords({ scale }, value) {
    if (scale.unit === "Hz") return hertz(value);
    const size = Math.abs(value);
    if (scale.unit === "°") {
      const way = size < 0.05 || size > 179.95 ? "" : ` ${value > 0 ? scale.ahead : scale.back}`;
      return `${Number(size.toFixed(scale.digits))}°${way}`;
    }
    const text = size.toFixed(scale.digits);
    return `${text} ${scale.unit} ${value < 0 && Number(text) ? scale.back : scale.ahead}`;
  }
  function fromEdges(places) {
    const told = places.map(([{ scale }, value]) => {
      const ends = (scale.edges || []).map(([end, name]) => [Math.abs(value - end), name]);
      if (!ends.length || value < scale.edges[0][0] || value > scale.edges[1][0]) return null;
      const [far, name] = ends[0][0] <= ends[1][0] ? ends[0] : ends[1];
      return `${far.toFixed(scale.digits)} ${scale.unit} from its ${name}`;
    });
    return told.length && told.every(Boolean) ? ` (${told.join(", ")} end)` : "";
  }
  let numbersOf = null; // unpacked when they are first asked for
  function level(i, j) {
    if (!numbersOf) {
      const bytes = Uint8Array.from(atob(field.values), (letter) => letter.charCodeAt(0));
      numbersOf = new DataView(bytes.buffer);
    }
    const steps = numbersOf.getInt16(2 * (j * field.x.length + i), true);
    if (steps === -32768) return "not known";
    return `${minus((steps / 100).toFixed(1))} ${field.unit} ${field.words}`;
  }
  function ofTraces(value) {
    const unit = panel.unit === "°" ? "°" : ` ${panel.unit}`;
    return traces.map(({ name, at, values }) => {
      const i = at.findIndex((each) => Math.abs(each - value) <= 1e-4 * Math.abs(value));
      const known = i >= 0 && values[i] !== null;
      return `${name} ${known ? minus(values[i].toFixed(1)) + unit : "–"}`;
    }).join("; ");
  }
  // i and j are the numbers of stops across and up; null where a panel has no such direction.
  function told(i, j) {
    const places = [[x, i], [y, j]].filter(([way]) => way).map(([way, n]) => [way, way.stops.at(n)]);
    const where = places.map(([way, value]) => inWords(way, value)).join(", ");
    if (field) return [`${where}: ${level(i, j)}`, ""];
    if (traces) return [where, ofTraces(places[0][1])];
    return [`${where}${panel.after ? ` ${panel.after}` : ""}${fromEdges(places)}`, ""];
  }
  function thingAt(px, py) { // the smallest there
    let found = null;
    for (const thing of panel.things) {
      const [x0, y0, x1, y1] = thing.box;
      const across = (2 * px - x0 - x1) / (x1 - x0);
      const down = (2 * py - y0 - y1) / (y1 - y0);
      const far = thing.round ? Math.hypot(across, down)
        : Math.max(Math.abs(across), Math.abs(down));
      const size = (x1 - x0) * (y1 - y0);
      if (far <= 1 && (!found || size < found.size)) found = { thing, size };
    }
    return found && found.thing;
  }
  const holds = (px, py) => px >= left && px <= right && py >= top && py <= bottom;
  return { panel, x, y, told, thingAt, holds };
}
