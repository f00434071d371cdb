// A curve as the data of a path, with a corner only where it bends: each costs time to draw.

const STRAIGHT = 0.2; // px by which a curve may be off between its corners

const tenth = (value) => Math.round(value * 10) / 10;

// xs ascending, px; where ys is not a number the curve is interrupted.
export function bent(xs, ys) {
  let d = "";
  let from = -1; // the corner from which a straight line goes on, as long as it may
  let least = -Infinity; // slopes that pass all points since then
  let most = Infinity;

  const corner = (i, pen) => {
    d += `${pen}${tenth(xs[i])} ${tenth(ys[i])}`;
    from = i;
    least = -Infinity;
    most = Infinity;
  };
  const narrow = (i) => {
    const way = xs[i] - xs[from];
    least = Math.max(least, (ys[i] - STRAIGHT - ys[from]) / way);
    most = Math.min(most, (ys[i] + STRAIGHT - ys[from]) / way);
  };
  for (let i = 0; i < ys.length; i += 1) {
    if (Number.isNaN(ys[i])) {
      if (from >= 0 && from < i - 1) corner(i - 1, "L");
      from = -1;
    } else if (from < 0) corner(i, "M");
    else {
      const slope = (ys[i] - ys[from]) / (xs[i] - xs[from]);
      if (slope < least || slope > most) corner(i - 1, "L");
      narrow(i);
    }
  }
  if (from >= 0 && from < ys.length - 1) corner(ys.length - 1, "L");
  return d;
}
