"""Which of several designs is better for what, or that nobody would hear a difference."""
