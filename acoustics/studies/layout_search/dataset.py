"""What a search for a layout found, as a Dataset."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Treatment
from acoustics.conventions import SCHEMA, SOLVER
from acoustics.studies.layout_search.answer import Arranged, LayoutFound

AS_IT_IS = "as the case has them"
"""the edges without a treatment"""


def layout_dataset(case: Case, found: LayoutFound) -> xr.Dataset:
    """The layouts of an answer, how freely the best may be built, and all that were judged.

    Returns:
        Over `layout` ("start", "best", then "front 1" …, the best by the aim first): figure (dB)
        over `quality`; right and up (m from the face's centre) over `driver`; corner (Hz) over
        `crossover`, delay (s) over `delayed`, where these change; treatment (name). Over `value`,
        in m, Hz or s as `unit` says: best_value, best_low and best_high, between which it may be
    until the aim is worse by `within` (dB), low_end and high_end; line_value and line_aim (dB,
        NaN where a rule is broken) over `step`, from one end of its span to the other. Over
        `ground`, all over the faces: ground_right, ground_up (m), ground_driver (index among
        `driver`), and ground_short (m), by how much a driver there breaks its own rules. Over
        `judged`: tried_value (value), tried_aim (aim, dB) and tried_treatment. Attributes: aim_by,
        against ("" for none), gain and deviation (dB), tried, seed, knee (index of the front, −1
        for none), broken (what the start breaks), band (Hz), smoothing (0 for none), window
        (degrees), gap (m).
    """
    asked = found.question
    layouts: list[Arranged] = [found.start, found.best, *found.front]
    names = ["start", "best", *(f"front {n}" for n in range(1, len(found.front) + 1))]
    moved = [each.driver for each in asked.moved]
    places = np.array([[each.positions[name] for name in moved] for each in layouts])
    qualities = list(found.start.figures)
    lines = np.array([each.line for each in found.freedom])
    ground = np.concatenate(found.lattices)
    dataset = xr.Dataset(
        {
            "figure": (
                ("layout", "quality"),
                [[each.figures[name] for name in qualities] for each in layouts],
                {"units": "dB", "long_name": "what layouts are judged by"},
            ),
            "right": (
                ("layout", "driver"),
                places[..., 0],
                {"units": "m", "long_name": "centre of the driver, to the right of its face's"},
            ),
            "up": (
                ("layout", "driver"),
                places[..., 1],
                {"units": "m", "long_name": "centre of the driver, above its face's"},
            ),
            "treatment": (
                "layout",
                [_edges(each.treatment) for each in layouts],
                {"long_name": "treatment of the edges"},
            ),
            "best_value": (
                "value",
                [each.value for each in found.freedom],
                {"long_name": "value of the best layout, in m, Hz or s"},
            ),
            "best_low": (
                "value",
                [each.low for each in found.freedom],
                {"long_name": "lowest at which the aim is as good, all else kept, in m, Hz or s"},
            ),
            "best_high": (
                "value",
                [each.high for each in found.freedom],
                {"long_name": "highest at which the aim is as good, all else kept, in m, Hz or s"},
            ),
            "line_value": (
                ("value", "step"),
                lines[..., 0],
                {"long_name": "values about the best layout's, all else kept, in m, Hz or s"},
            ),
            "line_aim": (
                ("value", "step"),
                lines[..., 1],
                {"units": "dB", "long_name": "the aim at these values"},
            ),
            "ground_right": (
                "ground",
                ground[:, 0],
                {"units": "m", "long_name": "a place on a face, to the right of its centre"},
            ),
            "ground_up": (
                "ground",
                ground[:, 1],
                {"units": "m", "long_name": "likewise above its centre"},
            ),
            "ground_short": (
                "ground",
                ground[:, 2],
                {"units": "m", "long_name": "by how much a driver there breaks its own rules"},
            ),
            "ground_driver": (
                "ground",
                np.repeat(np.arange(len(moved)), [len(each) for each in found.lattices]),
                {"long_name": "which of the drivers that is"},
            ),
            "tried_value": (
                ("judged", "value"),
                found.archive,
                {"long_name": "values of a layout that was judged, in m, Hz or s"},
            ),
            "tried_aim": (
                ("judged", "aim"),
                found.archive_aims,
                {"units": "dB", "long_name": "aims of a layout that was judged, by tables"},
            ),
            "tried_treatment": (
                "judged",
                [_edges(found.treatments[n]) for n in found.archive_treatment],
                {"long_name": "treatment of its edges"},
            ),
        },
        coords={
            "layout": names,
            "quality": qualities,
            "driver": moved,
            "value": list(found.names),
            "unit": ("value", [each.unit for each in found.freedom]),
            "low_end": ("value", [each.low_end for each in found.freedom]),
            "high_end": ("value", [each.high_end for each in found.freedom]),
            "aim": [name for name in (asked.aim, asked.against) if name is not None],
        },
        attrs={
            "title": case.title,
            "case_digest": case.digest,
            "aim_by": asked.aim,
            "against": asked.against or "",
            "gain": found.gain,
            "within": found.within,
            "deviation": found.deviation,
            "tried": found.tried,
            "seed": asked.seed,
            "knee": -1 if found.knee is None else found.knee,
            "broken": "; ".join(found.broken),
            "band": np.array(asked.band),
            "smoothing": 0.0 if asked.smoothing is None else asked.smoothing,
            "window": asked.window,
            "gap": asked.gap,
            "schema": SCHEMA,
            "solver": SOLVER,
        },
    )
    if asked.corners:
        corners = [list(each.corners) for each in layouts]
        meaning = {"units": "Hz", "long_name": "corner of a crossover, the lowest first"}
        dataset["corner"] = (("layout", "crossover"), corners, meaning)
    if asked.delays:
        delayed = [each.driver for each in asked.delays]
        delays = [[each.delays[name] for name in delayed] for each in layouts]
        meaning = {"units": "s", "long_name": "delay of a driver in the crossover"}
        dataset["delay"] = (("layout", "delayed"), delays, meaning)
        dataset = dataset.assign_coords(delayed=delayed)
    return dataset


def _edges(treatment: Treatment | None) -> str:
    return AS_IT_IS if treatment is None else treatment.name
