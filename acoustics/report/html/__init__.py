"""The papers of a design: one page for the browser, the same on paper, and what goes with it."""
