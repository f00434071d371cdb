"""Questions that take several predictions: the only room that loops over cases."""

from acoustics.studies.box import box_study
from acoustics.studies.box_search import find_box
from acoustics.studies.compare import Comparison, compare
from acoustics.studies.compatibility import compatibility
from acoustics.studies.placement import placement_map
from acoustics.studies.sweep_run import sweep
from acoustics.studies.uncertainty import answer_uncertainty

__all__ = [
    "Comparison",
    "answer_uncertainty",
    "box_study",
    "compare",
    "compatibility",
    "find_box",
    "placement_map",
    "sweep",
]
