"""What a cabinet does besides what its drivers do, and what to change before the saw.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.studies.structure.dataset import structure_dataset
    from acoustics.studies.structure.found import StructureFound
    from acoustics.studies.structure.study import structure_study
    from acoustics.studies.structure.usual import usual_structure

__all__ = [
    "StructureFound",
    "structure_dataset",
    "structure_study",
    "usual_structure",
]

__getattr__ = on_first_use(
    __name__,
    {
        "dataset": ("structure_dataset",),
        "found": ("StructureFound",),
        "study": ("structure_study",),
        "usual": ("usual_structure",),
    },
)
