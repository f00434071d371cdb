// The connection: numbers questions, hands on answers, comes back after it was lost.

import { decoded } from "./frames.js";

const FIRST_WAIT = 400; // ms
const LONGEST_WAIT = 5000;

export function connected(heard) {
  let socket;
  let wait = FIRST_WAIT;
  let serial = 0;

  function open() {
    const address = new URL("live", document.baseURI);
    address.protocol = address.protocol === "https:" ? "wss:" : "ws:";
    address.search = window.location.search;
    socket = new WebSocket(address);
    socket.binaryType = "arraybuffer";
    socket.addEventListener("open", () => {
      wait = FIRST_WAIT;
      heard({ say: "connected" });
    });
    socket.addEventListener("message", ({ data }) => {
      heard(typeof data === "string" ? JSON.parse(data) : decoded(data));
    });
    socket.addEventListener("close", () => {
      heard({ say: "lost" });
      setTimeout(open, wait);
      wait = Math.min(wait * 1.6, LONGEST_WAIT);
    });
  }
  open();

  return {
    // The serial that the answer will have; 0 if nobody listens.
    ask(what, more = {}) {
      if (socket.readyState !== WebSocket.OPEN) return 0;
      serial += 1;
      socket.send(JSON.stringify({ ask: what, serial, ...more }));
      return serial;
    },
  };
}
