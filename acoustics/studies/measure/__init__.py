"""From recordings to drivers' curves that can be trusted, and how far."""

from acoustics.studies.measure.study import measure_study

__all__ = ["measure_study"]
