"""The files that a case names: drivers, curves, impedances, taps."""
