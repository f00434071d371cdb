"""The answer of a sweep: one Dataset with the swept keys as dimensions."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Case
from acoustics.case.design.sweep_model import SweptKey
from acoustics.conventions import STANDARD_NAMES
from acoustics.listening.aims import MEASURES
from acoustics.prediction.labels import origin_of
from acoustics.studies.sweeps.figures import FIGURES
from acoustics.studies.sweeps.space import SAMPLE, UNITS, Space
from acoustics.studies.sweeps.work import Done

MISSED, MET = 0.0, 1.0
"""values of `aim_met`; NaN where that is not known"""


class Answers:
    """Numbers, reasons and fields of all points, filled block by block."""

    def __init__(self, points: int, figures: int, shapes: dict[str, tuple[int, ...]]) -> None:
        self.done = np.zeros(points, dtype=bool)
        self.figures = np.full((points, figures), np.nan)
        self.reasons = np.full(points, "", dtype=object)
        nothing = complex(np.nan, np.nan)
        self.fields = {name: np.full((points, *shape), nothing) for name, shape in shapes.items()}

    def take(self, done: Done) -> None:
        """Put a block's answer in its place."""
        numbers = np.array(done.numbers, dtype=int)
        self.done[numbers] = True
        self.figures[numbers] = done.figures
        self.reasons[numbers] = np.array(done.reasons, dtype=object)
        sound = numbers[[not reason for reason in done.reasons]]
        for name, values in done.fields.items():
            self.fields[name][sound] = values

    def fits(self, done: Done) -> bool:
        """Whether a block's answer has the shape of this one."""
        return (
            max(done.numbers, default=0) < self.done.size
            and done.figures.shape[1:] == self.figures.shape[1:]
            and all(
                values.shape[1:] == self.fields[name].shape[1:] if name in self.fields else False
                for name, values in done.fields.items()
            )
        )


def sweep_dataset(
    case: Case, space: Space, answers: Answers, digest: str, template: xr.Dataset
) -> xr.Dataset:
    """Label the answer.

    Args:
        case: with its sweep.
        space: its points.
        answers: of all of them.
        digest: of the sweep.
        template: a prediction of one point, which says what the fields are given over.
    """
    dims, shape = space.dims, space.shape
    grid = answers.figures.reshape(*shape, -1)
    variables: dict[str, Any] = {
        name: (dims, grid[..., i], figure._asdict())
        for i, (name, figure) in enumerate(FIGURES.items())
    }
    variables["reason"] = (
        dims,
        answers.reasons.reshape(shape).astype(str),
        {"long_name": "why a point is missing; empty where it is not"},
    )
    aims, first = len(case.aims), len(FIGURES)
    coords = _coordinates(space)
    if aims:
        variables |= _aims(case, (*dims, "aim"), grid[..., first:])
        coords["aim"] = ("aim", distinct([aim.name for aim in case.aims]), {"long_name": "aim"})
        units = np.array([MEASURES[aim.measure][1] for aim in case.aims])
        coords["aim_units"] = ("aim", units, {"long_name": "unit of an aim's measure"})
    for name, values in answers.fields.items():
        given = template[name]
        variables[name] = ((*dims, *given.dims), values.reshape(*shape, *values.shape[1:]))
        variables[name] += (given.attrs,)
        for dim in given.dims:
            coords[str(dim)] = (dim, template[dim].values, template[dim].attrs)
    return xr.Dataset(variables, coords, _attributes(case, digest))


def _coordinates(space: Space) -> dict[str, Any]:
    """The swept keys, each in its own unit; those drawn together along `sample`."""
    coords: dict[str, Any] = {
        key.name: (key.name, np.array(key.values), _meaning(key)) for key in space.over
    }
    if space.drawn_keys:
        index = np.arange(space.drawn.shape[1], dtype=np.int32)
        coords[SAMPLE] = (SAMPLE, index, {"units": "1", "long_name": "point of the sample"})
    for key, values in zip(space.drawn_keys, space.drawn, strict=True):
        coords[key.name] = (SAMPLE, values, _meaning(key))
    return coords


def _meaning(key: SweptKey) -> dict[str, str]:
    units = UNITS.get(key.unit, key.unit)
    words = {"units": units, "long_name": ", ".join(key.keys)}
    if units in STANDARD_NAMES:
        words["standard_name"] = STANDARD_NAMES[units]
    return words


def _aims(case: Case, dims: tuple[str, ...], values: np.ndarray) -> dict[str, Any]:
    count = len(case.aims)
    meaning = {"units": "1", "flag_values": np.array([MISSED, MET]), "flag_meanings": "missed met"}
    return {
        "aim_value": (
            dims,
            values[..., :count],
            {"long_name": "what an aim's measure came to, in aim_units"},
        ),
        "aim_met": (
            dims,
            values[..., count : 2 * count],
            {"long_name": "whether an aim is met; missing where that is not known", **meaning},
        ),
    }


def distinct(names: list[str]) -> np.ndarray:
    """Names, those that occur again with their number."""
    if len(set(names)) == len(names):
        return np.array(names)
    return np.array([f"{i}: {name}" for i, name in enumerate(names, start=1)])


def _attributes(case: Case, digest: str) -> dict[str, Any]:
    return {
        **origin_of(case),
        "accuracy": case.accuracy,
        "band": np.array(BAND),
        "smoothing": SMOOTHING,
        "sweep_digest": digest,
    }
