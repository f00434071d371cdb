// One question at a time while a hand moves: the next, with what is set by then, goes out as soon
// as the answer is there, and before that is drawn. More would only wait and be out of date.

export function paced(ask) {
  let wanted = null; // what waits for the answer
  let open = 0; // serial of the question that is not answered

  function send() {
    const next = wanted;
    wanted = null;
    open = ask(next);
  }
  return {
    put(next) {
      wanted = next;
      if (!open || !next.held) send();
    },
    answered(serial) {
      if (serial < open) return;
      open = 0;
      if (wanted) send();
    },
  };
}
