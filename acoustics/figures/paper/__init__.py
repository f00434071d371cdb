"""Sheets of paper drawn on directly, and their PDF: lines, circles, words and pictures."""

from acoustics.figures.paper.pdf import save_sheets_pdf
from acoustics.figures.paper.sheet import Sheet

__all__ = ["Sheet", "save_sheets_pdf"]
