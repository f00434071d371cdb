"""What a cabinet does besides what its drivers do, and what to change before the saw."""

from acoustics.studies.structure.dataset import structure_dataset
from acoustics.studies.structure.found import StructureFound
from acoustics.studies.structure.study import structure_study
from acoustics.studies.structure.usual import usual_structure

__all__ = ["StructureFound", "structure_dataset", "structure_study", "usual_structure"]
