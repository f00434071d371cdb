// Drawn figures: seen closer as they are zoomed, read off at a place, or thing by thing.
const CLOSEST = 8; // times: how far a drawing can be zoomed
const AROUND = 4; // user units that a thing's light reaches beyond it

function sheet(figure) {
  const svg = figure.querySelector("svg.sheet");
  const whole = numbers(svg.getAttribute("viewBox"), " ");
  const readers = JSON.parse(figure.dataset.read).map(reader);
  const at = figure.querySelector("output.at");
  const about = figure.querySelector("output.thing");
  const chooser = figure.querySelector("select");
  const sliders = ["x", "y"].map((way) => figure.querySelector(`input[data-along="${way}"]`));
  let view = whole.slice(); // what is shown: left, top, width, height
  let here = null; // number of the panel and of the stops in it
  let thing = null;

  const cursor = element("g", { class: "cursor", visibility: "hidden" });
  const lines = [["#fff", 3.5], ["#1c222b", 1.3]].map(([stroke, width]) => {
    const line = element("path", { fill: "none", stroke, "stroke-width": width,
      "vector-effect": "non-scaling-stroke" });
    cursor.append(line);
    return line;
  });
  const light = element("path", { class: "cursor", visibility: "hidden", fill: "#1c3f94",
    "fill-opacity": "0.14", stroke: "#1c3f94", "stroke-width": "2.5",
    "vector-effect": "non-scaling-stroke" });
  svg.append(light, cursor);

  function show() {
    svg.setAttribute("viewBox", view.map((each) => each.toFixed(3)).join(" "));
    svg.classList.toggle("zoomed", view[2] < whole[2] * 0.999);
  }
  function place(left, top, width) {
    const height = (width * whole[3]) / whole[2];
    view = [clamp(left, whole[0], whole[0] + whole[2] - width),
      clamp(top, whole[1], whole[1] + whole[3] - height), width, height];
    show();
  }
  function zoom(factor, across = 0.5, up = 0.5) {
    const width = clamp(view[2] * factor, whole[2] / CLOSEST, whole[2]);
    const smaller = view[2] - width;
    place(view[0] + across * smaller, view[1] + (1 - up) * smaller * (view[3] / view[2]), width);
  }
  function move(dx, dy) {
    place(view[0] - dx * view[2], view[1] - dy * view[3], view[2]);
  }
  function shares(event) {
    const point = userUnits(svg, event);
    return [(point.x - view[0]) / view[2], 1 - (point.y - view[1]) / view[3]];
  }
  function bring([px, py]) { // into what is shown
    const outside = px < view[0] || px > view[0] + view[2] || py < view[1] || py > view[1] + view[3];
    if (outside) place(px - view[2] / 2, py - view[3] / 2, view[2]);
  }

  function drawCursor() {
    const { panel, x, y } = readers[here[0]];
    const [left, top, right, bottom] = panel.box;
    let d = "";
    if (x) d += `M${x.place(x.stops.at(here[1])).toFixed(2)} ${top}V${bottom}`;
    if (y) d += `M${left} ${y.place(y.stops.at(here[2])).toFixed(2)}H${right}`;
    for (const line of lines) line.setAttribute("d", d);
    cursor.setAttribute("visibility", d ? "visible" : "hidden");
  }
  function drawLight() {
    light.setAttribute("visibility", thing ? "visible" : "hidden");
    if (!thing) return;
    const [x0, y0, x1, y1] = thing.box;
    const [rx, ry] = [(x1 - x0) / 2, (y1 - y0) / 2];
    light.setAttribute("d", thing.round
      ? `M${x0} ${y0 + ry}a${rx} ${ry} 0 1 0 ${2 * rx} 0a${rx} ${ry} 0 1 0 ${-2 * rx} 0Z`
      : `M${x0 - AROUND} ${y0 - AROUND}H${x1 + AROUND}V${y1 + AROUND}H${x0 - AROUND}Z`);
  }
  function setSliders(told) {
    const one = readers[here[0]];
    sliders.forEach((slider, way) => {
      if (!slider) return;
      const direction = [one.x, one.y][way];
      slider.parentElement.hidden = !direction;
      if (!direction) return;
      slider.previousElementSibling.textContent = direction.scale.name;
      slider.setAttribute("aria-label", `${direction.scale.name} to read off: ${slider.dataset.of}`);
      slider.max = String(direction.stops.count - 1);
      slider.value = String(here[1 + way]);
      slider.setAttribute("aria-valuetext", told);
    });
  }
  function read() {
    const [number, i, j] = here;
    const one = readers[number];
    const numbered = one.x || one.y;
    const [where, more] = numbered ? one.told(i, j) : ["", ""];
    const words = thing ? `${thing.name}: ${thing.words}` : more;
    at.textContent = where;
    about.textContent = words;
    drawCursor();
    drawLight();
    setSliders([where, words].filter(Boolean).join("; "));
    if (chooser) {
      const chosen = thing ? `${number}:${one.panel.things.indexOf(thing)}` : `${number}:`;
      chooser.value = chosen;
      if (chooser.value !== chosen) chooser.value = "";
    }
  }
  function go(number, px, py) { // to a place in user units
    const { x, y } = readers[number];
    here = [number, x ? x.stops.near(x.value(px)) : null, y ? y.stops.near(y.value(py)) : null];
  }
  function point(_across, _up, event) {
    const { x: px, y: py } = userUnits(svg, event);
    const found = readers.findIndex((one) => one.holds(px, py));
    const number = found < 0 && readers.length === 1 ? 0 : found;
    if (number < 0) return;
    go(number, px, py);
    thing = readers[number].thingAt(px, py);
    read();
  }
  function spot() { // where the cursor is
    const { panel, x, y } = readers[here[0]];
    const [left, top, right, bottom] = panel.box;
    return [x ? x.place(x.stops.at(here[1])) : (left + right) / 2,
      y ? y.place(y.stops.at(here[2])) : (top + bottom) / 2];
  }
  const middle = ([x0, y0, x1, y1]) => [(x0 + x1) / 2, (y0 + y1) / 2];
  function step(way, by) {
    const one = readers[here[0]];
    const { stops } = [one.x, one.y][way];
    here[1 + way] = clamp(here[1 + way] + by, 0, stops.count - 1);
    settle();
  }
  function settle() { // what the keyboard has moved
    bring(spot());
    thing = readers[here[0]].thingAt(...spot());
    read();
  }

  sliders.forEach((slider, way) => {
    if (!slider) return;
    slider.addEventListener("input", () => {
      here[1 + way] = Number(slider.value);
      settle();
    });
    slider.addEventListener("keydown", (event) => { // arrows go where they point
      const [other, by] = { ArrowRight: [0, 1], ArrowLeft: [0, -1], ArrowUp: [1, 1],
        ArrowDown: [1, -1] }[event.key] || [];
      const direction = [readers[here[0]].x, readers[here[0]].y][other];
      if (!direction) return;
      event.preventDefault();
      step(other, direction.upward ? by : -by);
    });
  });
  chooser?.addEventListener("change", () => {
    const [number, which] = chooser.value.split(":");
    if (!number) {
      thing = null;
      read();
      return;
    }
    const one = readers[Number(number)];
    const chosen = which ? one.panel.things[Number(which)] : null;
    const to = middle(chosen ? chosen.box : one.panel.box);
    go(Number(number), ...to);
    bring(to);
    thing = chosen;
    read();
  });
  gestures(svg, shares, { zoom, move, point, drags: () => svg.classList.contains("zoomed") });
  const onto = () => {
    const [px, py] = thing ? middle(thing.box) : here ? spot() : middle([...view.slice(0, 2),
      view[0] + view[2], view[1] + view[3]]);
    return [(px - view[0]) / view[2], 1 - (py - view[1]) / view[3]].map((s) => clamp(s, 0, 1));
  };
  buttons(figure, {
    in: () => zoom(0.5, ...onto()),
    out: () => zoom(2),
    reset: () => place(whole[0], whole[1], whole[2]),
  });
  if (!readers.length) return;
  const [left, top, right, bottom] = readers[0].panel.box;
  // Off the middle: on the axis of a map all levels are 0.
  go(0, (left + right) / 2, top + (bottom - top) * 0.4);
  const { field, traces } = readers[0].panel;
  if (field || traces) read();
  else setSliders(readers[0].told(here[1], here[2])[0]);
}
document.querySelectorAll(".sheet-figure").forEach(sheet);
