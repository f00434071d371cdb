// Puts the parts of the page together: what is set goes out, what is heard is drawn.

import { by, say } from "./build.js";
import { comparison } from "./compare.js";
import { controls } from "./controls.js";
import { desk, same } from "./draft.js";
import { face } from "./face.js";
import { figureList } from "./figures.js";
import { inbox } from "./inbox.js";
import { placementMap } from "./map.js";
import { paced } from "./pace.js";
import { panels } from "./panels.js";
import { places } from "./places.js";
import { merged, notices, saving } from "./save.js";
import { shortcuts } from "./shortcuts.js";
import { connected } from "./socket.js";
import { standing } from "./standing.js";
import { asked, drawn } from "./timing.js";
import { name } from "./words.js";

const QUIET_FOR = 1200; // ms without news before results are read out

const notice = notices(by("notices"));
const state = standing(by("state"), by("told"), by("lacks"));
const buttons = { undo: by("undo"), redo: by("redo"), pin: by("pin"), save: by("save") };

let design = null;
let parts = null; // what is made once the design is known
let seen = ""; // digest of the file whose values are known here
let heard = null; // the newest curves and the draft they are of
let newest = 0;
let mapOf = null;
let shown = null; // the draft whose numbers the page shows
let wasHeld = false;
let toFile = null; // what was sent to be saved
let afterFile = null; // what is done with the file's values once they come
let speaking = 0;
let leaving = false;
const drafts = new Map(); // serial -> draft

const table = desk(({ held, time, quiet }) => {
  const draft = table.now;
  parts.front.show(draft.places);
  parts.places.show(draft.places);
  if (!held || shown?.places === draft.places) parts.controls.show(draft);
  if (!held) parts.map.stale(draft);
  if (!held || !wasHeld) standingButtons();
  shown = draft;
  wasHeld = held;
  if (!quiet) hear.put({ draft, held, time });
});
const comparing = comparison(by("against"), compared, (draft) => table.put(draft));
const figures = figureList(by("figures"));
const link = connected(received);
const saver = saving({ dialog: by("clash"), list: by("clash-keys"), go: by("clash-go"),
  ask: save, take });

const hear = paced(({ draft, held, time }) => {
  const serial = link.ask("hear", { held, draft });
  if (!serial) return 0;
  newest = serial;
  state.fresh(false);
  drafts.set(serial, draft);
  asked(serial, time);
  return serial;
});

function save(over = [], draft = table.now) {
  if (!same(draft, table.now)) table.put(draft);
  const serial = link.ask("save", { draft, seen, over });
  toFile = { serial, draft };
}
function readAgain(then) {
  afterFile = then;
  state.fresh(false);
  link.ask("file");
}
// The file's values for some keys and for what was not changed here, mine for the rest.
function take(keys, done) {
  const mine = table.now;
  const before = table.filed;
  const drivers = design.drivers.map((driver) => driver.name);
  readAgain((theirs) => done(merged(mine, before, theirs, keys, drivers)));
}
function takeUp() {
  readAgain((theirs) => table.put(theirs));
}

function standingButtons() {
  buttons.undo.disabled = !table.canUndo;
  buttons.redo.disabled = !table.canRedo;
  buttons.save.disabled = !table.unsaved || state.state === "lost";
  buttons.pin.disabled = heard === null || !same(heard.draft, table.now);
}
function compared(pin) {
  if (!parts) return;
  parts.panels.pin(pin);
  parts.front.pin(pin?.draft.places);
  if (heard) figures.put(heard.figures, pin?.heard.figures);
}

function begin(message) {
  design = message;
  seen = message.seen;
  say(by("title"), name(message.title, 120));
  document.title = `${message.title} · roundover`;
  by("note").hidden = !message.note;
  say(by("note"), name(message.note, 300));
  say(by("file"), name(message.file));
  const move = (driver, where, about = { held: false }) => table.place(driver, where, about);
  const numbers = places(by("places"), message, move);
  const front = face(by("front"), message, numbers.snap, move);
  parts = {
    front, places: numbers,
    controls: controls(by("controls"), message, (part, about) => table.put(part, about)),
    panels: panels(message),
    map: placementMap(by("map"), front, message, {
      start(driver, metric) {
        mapOf = { driver, draft: table.now,
          serial: link.ask("map", { driver, by: metric, draft: table.now }) };
      },
      stop() {
        mapOf = null;
        link.ask("no map");
      },
      move: (driver, where) => table.place(driver, where),
    }),
  };
  table.begin(message.draft);
  working("");
}

// What is done beside; first of all the solver may have to be compiled.
function working(words) {
  const compiling = !heard && !design.compiled;
  state.busy(compiling ? "the solver is being compiled, once on this machine: half a minute" : words);
}

// What this page was built of: where that is another, no draft made here fits.
const builtOf = ({ drivers, front, frequency, angles, heights }) => JSON.stringify([
  drivers.map(({ name: called, face: on, frame }) => [called, on, frame]), front.outline,
  frequency.length, angles, heights]);

