// Layouts that are kept: one of them lies under the curves, and figures are held against it.

import { fresh, html } from "./build.js";
import { same } from "./draft.js";
import { name } from "./words.js";

const OPENED = "as opened";
const NOTHING = "";

// `told(pin or null)`: what is compared with now. `back(draft)`: a kept layout is taken up again.
export function comparison(host, told, back) {
  const pins = []; // {id, name, draft, heard}
  let chosen = null;
  let count = 0;
  let opened = false;
  const id = fresh("with");
  const select = html("select", { id });
  const take = html("button", { type: "button" }, "Go back to it");
  const away = html("button", { type: "button" }, "Forget it");
  host.append(html("label", { for: id }, "Compared with"), select, take, away);

  function drawn() {
    select.replaceChildren(html("option", { value: NOTHING }, "nothing"),
      ...pins.map((pin) => html("option", { value: pin.id, selected: pin === chosen },
        name(pin.name, 30))));
    for (const button of [take, away]) button.disabled = chosen === null;
    told(chosen);
  }
  select.addEventListener("change", () => {
    chosen = pins.find((pin) => pin.id === select.value) ?? null;
    drawn();
  });
  take.addEventListener("click", () => chosen && back(chosen.draft));
  away.addEventListener("click", () => {
    pins.splice(pins.indexOf(chosen), 1);
    chosen = null;
    drawn();
    select.focus();
  });
  drawn();

  function add(title, draft, heard) {
    const pin = { id: fresh("pin"), name: title, draft, heard };
    pins.push(pin);
    chosen = pin;
    drawn();
  }
  return {
    get chosen() { return chosen; },
    pin(draft, heard) {
      count += 1;
      add(`layout ${count}`, draft, heard);
    },
    // The first layout is there to compare with from the start.
    open(draft, heard) {
      if (opened) return;
      opened = true;
      add(OPENED, draft, heard);
    },
    // Better curves of a draft that is kept already.
    better(draft, heard) {
      for (const pin of pins) {
        if (same(pin.draft, draft) && pin.heard.state !== "exact") {
          pin.heard = heard;
          if (pin === chosen) told(chosen);
        }
      }
    },
  };
}
