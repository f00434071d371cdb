"""What is heard of a draft, predicted: the curves to which the quicker ones settle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import DIRECT, PLANES
from acoustics.listening.distances import distances
from acoustics.listening.levels import level
from acoustics.listening.listeners import heard
from acoustics.listening.standard_curves import (
    LISTENING_WINDOW,
    Direction,
    responses,
    window_pressure,
    window_responses,
)
from acoustics.prediction import predict
from acoustics.prediction.receivers import Receivers, arc_points, at_heights, receivers_of
from acoustics.studies.live.curves import DraftCurves
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.drafts import drafted
from acoustics.studies.live.figures import DraftSound, draft_figures, handed_over
from acoustics.studies.live.grid import AXIS_ANGLES, page_frequencies, page_heights
from acoustics.studies.live.looks import looks_at, nearest
from acoustics.studies.live.stopping import Stop, never, stopping

FLOOR = "floor"


def exact_curves(case: Case, draft: Draft, stop: Stop = never) -> DraftCurves:
    """Predict a draft where and as finely as the page draws it.

    Args:
        case: read from a file.
        draft: of it.
        stop: asked now and then whether nobody waits any more.

    Raises:
        Stopped: `stop` was true.
        CaseError, GeometryError, RoundoverError: a draft that cannot be heard.
    """
    one = heard_case(case, draft)
    progress = stopping(stop)
    progress(0, 1)
    receivers = page_receivers(one, page_heights(case))
    return curves_of(predict(one, receivers=receivers, progress=progress))


def heard_case(case: Case, draft: Draft) -> Case:
    """A draft at the frequencies of the page, with the main seat and its ears alone."""
    found = drafted(case, draft)
    seat = replace(found.seat, places=found.seat.places[:1], ear_heights=(draft.ear_height,))
    return replace(found, frequencies=page_frequencies(case), seat=seat)


def page_receivers(case: Case, heights: np.ndarray) -> Receivers:
    """Where curves and figures are told from: NaN elsewhere, so that nothing is solved there.

    Args:
        case: as `heard_case` has it.
        heights: m above the floor.
    """
    level_angles = {angle for plane, angle in LISTENING_WINDOW if plane == "horizontal"}
    upright = [angle for plane, angle in LISTENING_WINDOW if plane == "vertical"]
    angles = np.array(sorted({0.0, *level_angles, *upright, *AXIS_ANGLES}))
    arcs = arc_points(case, angles)
    arcs[PLANES.index("vertical"), ~np.isin(angles, upright)] = np.nan
    found = at_heights(case, receivers_of(case), tuple(heights), None)
    height = found.height.copy()
    height[1:] = np.nan  # of a pair the first cabinet counts
    return replace(found, angles=angles, arcs=arcs, height=height)


def curves_of(prediction: xr.Dataset) -> DraftCurves:
    """The page's curves of a prediction, whose arcs must have its angles.

    At the main seat, the first cabinet counts, at the ear height nearest the reference axis.
    """
    aside: tuple[Direction, ...] = tuple(("horizontal", angle) for angle in AXIS_ANGLES)
    axis = LISTENING_WINDOW[:1]
    view, sound = _at_the_ears(prediction), sound_of(prediction)
    looks = looks_at(sound.crossovers)
    over = level(view.height_total).transpose("frequency", "height").values
    return DraftCurves(
        state="exact",
        missing="",
        frequency=prediction.frequency.values,
        axis=level(responses(prediction, axis)).values[0],
        each=level(responses(prediction, axis, "arc_pressure")).values[0],
        window=level(window_pressure(prediction)).values,
        seat=level(view.seat_total).transpose("surroundings", "frequency").values,
        angles=np.array(AXIS_ANGLES),
        aside=level(responses(prediction, aside)).values,
        heights=view.height.values,
        crossovers=sound.crossovers,
        looks=looks,
        lobes=over[nearest(sound.frequency, looks)],
        figures=draft_figures(sound),
    )


def sound_of(prediction: xr.Dataset) -> DraftSound:
    """What figures are told from, of a prediction."""
    view = _at_the_ears(prediction)
    paths = [str(path) for path in view.path.values]
    ways = distances(view, "seat").sel(path=[DIRECT, FLOOR]) if FLOOR in paths else None
    by_path = view.seat_pressure.sum("driver").transpose("path", "frequency")
    drive = (view["filter"] * view.source).transpose("driver", "frequency")
    frequency = view.frequency.values
    strength = view.strength.transpose("driver", "frequency").values
    return DraftSound(
        frequency=frequency,
        speed_of_sound=view.attrs["speed_of_sound"],
        window=window_responses(prediction).values,
        seat=by_path.values,
        floor=None if ways is None else paths.index(FLOOR),
        ways=(np.nan, np.nan) if ways is None else (float(ways[0]), float(ways[1])),
        ear_height=float(view.ear_height),
        heights=view.height.values,
        lobes=view.height_total.transpose("height", "frequency").values,
        lobe_ways=distances(view, "height").values,
        strength=strength,
        drive=drive.values,
        crossovers=handed_over(frequency, strength),
    )


def _at_the_ears(prediction: xr.Dataset) -> xr.Dataset:
    """What the first cabinet is heard as at the main seat, at one ear height."""
    height = prediction.attrs["aside_ear_height"]
    return heard(prediction).sel(ear_height=height, method="nearest")
