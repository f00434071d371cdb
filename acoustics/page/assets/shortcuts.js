// The keys for one step back and forth, wherever the focus is.

export function shortcuts(table, blocked) {
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || blocked()) return;
    if (event.target.matches('input[type="text"]')) return; // what is typed has its own way back
    const key = event.key.toLowerCase();
    const act = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : null;
    if (!act) return;
    event.preventDefault();
    table[act]();
  });
}
