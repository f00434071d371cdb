// At most one question a frame, the newest; the first of a frame goes out at once.

export function paced(ask) {
  let wanted = null; // what waits for the next frame
  let framed = false; // one went out in this frame already

  function send() {
    if (!wanted) return;
    const next = wanted;
    wanted = null;
    ask(next);
    if (framed) return;
    framed = true;
    requestAnimationFrame(() => {
      framed = false;
      send();
    });
  }
  return (next) => {
    wanted = next;
    if (!framed || !next.held) send();
  };
}
