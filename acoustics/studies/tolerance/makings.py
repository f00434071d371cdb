"""What builds of a design are made from: its fields nearby, its filters, where it is heard."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Spread
from acoustics.conventions import GeometryError, RoundoverError
from acoustics.prediction.built import Build, FixedFilters, fixed_filters
from acoustics.prediction.fields import Solve
from acoustics.prediction.predict import predict
from acoustics.prediction.receivers import seat_heights
from acoustics.studies.tolerance.builds import MOVES_FIELD, built_case, factor_of
from acoustics.studies.tolerance.draws import amounts
from acoustics.studies.tolerance.nearby import Asked, Nearby, Recorder, nearby

STEP = {"normal": 1.5, "uniform": 0.8}
"""Standardised draws between which the field is expanded: most builds lie within, or little
beyond, and slopes taken this far apart leave least where many builds are."""


@dataclass(frozen=True)
class Makings:
    """What all builds of a design share.

    fixed: computed filters. heights, aside_ear: as in `Build`. solve: stands in for the field
    solver.
    """

    case: Case
    spreads: tuple[Spread, ...]
    fixed: FixedFilters | None
    nearby: Nearby
    heights: tuple[float, ...]
    aside_ear: int | None = None
    solve: Solve | None = None


def makings_of(
    case: Case,
    spreads: tuple[Spread, ...],
    solve: Solve | None,
    aside_ear: int | None = None,
    more: Callable[[int], None] = lambda _: None,
    done: Callable[[], None] = lambda: None,
) -> tuple[Makings, xr.Dataset]:
    """Solve the fields round a design.

    Args:
        case: the design.
        spreads: what strays.
        solve: what computes the field; the field solver if None.
        aside_ear: as in `Build`.
        more: told how many calls of the field solver will be solved round about.
        done: called after each.

    Returns:
        What builds are made from, and the design as one of them.

    Raises:
        RoundoverError: a spread that changes how many pistons or receivers there are, or takes a
            driver off its face.
    """
    unstrayed = np.zeros(len(spreads))
    heights = tuple(seat_heights(case).tolist())

    def calls(draws: np.ndarray) -> list[Asked]:
        recorder = Recorder()
        strayed = built_case(case, spreads, amounts(spreads, draws).tolist())
        _as_build(strayed, recorder, _no_filters(case), heights, aside_ear)
        return recorder.asked

    shifted = {}
    exact = exact_solver(solve)
    try:
        for n, spread in enumerate(spreads):
            if spread.kind in MOVES_FIELD:
                step = STEP[spread.shape] * np.eye(len(spreads))[n]
                shifted[n] = (STEP[spread.shape], calls(step), calls(-step))
        asked = calls(unstrayed)
        more(len(asked))
        near = nearby(asked, shifted, [spread.name for spread in spreads], exact, done)
    except GeometryError as error:
        raise RoundoverError(
            f"{case.path}: tolerance: places stray so far that {error}; state smaller spreads "
            "of positions"
        ) from error
    home = built_case(case, spreads, unstrayed.tolist())
    design = _as_build(home, near.solver(unstrayed, exact), None, heights, aside_ear)
    fixed = fixed_filters(case, design)
    return Makings(case, spreads, fixed, near, heights, aside_ear, solve), design


def built(makings: Makings, draws: np.ndarray, solve: Solve | None = None) -> xr.Dataset:
    """Predict one build; the arguments are those of `build_of`."""
    case, how = build_of(makings, draws, solve)
    return predict(case, **how)


def build_of(
    makings: Makings, draws: np.ndarray, solve: Solve | None = None
) -> tuple[Case, dict[str, Any]]:
    """The case of one build, and how it is predicted.

    Args:
        makings: what it is made from.
        draws: standardised, shape (spread,).
        solve: in place of the fields near the design.

    Returns:
        The case, and what `predict` takes beside it.
    """
    strayed = amounts(makings.spreads, draws).tolist()
    case = built_case(makings.case, makings.spreads, strayed)
    factor = factor_of(makings.case, makings.spreads, strayed, case.frequencies.values())
    near = solve or makings.nearby.solver(draws, exact_solver(makings.solve, 1))
    build = Build(makings.fixed, factor, makings.heights, makings.aside_ear)
    return case, {"solve": near, "build": build}


def exact_solver(solve: Solve | None, threads: int | None = None) -> Solve:
    """What solves fields exactly: the field solver with so many threads, or what stands in."""
    if solve is not None:
        return solve
    from acoustics.field import solve_field

    return partial(solve_field, threads=threads)


def _as_build(
    case: Case,
    solve: Solve,
    fixed: FixedFilters | None,
    heights: tuple[float, ...],
    aside_ear: int | None,
) -> xr.Dataset:
    """Predict a case as builds are predicted, nothing strayed."""
    ones = np.ones((len(case.drivers), case.frequencies.values().size), dtype=complex)
    return predict(case, solve=solve, build=Build(fixed, ones, heights, aside_ear))


def _no_filters(case: Case) -> FixedFilters:
    """Filters that do nothing, where only what the solver is asked counts."""
    ones = np.ones((len(case.drivers), case.frequencies.values().size), dtype=complex)
    return FixedFilters(ones, ones, None)
