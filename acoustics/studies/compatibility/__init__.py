"""Whether drivers go together in a cabinet: one theme per file, every finding a `Line`."""

from acoustics.studies.compatibility.check import compatibility
from acoustics.studies.compatibility.line import CHECKS, OF_GROUPS, OF_PAIRS, Line, Verdict

__all__ = ["CHECKS", "OF_GROUPS", "OF_PAIRS", "Line", "Verdict", "compatibility"]
