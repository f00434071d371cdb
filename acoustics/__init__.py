"""roundover: what a loudspeaker layout does off axis, at the seat and off the floor.

The front door. Names are loaded when first used, so that importing the package stays cheap.

Example:
    >>> import acoustics as ac
    >>> case = ac.read_case("cases/compact-centred/case.toml")
    >>> prediction = ac.predict(case)
    >>> ac.save(prediction, "prediction.nc")
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from acoustics.conventions import Air, CaseError, GeometryError, RoundoverError

if TYPE_CHECKING:
    from acoustics.cabinet import Body, Piston, body_from_corners, chamfered, plate, rounded
    from acoustics.case import Case, read_case
    from acoustics.field import face_field, radiation_impedance, solve_field
    from acoustics.listening import dips, heard, listeners, standard_curves
    from acoustics.prediction import predict
    from acoustics.report.summary import summary
    from acoustics.storage import open_prediction, save
    from acoustics.studies import box_study, placement_map, sweep
    from acoustics.studies.compare import compare
    from acoustics.studies.compatibility import compatibility
    from acoustics.studies.crossover_fit import fit_crossover
    from acoustics.studies.layout_search import search_layout
    from acoustics.studies.measure import measure_study
    from acoustics.studies.structure import structure_study
    from acoustics.studies.tolerance import tolerance_study
    from acoustics.studies.verification.read import read_readings
    from acoustics.studies.verification.study import verify_design

_HOMES = {
    "Body": "acoustics.cabinet",
    "Case": "acoustics.case",
    "Piston": "acoustics.cabinet",
    "body_from_corners": "acoustics.cabinet",
    "box_study": "acoustics.studies",
    "chamfered": "acoustics.cabinet",
    "compare": "acoustics.studies.compare",
    "compatibility": "acoustics.studies.compatibility",
    "dips": "acoustics.listening",
    "fit_crossover": "acoustics.studies.crossover_fit",
    "heard": "acoustics.listening",
    "listeners": "acoustics.listening",
    "measure_study": "acoustics.studies.measure",
    "open_prediction": "acoustics.storage",
    "placement_map": "acoustics.studies",
    "plate": "acoustics.cabinet",
    "predict": "acoustics.prediction",
    "face_field": "acoustics.field",
    "radiation_impedance": "acoustics.field",
    "read_case": "acoustics.case",
    "read_readings": "acoustics.studies.verification.read",
    "rounded": "acoustics.cabinet",
    "save": "acoustics.storage",
    "search_layout": "acoustics.studies.layout_search",
    "solve_field": "acoustics.field",
    "standard_curves": "acoustics.listening",
    "structure_study": "acoustics.studies.structure",
    "summary": "acoustics.report.summary",
    "sweep": "acoustics.studies",
    "tolerance_study": "acoustics.studies.tolerance",
    "verify_design": "acoustics.studies.verification.study",
}

__all__ = [
    "Air",
    "Body",
    "Case",
    "CaseError",
    "GeometryError",
    "Piston",
    "RoundoverError",
    "body_from_corners",
    "box_study",
    "chamfered",
    "compare",
    "compatibility",
    "dips",
    "face_field",
    "fit_crossover",
    "heard",
    "listeners",
    "measure_study",
    "open_prediction",
    "placement_map",
    "plate",
    "predict",
    "radiation_impedance",
    "read_case",
    "read_readings",
    "rounded",
    "save",
    "search_layout",
    "solve_field",
    "standard_curves",
    "structure_study",
    "summary",
    "sweep",
    "tolerance_study",
    "verify_design",
]


def __getattr__(name: str) -> Any:
    """Load a public name from the room where it lives (PEP 562)."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
