"""The papers of a design: one page for the browser, the same on paper, and what goes with it."""

from acoustics.report.html.verified import verification_section

__all__ = ["verification_section"]
