"""The finished loudspeaker held against its design, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import Variable
from acoustics.prediction.fields import Solve
from acoustics.prediction.labels import labelled, origin_of
from acoustics.prediction.predict import predict
from acoustics.studies.verification.aims.aim_measured import aims_dataset
from acoustics.studies.verification.aims.aims_measured import aims_measured
from acoustics.studies.verification.bench.bench import bench_of, imagined
from acoustics.studies.verification.crossings.found import crossovers_found
from acoustics.studies.verification.crossings.words import crossover_dataset
from acoustics.studies.verification.diagnosis.candidates import candidate_places, candidates
from acoustics.studies.verification.diagnosis.dataset import diagnosis_dataset
from acoustics.studies.verification.diagnosis.diagnosis import Diagnosis, diagnose
from acoustics.studies.verification.enclosures.impedance_found import (
    enclosures_found,
    load_of,
    tuning_dataset,
)
from acoustics.studies.verification.enclosures.without_wrinkles import without_wrinkles
from acoustics.studies.verification.enclosures.wrinkles_dataset import wrinkles_dataset
from acoustics.studies.verification.enclosures.wrinkles_found import wrinkles_found
from acoustics.studies.verification.faults.all_faults import faults_of
from acoustics.studies.verification.healthy.aligned import align
from acoustics.studies.verification.healthy.aligned_dataset import aligned_dataset
from acoustics.studies.verification.healthy.bands import banded, bands_dataset
from acoustics.studies.verification.readings.readings import Readings
from acoustics.studies.verification.strays.strays import strays_of

NOTES = {"note": Variable(("note",), "1", "what had to be guessed of a reading, or left aside")}


def verify_design(
    case: Case,
    readings: Readings,
    *,
    solve: Solve | None = None,
    progress: Callable[..., Any] | None = None,
) -> xr.Dataset:
    """Tell whether a finished loudspeaker is what was designed, and if not, why.

    Args:
        case: the design.
        readings: what was measured of it, see `read_readings`.
        solve: what computes fields, with the signature of `acoustics.field.solve_field` (the
            default).
        progress: handed to `solve` for the prediction.

    Returns:
        Verdict, causes and the readings as they are told (`DIAGNOSIS`); what was set right before
        (`ALIGNED`); every reading against the band of healthy builds (`BANDED`); aims and brief as
        measured (`AIMS_MEASURED`); how drivers hand over (`CROSSOVER_FOUND`); what enclosures are
        tuned to (`TUNING`, each name after "tuning_"); narrow wrinkles of impedances (`WRINKLES`).

    Raises:
        RoundoverError: readings of what the design does not have, or with nothing to compare.

    Example:
        >>> import acoustics as ac
        >>> case = ac.read_case("case.toml")  # doctest: +SKIP
        >>> found = ac.verify_design(case, ac.read_readings(case))  # doctest: +SKIP
        >>> found.attrs["verdict"], found.cause_words  # doctest: +SKIP
    """
    bench = bench_of(case, readings, solve=solve, more_places=candidate_places(case, readings))
    prediction = predict(case, solve=solve, progress=progress)
    strays = strays_of(bench.design, readings)
    aligned = align(bench, strays)
    load = load_of(case, readings, solve)
    enclosures = enclosures_found(case, readings, load=load)
    tuning = tuning_dataset(case, enclosures)
    faults = faults_of(bench.design, readings)

    def diagnosis(of: Readings) -> Diagnosis:
        return diagnose(
            imagined(bench, of),
            faults,
            strays,
            imagine=lambda other: imagined(bench, other),
            candidates=candidates(case, readings),
        )

    found = diagnosis(readings)
    # What a fault does to an impedance is smooth only beside the same fault.
    built = found.likeliest.built(bench.design).case
    wrinkles = wrinkles_found(built, readings, enclosures, load=load)
    if wrinkles:
        found = diagnosis(without_wrinkles(readings, wrinkles))
    parts = [
        diagnosis_dataset(bench, found),
        aligned_dataset(aligned),
        bands_dataset(banded(aligned)),
        aims_dataset(aims_measured(case, prediction, bench)),
        crossover_dataset(crossovers_found(bench, prediction, aligned)),
        tuning.drop_attrs(deep=False).rename({name: _tuned(name) for name in _names(tuning)}),
        wrinkles_dataset(wrinkles),
        labelled({"note": np.array(readings.notes, dtype=str)}, {}, {}, NOTES),
    ]
    return xr.merge(parts, combine_attrs="no_conflicts", join="exact").assign_attrs(origin_of(case))


def _names(tuning: xr.Dataset) -> list[str]:
    return [str(name) for name in {**tuning.variables, **tuning.sizes}]


def _tuned(name: str) -> str:
    return name if name == "tuned" else f"tuning_{name}"
