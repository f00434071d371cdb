// Words and numbers beside what moves: nobody reads them faster, and each costs a layout.

const LEAST = 120; // ms between two of them

// `tell` with the newest arguments: at once if it was not called of late, else by a later call or,
// if none comes, a little later.
export function calm(tell) {
  let last = -Infinity;
  let timer = 0;

  return (...about) => {
    clearTimeout(timer);
    const now = () => {
      last = performance.now();
      tell(...about);
    };
    if (performance.now() - last >= LEAST) now();
    else timer = setTimeout(now, LEAST);
  };
}
