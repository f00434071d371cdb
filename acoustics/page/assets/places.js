// Where each driver is, as numbers to type, and the grid on which it is dragged.

import { fresh, html } from "./build.js";
import { calm } from "./calm.js";
import { numberField } from "./fields.js";
import { sample } from "./key.js";
import { series } from "./look.js";
import { name } from "./words.js";

const GRIDS = [["off", 0], ["1 mm", 0.001], ["5 mm", 0.005], ["10 mm", 0.01]];

export function places(host, design, told) {
  let grid = 0.001;
  const id = fresh("grid");
  const select = html("select", { id }, ...GRIDS.map(([words, value]) =>
    html("option", { value, selected: value === grid }, words)));
  select.addEventListener("change", () => { grid = Number(select.value); });

  const rows = design.drivers.map((driver, i) => {
    let where = design.draft.places[driver.name];
    const field = (axis, label) => numberField({
      label, unit: "mm", scale: 0.001, places: 1, step: 0.001, span: driver.span[axis],
      hidden: name(driver.name),
      put: (value) => told(driver.name, axis ? [where[0], value] : [value, where[1]]),
    });
    const fields = [field(0, "right"), field(1, "up")];
    if (!driver.movable) fields.forEach((each) => each.off());
    const face = driver.face === "front" ? "" : ` (${driver.face})`;
    const inverted = driver.inverted ? ", inverted" : "";
    host.append(html("fieldset", { class: "where" },
      html("legend", {}, sample({ ...series(i), "stroke-width": 2.4 }),
        `${name(driver.name, 24)}${face}${inverted}`),
      ...fields.map(({ element }) => element),
      ...(driver.movable ? [] : [html("p", { class: "why" }, driver.why)])));
    const shown = calm(() => fields.forEach((each, axis) => each.show(where[axis])));
    return (next) => {
      where = next;
      shown();
    };
  });
  host.append(html("div", { class: "grid" }, html("label", { for: id }, "Drag in steps of"), select),
    html("p", { class: "hint" },
      "From the middle of the face."));
  return {
    snap: () => grid,
    show: (all) => design.drivers.forEach(({ name: each }, i) => rows[i](all[each])),
  };
}
