// Charts of curves over frequency: drawn anew as they are zoomed, read off at one frequency.
const LABELLED = [1, 2, 5];
const MOST = 12; // times in octaves: how far a chart can be zoomed

function chart(figure) {
  const svg = figure.querySelector("svg.chart");
  const [left, top, right, bottom] = numbers(svg.dataset.plot, " ");
  const whole = numbers(svg.dataset.range, " ");
  const frequency = numbers(svg.dataset.frequency, ",");
  const unit = svg.dataset.unit;
  const curves = [...svg.querySelectorAll(".curve")].map((path) => ({
    path, name: path.dataset.name, values: numbers(path.dataset.value, ","),
  }));
  const outputs = [...figure.querySelectorAll(".key output")];
  const at = figure.querySelector("output.at");
  const slider = figure.querySelector("input");
  const grid = svg.querySelector(".grid");
  const names = svg.querySelector(".names");
  let shown = whole.slice(); // lowest and highest frequency, lowest and highest value
  let here = Number(slider.value);

  const x = (f) => left + (Math.log(f / shown[0]) / Math.log(shown[1] / shown[0])) * (right - left);
  const y = (v) => top + ((shown[3] - v) / (shown[3] - shown[2])) * (bottom - top);

  const cursor = element("g", { class: "cursor", visibility: "hidden" });
  const upright = element("path", { stroke: "#1c222b", "stroke-width": "1" });
  cursor.append(upright);
  const dots = curves.map(({ path }) => {
    const dot = element("circle", { r: "4.5", fill: "#fff", "stroke-width": "2",
      stroke: path.getAttribute("stroke") });
    cursor.append(dot);
    return dot;
  });
  svg.append(cursor);

  function label(f) {
    return f >= 1000 ? `${Number((f / 1000).toPrecision(4))}k` : `${f}`;
  }
  function frequencyLines() {
    const wide = Math.log10(shown[1] / shown[0]) > 0.9;
    const found = [];
    for (let decade = 1; decade < 1e6; decade *= 10) {
      const steps = wide ? 9 : 90; // zoomed in, there is room for finer ones
      for (let i = 0; i < steps; i += 1) {
        const f = Number((decade * (1 + i / (wide ? 1 : 10))).toPrecision(3));
        const round = wide ? LABELLED.includes(1 + i) : i % 10 === 0 || (i === 5 || i === 15);
        if (f >= shown[0] * 0.999 && f <= shown[1] * 1.001) found.push([f, round]);
      }
    }
    return found;
  }
  function drawGrid() {
    grid.replaceChildren();
    const line = (d, width) =>
      grid.append(element("path", { d, stroke: "#d7dce2", "stroke-width": width }));
    const word = (wx, wy, anchor, text) =>
      grid.append(element("text", { x: wx, y: wy, "text-anchor": anchor, fill: "#1c222b" }, text));
    for (const [f, round] of frequencyLines()) {
      line(`M${x(f)} ${top}V${bottom}`, round ? 0.9 : 0.4);
      if (round) word(x(f), bottom + 19, "middle", label(f));
    }
    const rough = (shown[3] - shown[2]) / 8;
    const power = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough * 0.999);
    for (let i = Math.ceil(shown[2] / step - 1e-9); i * step <= shown[3] + 1e-9; i += 1) {
      const value = Number((i * step).toPrecision(6));
      line(`M${left} ${y(value)}H${right}`, 0.9);
      word(left - 8, y(value) + 4.5, "end", minus(String(value)));
    }
  }
  function drawCurves() {
    for (const { path, values } of curves) {
      let d = "";
      let pen = false;
      values.forEach((value, i) => {
        const known = Number.isFinite(value);
        if (known) {
          d += `${pen ? "L" : "M"}${x(frequency[i]).toFixed(1)} ` +
            `${clamp(y(value), -4000, 4000).toFixed(1)}`;
        }
        pen = known;
      });
      path.setAttribute("d", d);
    }
  }
  function drawMarks() {
    const within = (place, low, high) => (place >= low && place <= high ? "visible" : "hidden");
    for (const mark of svg.querySelectorAll(".mark")) {
      const place = x(Number(mark.dataset.frequency));
      mark.setAttribute("transform", `translate(${place} 0)`);
      mark.setAttribute("visibility", within(place, left, right));
    }
    for (const limit of svg.querySelectorAll(".limit")) {
      const place = y(Number(limit.dataset.limit));
      limit.setAttribute("transform", `translate(0 ${place})`);
      limit.setAttribute("visibility", within(place, top, bottom));
    }
    for (const band of svg.querySelectorAll(".band")) {
      const start = x(Number(band.dataset.low));
      band.setAttribute("x", start);
      band.setAttribute("width", Math.max(x(Number(band.dataset.high)) - start, 1));
    }
  }
  function read() {
    const f = frequency[here];
    at.textContent = hertz(f);
    const told = curves.map(({ name, values }, i) => {
      const value = values[here];
      const known = Number.isFinite(value);
      const text = known ? `${minus(value.toFixed(1))} ${unit}` : "–";
      outputs[i].textContent = text;
      const place = known ? y(value) : NaN;
      const seen = known && place >= top && place <= bottom;
      dots[i].setAttribute("visibility", seen ? "inherit" : "hidden");
      if (seen) {
        dots[i].setAttribute("cx", x(f));
        dots[i].setAttribute("cy", place);
      }
      return `${name} ${text}`;
    });
    slider.setAttribute("aria-valuetext", `${hertz(f)}: ${told.join(", ")}`);
    upright.setAttribute("d", `M${x(f)} ${top}V${bottom}`);
    const inside = x(f) >= left - 0.5 && x(f) <= right + 0.5;
    cursor.setAttribute("visibility", inside ? "visible" : "hidden");
  }
  function redraw() {
    drawGrid();
    drawCurves();
    drawMarks();
    read();
    const zoomed = shown.some((end, i) => end !== whole[i]);
    names.setAttribute("visibility", zoomed ? "hidden" : "visible");
  }
  // Everything about zooming is in shares of the plot: 0 at the left or lower end, 1 at the other.
  function zoom(factor, across = 0.5, up = 0.5) {
    const octaves = Math.log(shown[1] / shown[0]);
    const all = Math.log(whole[1] / whole[0]);
    const width = clamp(octaves * factor, all / MOST, all);
    const height = clamp((shown[3] - shown[2]) * factor, (whole[3] - whole[2]) / MOST,
      whole[3] - whole[2]);
    const low = Math.log(shown[0]) + across * (octaves - width);
    place(low, width, shown[2] + up * (shown[3] - shown[2] - height), height);
  }
  function place(low, width, bottomValue, height) {
    if (width >= Math.log(whole[1] / whole[0]) * 0.9999 &&
        height >= (whole[3] - whole[2]) * 0.9999) {
      shown = whole.slice();
    } else {
      const start = clamp(low, Math.log(whole[0]), Math.log(whole[1]) - width);
      const floor = clamp(bottomValue, whole[2], whole[3] - height);
      shown = [Math.exp(start), Math.exp(start + width), floor, floor + height];
    }
    redraw();
  }
  function move(dx, dy) { // shares of the plot
    const width = Math.log(shown[1] / shown[0]);
    const height = shown[3] - shown[2];
    place(Math.log(shown[0]) - dx * width, width, shown[2] + dy * height, height);
  }
  function shares(event) {
    const point = userUnits(svg, event);
    return [(point.x - left) / (right - left), (bottom - point.y) / (bottom - top)];
  }
  function nearest(across) {
    const f = shown[0] * (shown[1] / shown[0]) ** clamp(across, 0, 1);
    let best = 0;
    frequency.forEach((each, i) => {
      if (Math.abs(Math.log(each / f)) < Math.abs(Math.log(frequency[best] / f))) best = i;
    });
    here = best;
    slider.value = String(best);
    read();
  }

  gestures(svg, shares, { zoom, move, point: nearest });
  slider.addEventListener("input", () => {
    here = Number(slider.value);
    const f = frequency[here];
    if (f < shown[0] || f > shown[1]) { // the chart goes along
      const width = Math.log(shown[1] / shown[0]);
      place(Math.log(f) - width / 2, width, shown[2], shown[3] - shown[2]);
    }
    read();
  });
  const whereNow = () => Math.log(frequency[here] / shown[0]) / Math.log(shown[1] / shown[0]);
  const acts = {
    in: () => zoom(0.5, clamp(whereNow(), 0, 1)),
    out: () => zoom(2),
    reset: () => { shown = whole.slice(); redraw(); },
  };
  buttons(figure, acts);
  read();
}
document.querySelectorAll(".chart-figure").forEach(chart);