function anew(wanted) {
  const load = () => {
    leaving = true;
    window.location.reload();
  };
  if (wanted) load();
  else {
    notice("changed", "The drivers or the cabinet are others now; what is set here does not fit.",
      [["Load the page anew", load], ["Not yet", null]]);
  }
}

const answers = {
  connected() {
    state.put(heard ? "live" : "waiting");
  },
  lost() {
    state.put("lost");
    standingButtons();
  },
  design(message) {
    if (!parts) {
      begin(message);
      return;
    }
    if (builtOf(message) !== builtOf(design)) {
      anew(afterFile !== null);
      return;
    }
    const before = seen;
    const done = afterFile;
    afterFile = null;
    if (done) {
      seen = message.seen;
      notice("changed", "");
      table.file(message.draft);
      done(message.draft);
      return;
    }
    // Back after a loss: what is set stays.
    if (before !== message.seen) changedOnDisk({});
    else if (!table.unsaved) table.rebase(message.draft); // saved edges are those drawn from now on
    hear.put({ draft: table.now, held: false });
  },
  curves(message) {
    const draft = drafts.get(message.serial);
    if (!draft) return;
    // While a hand moves figures and warnings come now and then: the last stand until the next.
    const told = Object.keys(message.figures).length ? message.figures : heard?.figures ?? {};
    heard = { ...message, draft, figures: told };
    parts.panels.put(heard, draft);
    figures.put(heard.figures, comparing.chosen?.heard.figures);
    drawn(message.serial);
    state.put(message.state, message.missing);
    state.fresh(message.serial === newest);
    if (message.warnings) {
      state.warn(message.warnings, false);
      parts.front.blocked(message.warnings);
    }
    for (const each of drafts.keys()) if (each < message.serial) drafts.delete(each);
    if (!table.held && same(draft, table.now)) settled(draft);
  },
  refused(message) {
    if (message.serial !== newest) return;
    state.put("refused");
    state.warn(message.why, true);
    parts.front.blocked(message.why);
  },
  ready({ share }) {
    working(share < 1 ? `fields are being prepared, ${Math.round(share * 100)} %` : "");
  },
  busy({ what, serial, share }) {
    if (what === "map") parts.map.busy(share);
    else if (serial === newest) working("exact curves are being computed");
  },
  map(message) {
    if (!mapOf || message.serial !== mapOf.serial) return;
    parts.map.put({ ...message, draft: mapOf.draft }, mapOf.draft.places[message.driver]);
  },
  saved(message) {
    seen = message.seen;
    if (toFile?.serial === message.serial) table.file(toFile.draft);
    const keys = Object.entries(message.keys).map(([key, text]) => `${name(key)}: ${name(text)}`);
    notice("changed", "");
    notice("saved", `Saved to ${name(design.file)}.`, [], keys);
  },
  clash(message) {
    seen = message.seen;
    saver.clash(message.keys);
  },
  changed(message) {
    if (Object.keys(message.keys).length) changedOnDisk(message.keys);
    else notice("changed", ""); // it reads as before
  },
  trouble({ words }) {
    notice("trouble", words);
  },
};

function changedOnDisk(keys) {
  const lines = Object.entries(keys).map(([key, [before, now]]) =>
    `${name(key)}: was ${name(before)}, is ${name(now)}`);
  notice("changed", `${name(design.file)} is another now than when this page read it.`, [
    ["Take it up", takeUp],
    ["Go on with mine", null],
  ], lines);
}

// What waits until the hand has let go: ranges, buttons, comparison, words for those who listen.
function settled(draft) {
  standingButtons();
  parts.panels.settle(heard, draft);
  if (heard.state !== "coarse") comparing.open(draft, heard);
  comparing.better(draft, heard);
  clearTimeout(speaking);
  speaking = setTimeout(() =>
    say(by("spoken"), `${by("state").textContent.trim()}. ` +
      figures.spoken(heard.figures, comparing.chosen?.heard.figures)), QUIET_FOR);
}

const handed = inbox((message) => answers[message.say]?.(message), "curves");
const ANSWERS = ["curves", "refused"];
const NONE_COMES = ["lost", "trouble"]; // or may not

// The next question goes out before its answer is drawn.
function received(message) {
  if (ANSWERS.includes(message.say)) hear.answered(message.serial);
  if (NONE_COMES.includes(message.say)) hear.answered(newest);
  handed(message);
}

buttons.undo.addEventListener("click", () => table.undo());
buttons.redo.addEventListener("click", () => table.redo());
buttons.save.addEventListener("click", () => save());
buttons.pin.addEventListener("click", () => comparing.pin(table.now, heard));
shortcuts(table, () => by("clash").open);
window.addEventListener("beforeunload", (event) => {
  if (parts && table.unsaved && !leaving) event.preventDefault();
});
if (window.matchMedia("(max-width: 63.99rem)").matches) { // the curves are too far down else
  for (const each of document.querySelectorAll(".setting")) each.open = false;
}
