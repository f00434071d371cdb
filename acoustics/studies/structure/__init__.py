"""What a cabinet does besides what its drivers do, and what to change before the saw.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from acoustics.studies.structure.dataset import structure_dataset
    from acoustics.studies.structure.found import StructureFound
    from acoustics.studies.structure.study import structure_study
    from acoustics.studies.structure.usual import usual_structure

_HOMES = {
    "StructureFound": "acoustics.studies.structure.found",
    "structure_dataset": "acoustics.studies.structure.dataset",
    "structure_study": "acoustics.studies.structure.study",
    "usual_structure": "acoustics.studies.structure.usual",
}

__all__ = [
    "StructureFound",
    "structure_dataset",
    "structure_study",
    "usual_structure",
]


def __getattr__(name: str) -> Any:
    """Load a name from the file where it lives (PEP 562)."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
