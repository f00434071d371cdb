"""An answer of a study of tolerances made by hand: figures that follow from draws by hand too."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Aim, Case, FrequencyGrid
from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.prediction import predict
from acoustics.studies.tolerance.dataset import tolerance_dataset
from acoustics.studies.tolerance.draws import drawn
from acoustics.studies.tolerance.record import GENERAL, curves_of, told_of
from acoustics.studies.tolerance.work import Done
from support.cases import make_case, make_driver, pass_branch

FREQUENCY = 1000.0 * 2.0 ** np.arange(-3, 4)
"""Hz: 125 to 8000"""

SPREADS = (
    Spread(
        "upper C1", "part", ("crossover.upper.parts.1.capacitor",), (1e-5,), 0.05, relative=True
    ),
    Spread("upper L1", "part", ("crossover.upper.parts.2.inductor",), (5e-4,), 0.05, relative=True),
    Spread("upper up", "position", ("drivers.upper.position.2",), (0.1,), 1e-3, unit="m"),
    Spread("temperature", "temperature", ("air.temperature",), (293.15,), 5.0, unit="K"),
)

AIM = Aim("smooth", "ripple", "listening window", (300.0, 10_000.0), 6.0, None, 1.5)
WIDE = Aim("wide", "beamwidth", "reference axis", (1000.0, 4000.0), None, 90.0, None)


def answer(
    solve: Any,
    *,
    slopes: tuple[tuple[float, ...], ...] = ((0.3, 0.4, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)),
    design: tuple[float, ...] = (1.0, 100.0),
    aims: tuple[Aim, ...] = (AIM, WIDE),
    builds: int = 100,
    names: tuple[str, str] = ("lower", "upper"),
    failed: int = 0,
    general: float = np.nan,
    usual: bool = False,
) -> tuple[Case, xr.Dataset]:
    """The case and what a study would find of it.

    The figure of aim n is `design[n]` + Σ slopes[n] · draw (standardised), and it is met by its
    limit; general figures are alike in all builds; curves move by 0.5 dB per draw of the first
    spread, the impedance by 0.5 ohm.
    """
    case, prediction = _predicted(solve, names, aims)
    spreads = tuple(
        Spread(
            one.name.replace("upper", names[1]), one.kind, one.keys, one.values, one.within,
            one.relative, one.shape, one.unit,
        )
        for one in SPREADS
    )  # fmt: skip
    tolerance = Tolerance(spreads, builds=builds, seed=5, usual=usual)
    draws = drawn(tolerance)
    told = told_of(prediction, aims)
    curves = curves_of(told, prediction)
    curves["input_impedance"] = 8.0 + 0 * FREQUENCY
    moved = 0.5 * draws[:, 0]
    own_figures = np.array(design)
    values = own_figures + draws @ np.array(slopes).T if aims else np.empty((builds, 0))
    met = (
        np.stack([_met(aim, values[:, n]) for n, aim in enumerate(aims)], axis=1)
        if aims
        else values
    )
    same = np.full((builds, len(GENERAL)), general)
    figures = np.concatenate([same, values, met], axis=1)
    reasons = tuple("it cannot be" if n < failed else "" for n in range(builds))
    figures[:failed] = np.nan
    block = Done(
        {name: each + moved.reshape(-1, *[1] * each.ndim) for name, each in curves.items()},
        figures,
        reasons,
    )
    own_met = [float(_met(aim, own_figures[n : n + 1])[0]) for n, aim in enumerate(aims)]
    own_row = np.array([[*[general] * len(GENERAL), *design[: len(aims)], *own_met]])
    home = Done({name: each[None] for name, each in curves.items()}, own_row, ("",))
    found = tolerance_dataset(case, tolerance, draws, told, prediction, home, [block], [0.02, 0.03])
    return case, found


@lru_cache
def _predicted(
    solve: Any, names: tuple[str, str], aims: tuple[Aim, ...]
) -> tuple[Case, xr.Dataset]:
    drivers = (make_driver(names[0], -0.1), make_driver(names[1], 0.1))
    grid = FrequencyGrid(lowest=125.0, highest=8000.0, per_octave=1)
    crossover = (
        pass_branch(names[0], "low-pass", 2000.0),
        pass_branch(names[1], "high-pass", 2000.0),
    )
    case = make_case(drivers, crossover=crossover, frequencies=grid, arc_step=10.0, aims=aims)
    return case, predict(case, solve=solve)


def _met(aim: Aim, values: np.ndarray) -> np.ndarray:
    low = -np.inf if aim.at_least is None else aim.at_least
    high = np.inf if aim.at_most is None else aim.at_most
    return ((values >= low) & (values <= high)).astype(float)
