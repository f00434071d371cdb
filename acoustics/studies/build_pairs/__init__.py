"""Builds of several designs, drawn together, against which their differences are held."""

from acoustics.studies.build_pairs.pairs import BuildPairs, build_pairs
from acoustics.studies.build_pairs.words import about_builds

__all__ = ["BuildPairs", "about_builds", "build_pairs"]
