// One line that says how good the curves are that are shown, and what is wrong with the layout.

import { html, say, set } from "./build.js";

const STATES = {
  waiting: ["…", "Waiting for the first curves"],
  exact: ["✓", "Exact: the full prediction"],
  live: ["≈", "Live: drivers as last computed exactly"],
  coarse: ["~", "Coarse, better ones follow"],
  refused: ["✗", "Not heard: the curves are those of the last layout that works"],
  lost: ["!", "No connection. What you set is kept; if roundover was started anew, open its new address"],
};

export function standing(line, told, lacks) {
  const [mark, what] = line.children;
  let state = "waiting";
  let missing = "";
  let busy = "";

  function drawn() {
    const [sign, words] = STATES[state];
    set(line, { "data-state": state });
    mark.textContent = sign;
    say(what, busy ? `${words} · ${busy}` : words);
    say(lacks, state === "coarse" && missing ? `Coarse means: ${missing}.` : "");
  }
  return {
    // Whether what is shown is of what is set.
    fresh(whether) {
      set(line, { "data-fresh": whether ? "yes" : "no" });
    },
    put(next, lacking = "") {
      [state, missing, busy] = [next, lacking, ""];
      drawn();
    },
    busy(words) {
      busy = words;
      drawn();
    },
    get state() { return state; },
    // Why the layout cannot be built, or not even be heard.
    warn(words, grave) {
      const items = words.map((each) => html("li", {}, each));
      const head = grave ? "This cannot be heard:" : "This cannot be built:";
      const before = told.dataset.words ?? "";
      const after = words.length ? head + words.join("\n") : "";
      if (before === after) return;
      told.dataset.words = after;
      told.replaceChildren(...(words.length
        ? [html("p", { class: "warning" }, html("span", { "aria-hidden": "true" }, "⚠ "), head),
          html("ul", {}, ...items)]
        : []));
    },
  };
}
