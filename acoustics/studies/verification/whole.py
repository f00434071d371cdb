"""Whether what was read as a verification holds all that one tells, each of the kind that it is."""

from __future__ import annotations

import math

import xarray as xr

from acoustics.conventions import Variable
from acoustics.studies.verification.aims.aim_measured import AIMS_MEASURED
from acoustics.studies.verification.crossings.words import CROSSOVER_FOUND
from acoustics.studies.verification.diagnosis.dataset import DIAGNOSIS
from acoustics.studies.verification.enclosures.impedance_found import TUNING
from acoustics.studies.verification.enclosures.wrinkles_dataset import WRINKLES
from acoustics.studies.verification.healthy.aligned_dataset import ALIGNED
from acoustics.studies.verification.healthy.bands import BANDED
from acoustics.studies.verification.study import NOTES

CALLED = {"figure": "tuning_figure"}
"""Dimensions that bear another name beside the other answers."""

TABLE: dict[str, Variable] = {
    **DIAGNOSIS,
    **ALIGNED,
    **BANDED,
    **AIMS_MEASURED,
    **CROSSOVER_FOUND,
    **WRINKLES,
    **NOTES,
    **{
        f"tuning_{name}": row._replace(dims=tuple(CALLED.get(dim, dim) for dim in row.dims))
        for name, row in TUNING.items()
    },
}

WORDS = frozenset(
    {"cause_words", "cause_remedy", "cause_kind", "cause_unit", "strayed", "told_reading",
     "told_unit", "shown_explanation", "shown_words", "aligned", "aligned_unit", "aligned_words",
     "banded_reading", "banded_unit", "banded_verdict", "banded_words", "aim_measured_name",
     "aim_measured_where", "aim_measured_unit", "aim_measured_state", "aim_measured_words",
     "aim_measured_tell", "crossover_found", "crossover_told_from", "crossover_readings",
     "crossover_verdict", "crossover_words", "crossover_tell", "tuning_figure",
     "tuning_figure_unit", "tuning_within", "tuning_untold", "tuning_enclosure", "tuning_reading",
     "tuning_kind", "tuning_drivers", "tuning_reason", "tuning_words", "wrinkle_reading",
     "wrinkle_words", "note"}
)  # fmt: skip
"""Variables that are text; the others are numbers."""

SAID, COUNTED = ("verdict", "case_digest", "next_measurement"), ("sure", "healthy", "unknown")
"""Attributes that are text, and that are numbers."""

UNITS = {"Pa", "ohm"}
"""of readings"""


def is_whole(found: xr.Dataset) -> bool:
    """Whether a Dataset holds what `verify_design` answers, as far as its layout tells."""
    said = all(isinstance(found.attrs.get(name), str) for name in SAID)
    counted = all(_is_finite(found.attrs.get(name)) for name in COUNTED)
    return (
        said
        and counted
        and all(_is_like(found, name, row) for name, row in TABLE.items())
        and set(found.told_unit.values.tolist()) <= UNITS
    )


def _is_like(found: xr.Dataset, name: str, row: Variable) -> bool:
    if name not in found.variables or found[name].dims != row.dims:
        return False
    kinds = "U" if name in WORDS else "biufc"
    return found[name].dtype.kind in kinds


def _is_finite(value: object) -> bool:
    try:
        return math.isfinite(float(value))  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return False
