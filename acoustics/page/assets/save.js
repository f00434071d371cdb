// Writing to the case file, and what to do when the file is another than it was.

import { fresh, html, say } from "./build.js";
import { same } from "./draft.js";
import { name } from "./words.js";

const cell = (text) => name(text, 200);

// `ask(over, draft)` saves; `take(keys)` makes a draft that has the file's values of these keys;
// `notice` shows words with buttons.
export function saving({ dialog, list, go, ask, take }) {
  let open = [];
  function chosen() {
    return open.map(({ key, theirs }) => ({ key, theirs: theirs.checked }));
  }
  go.addEventListener("click", () => {
    const all = chosen();
    dialog.close();
    const mine = all.filter((each) => !each.theirs).map(({ key }) => key);
    const theirs = all.filter((each) => each.theirs).map(({ key }) => key);
    if (theirs.length) take(theirs, (draft) => ask(mine, draft));
    else ask(mine);
  });
  return {
    clash(keys) {
      open = [];
      list.replaceChildren(...Object.entries(keys).map(([key, { mine, theirs }]) => {
        const group = fresh("clash");
        const option = (words, value, checked) => {
          const input = html("input", { type: "radio", name: group, checked });
          return [input, html("label", { class: "choice" }, input,
            html("span", {}, `${words}: `, html("code", {}, cell(value))))];
        };
        const [, first] = option("mine", mine, true);
        const [other, second] = option("in the file", theirs, false);
        open.push({ key, theirs: other });
        return html("fieldset", {}, html("legend", {}, html("code", {}, cell(key))), first, second);
      }));
      dialog.showModal();
    },
  };
}

// Words with buttons, one of a kind at a time; `choices` are [words, act].
export function notices(host) {
  const shown = new Map();
  return function notice(kind, words, choices = [], lines = []) {
    shown.get(kind)?.remove();
    if (!words) return;
    const box = html("div", { class: "notice", "data-kind": kind });
    const closed = (act) => () => {
      box.remove();
      shown.delete(kind);
      act?.();
    };
    const said = html("p", {});
    box.append(said, ...(lines.length
      ? [html("ul", {}, ...lines.map((each) => html("li", {}, each)))] : []));
    const buttons = choices.length ? choices : [["Close", null]];
    box.append(html("div", { class: "acts" }, ...buttons.map(([label, act]) => {
      const button = html("button", { type: "button" }, label);
      button.addEventListener("click", closed(act));
      return button;
    })));
    shown.set(kind, box);
    host.append(box);
    say(said, words); // into a region that is there already, so that it is read out
  };
}

// Sets in `draft` what `theirs` has for a key of the file, such as "drivers.tweeter.position.1".
function takeOne(draft, theirs, key, drivers) {
  const part = (which) => { draft[which] = structuredClone(theirs[which]); };
  const driver = drivers.find((each) => key.split(".").includes(each));
  const axis = { 1: 0, 2: 1 }[key.split(".").pop()];
  if (key.startsWith("cabinet.")) part("edges");
  else if (key.includes("ear_heights")) part("ear_height");
  else if (key.startsWith("seat.")) part("distance");
  else if (key.includes(".position")) {
    for (const each of axis === undefined ? [0, 1] : [axis]) {
      draft.places[driver][each] = theirs.places[driver][each];
    }
  } else if (key.endsWith(".delay")) draft.delays[driver] = theirs.delays[driver];
  else part("corners");
}

// `theirs` with what was changed here since `before`, but for these keys of the file: what others
// changed, and nobody did here, stays theirs.
export function merged(mine, before, theirs, keys, drivers) {
  const draft = changedSince(before, mine, theirs);
  for (const key of keys) takeOne(draft, theirs, key, drivers);
  return draft;
}

// Value by value; edges are one, because a size means nothing without its kind.
function changedSince(before, mine, theirs, whole = false) {
  if (whole || mine === null || typeof mine !== "object") {
    return structuredClone(same(mine, before) ? theirs : mine);
  }
  if (Array.isArray(mine)) {
    return mine.map((each, i) => changedSince(before[i], each, theirs[i]));
  }
  return Object.fromEntries(Object.keys(mine).map((key) =>
    [key, changedSince(before[key], mine[key], theirs[key], key === "edges")]));
}
