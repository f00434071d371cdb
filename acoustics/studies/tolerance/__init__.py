"""How far builds of a design stray: bands of its curves, how many meet each aim, and why."""

from acoustics.studies.tolerance.run import tolerance_study

__all__ = ["tolerance_study"]
