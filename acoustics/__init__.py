"""roundover: what a loudspeaker layout does off axis, at the seat and off the floor.

The front door. Names are loaded when first used, so that importing the package stays cheap.

Example:
    >>> import acoustics as ac
    >>> case = ac.read_case("cases/compact-centred/case.toml")
    >>> prediction = ac.predict(case)
    >>> ac.save(prediction, "prediction.nc")
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.conventions import Air, CaseError, GeometryError, RoundoverError
from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.cabinet import (
        Body,
        EdgeCut,
        Piston,
        Round,
        body_from_corners,
        chamfered,
        plate,
        rounded,
    )
    from acoustics.case import Case, read_case
    from acoustics.field import face_field, radiation_impedance, solve_field
    from acoustics.listening import dips, heard, listeners, standard_curves
    from acoustics.prediction import predict
    from acoustics.report.summary import summary
    from acoustics.storage import open_prediction, save
    from acoustics.studies import box_study, placement_map, sweep
    from acoustics.studies.comparison.compare import compare
    from acoustics.studies.compatibility import compatibility
    from acoustics.studies.crossover_fit import fit_crossover
    from acoustics.studies.layout_search import search_layout
    from acoustics.studies.measure import measure_study
    from acoustics.studies.structure import structure_study
    from acoustics.studies.tolerance import tolerance_study
    from acoustics.studies.verification.readings.read import read_readings
    from acoustics.studies.verification.study import verify_design

__all__ = [
    "Air",
    "Body",
    "Case",
    "CaseError",
    "EdgeCut",
    "GeometryError",
    "Piston",
    "Round",
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

__getattr__ = on_first_use(
    __name__,
    {
        "cabinet": (
            "Body",
            "EdgeCut",
            "Piston",
            "Round",
            "body_from_corners",
            "chamfered",
            "plate",
            "rounded",
        ),
        "case": ("Case", "read_case"),
        "field": ("face_field", "radiation_impedance", "solve_field"),
        "listening": ("dips", "heard", "listeners", "standard_curves"),
        "prediction": ("predict",),
        "report.summary": ("summary",),
        "storage": ("open_prediction", "save"),
        "studies": ("box_study", "placement_map", "sweep"),
        "studies.comparison.compare": ("compare",),
        "studies.compatibility": ("compatibility",),
        "studies.crossover_fit": ("fit_crossover",),
        "studies.layout_search": ("search_layout",),
        "studies.measure": ("measure_study",),
        "studies.structure": ("structure_study",),
        "studies.tolerance": ("tolerance_study",),
        "studies.verification.readings.read": ("read_readings",),
        "studies.verification.study": ("verify_design",),
    },
)
