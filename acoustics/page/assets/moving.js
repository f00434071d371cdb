// Moving one thing by pointer or arrow keys, on a grid and within its limits.

const KEY_STEP = 0.001; // m
const LONG_STEP = 0.005;
const FINE_STEP = 0.0001;
const FINE = 0.1; // how far it goes for a pointer's way while Alt or Shift is held
const SETTLED = 350; // ms after the last key: that was one move

const tidy = (value) => Number(value.toFixed(6));
const clamp = (value, [low, high]) => Math.min(Math.max(value, low), high);

// how: {snap() m or 0, span, where() m, metres(px), told(where, {held, time})}.
export function moving(group, how) {
  let grip = null; // {id, at: px, free: where it would be without a grid}
  let timer = 0;

  const stepped = (value, step) => (step ? tidy(Math.round(value / step) * step) : tidy(value));
  const inside = (where) => [clamp(where[0], how.span[0]), clamp(where[1], how.span[1])];

  group.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || grip) return;
    event.preventDefault();
    group.focus({ preventScroll: true });
    group.setPointerCapture(event.pointerId);
    group.classList.add("held");
    grip = { id: event.pointerId, at: [event.clientX, event.clientY], free: how.where().slice(),
      moved: false };
  });
  function follow(event) {
    if (!grip || event.pointerId !== grip.id) return;
    const fine = event.altKey || event.shiftKey;
    const share = fine ? FINE : 1;
    grip.free = [grip.free[0] + how.metres(event.clientX - grip.at[0]) * share,
      grip.free[1] - how.metres(event.clientY - grip.at[1]) * share];
    grip.at = [event.clientX, event.clientY];
    const step = fine ? FINE_STEP : how.snap();
    const where = inside(grip.free.map((each) => stepped(each, step)));
    const before = how.where();
    if (where[0] === before[0] && where[1] === before[1]) return;
    grip.moved = true;
    how.told(where, { held: true, time: event.timeStamp });
  }
  // Where there is the first, the second comes up to a frame later and has nothing new.
  group.addEventListener("pointerrawupdate", follow);
  group.addEventListener("pointermove", follow);
  for (const over of ["pointerup", "pointercancel"]) {
    group.addEventListener(over, (event) => {
      if (!grip || event.pointerId !== grip.id) return;
      const { moved } = grip;
      grip = null;
      group.classList.remove("held");
      if (moved) how.told(how.where(), { held: false });
    });
  }
  function settle() {
    if (!timer) return;
    clearTimeout(timer);
    timer = 0;
    how.told(how.where(), { held: false });
  }
  group.addEventListener("keydown", (event) => {
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const way = ways[event.key];
    if (!way || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const step = event.shiftKey ? LONG_STEP : event.altKey ? FINE_STEP : KEY_STEP;
    const before = how.where();
    const where = inside(before.map((each, i) => tidy(each + way[i] * step)));
    clearTimeout(timer);
    timer = setTimeout(settle, SETTLED);
    how.told(where, { held: true, time: event.timeStamp });
  });
  group.addEventListener("blur", settle);
}
