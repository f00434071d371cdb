// What is set on the page, with the way back and forth, and the layouts that are kept to compare.

const MOST_STEPS = 200;

export const same = (a, b) => JSON.stringify(sorted(a)) === JSON.stringify(sorted(b));

function sorted(value) {
  if (Array.isArray(value) || value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.keys(value).sort().map((key) => [key, sorted(value[key])]));
}

export function desk(told) {
  let now = null;
  let settled = null; // as it was when the hand last let go
  let filed = null; // as the file has it
  let past = [];
  let future = [];

  const changed = (held, about) => told({ held, ...about });

  return {
    get now() { return now; },
    get filed() { return filed; },
    get held() { return now !== settled; }, // the hand still moves
    get canUndo() { return past.length > 0; },
    get canRedo() { return future.length > 0; },
    get unsaved() { return now !== null && !same(now, filed); },

    begin(draft) {
      now = settled = filed = draft;
      past = [];
      future = [];
      changed(false, {});
    },
    // The file has something else now; what is set here stays.
    file(draft) {
      filed = draft;
      changed(false, { quiet: true });
    },
    // What is set is what the file has, in other words.
    rebase(draft) {
      now = settled = filed = draft;
      changed(false, { quiet: true });
    },
    // `held`: the hand still moves, and one step back will undo all of its way.
    put(part, { held = false, ...about } = {}) {
      const next = { ...now, ...part };
      if (held) {
        if (!same(now, next)) {
          now = next;
          changed(true, about);
        }
        return;
      }
      now = next;
      if (!same(settled, now)) {
        past = [...past.slice(-MOST_STEPS), settled];
        future = [];
        settled = now;
      }
      changed(false, about);
    },
    place(driver, where, about) {
      this.put({ places: { ...now.places, [driver]: where } }, about);
    },
    undo() {
      if (!past.length) return;
      future = [settled, ...future];
      now = settled = past[past.length - 1];
      past = past.slice(0, -1);
      changed(false, {});
    },
    redo() {
      if (!future.length) return;
      past = [...past, settled];
      [now] = future;
      settled = now;
      future = future.slice(1);
      changed(false, {});
    },
  };
}
