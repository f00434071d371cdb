"""The papers of a design: one page for the browser, the same on paper, and what goes with it."""

from acoustics.report.html.papers import write_report, write_workshop_papers
from acoustics.report.html.verified import verification_section

__all__ = ["verification_section", "write_report", "write_workshop_papers"]
