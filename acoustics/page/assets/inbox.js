// Hands on messages in their order; of several of one `kind` that are there, the newest alone.

export function inbox(hand, kind) {
  const channel = new MessageChannel();
  let waiting = [];

  // Handled behind every message that is there already.
  channel.port1.onmessage = () => {
    const all = waiting;
    waiting = [];
    const last = all.findLastIndex(({ say }) => say === kind);
    all.filter(({ say }, i) => say !== kind || i === last).forEach(hand);
  };
  return (message) => {
    if (!waiting.length) channel.port2.postMessage(null);
    waiting.push(message);
  };
}
