"""The placement map: what a driver does at every place of its face."""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Case
from acoustics.case.text.phrases import choice
from acoustics.conventions import COORDINATES, PLACEMENT, RoundoverError
from acoustics.crossover.crossings import leaders
from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import Progress, usable_cores
from acoustics.listening.bands import why_not_covered
from acoustics.listening.standard_curves import LISTENING_WINDOW, Direction
from acoustics.listening.symmetry import mirrored_difference
from acoustics.listening.window_ripple import both_ripples
from acoustics.prediction.labels import attributes_of, coordinates_of, labelled
from acoustics.studies.driver_map.face_places import ZONES, FacePlaces, face_places
from acoustics.studies.driver_map.flatness import best_place
from acoustics.studies.driver_map.moved import Fields, Radiation, radiations_of
from acoustics.studies.driver_map.scene import Scene, scene_of
from acoustics.studies.driver_map.with_the_others import (
    at_the_seats,
    floor_dips,
    seat_levels,
    sound_of,
)

METRICS = {
    "relative_ripple": 1,
    "common_ripple": 1,
    "side_difference": 1,
    "driver_relative_ripple": 1,
    "driver_common_ripple": 1,
    "driver_side_difference": 1,
    "seat_level": -1,
    "floor_dip": 1,
}
"""What is mapped; 1 where less is better, −1 where more is."""

BY = "relative_ripple"
"""what the best place is sought by unless told: no filter can take it away"""

CHECKED = 3
"""places, beside the present and the best, that are solved by themselves to judge the map"""

NULL = 0.1
"""of the largest pressure: levels 20 dB below it are not compared"""

ROOM = 12e6
"""bytes of a stretch of rows that is judged at once"""

SHARES = (0.5, 0.3, 0.2)
"""of the time that solving, spreading and judging take, about"""

STEPS = 1000
"""parts in which progress is told"""

PRESENT, BEST = "present", "best"


@dataclass(frozen=True)
class Yardstick:
    """By what the places are judged: `band` and `own_band` (the driver's share of it) in Hz."""

    band: tuple[float, float]
    own_band: tuple[float, float]
    smoothing: float | None


def placement_map(
    case: Case,
    driver: str,
    *,
    spacing: float | None = None,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
    window: float = 30.0,
    gap: float = 0.0,
    by: str = BY,
    progress: Progress | None = None,
) -> xr.Dataset:
    """Judge every place of a driver on its face, everything else as the case has it.

    The cabinet, the other drivers, the reference axis, the seats and, but with acoustic slopes, the
    filters stay as they are: receivers do not move with the driver. With acoustic slopes the
    driver's filter is computed anew for each place, so that it still gives on the reference axis
    what it is to give there.

    The ripple of the whole loudspeaker is what is heard, crossover and all; that of the driver
    alone and unfiltered, where it leads (below the band too), is what the face makes of it. The
    ripple common to all directions can be taken away by a filter, that relative to the axis cannot.

    Args:
        case: the design.
        driver: name of the driver that is moved.
        spacing: of the places, m; see `lattice.face_places`.
        band: lowest and highest frequency by which places are judged, Hz.
        smoothing: denominator of the fraction of an octave over which power is averaged first.
        window: degrees to either side that are listened to, in steps of 10; with 30 it is the
            listening window of ANSI/CTA-2034-A. Up and down it is 10.
        gap: m that the frame keeps from other frames and from the edges, at least.
        by: which of `METRICS` the best place is best by.
        progress: called from time to time with (parts done, all parts).

    Returns:
        Dataset with the metrics of `conventions.PLACEMENT` over `up` and `right` (m from the
        face's centre), NaN where the piston does not fit; `zone`, 0 where the driver may be; and
        for each metric a twin over `spot`, the present and the best place, of which each is solved
        by itself, as are some more to judge the map: the attribute `deviation` (dB) is how far
        levels of the map were off there. Attributes `best_…` say how flat the map is round the
        best place, see `flatness.best_place`.

    Raises:
        RoundoverError: no such driver or metric, no place for it, a spacing or a band that makes
            no map, or what the solver refuses.

    Example:
        >>> case = ac.read_case("cases/compact-centred")  # doctest: +SKIP
        >>> placement_map(case, "tweeter").relative_ripple  # doctest: +SKIP
    """
    directions = window_directions(window)
    if by not in METRICS:
        raise RoundoverError(f"'{by}' is no metric of a map; {choice(METRICS, by)}")
    if not band[0] < band[1]:
        raise RoundoverError(
            f"a band from {band[0]:g} to {band[1]:g} Hz is none; give the lower frequency first"
        )
    frequency = case.frequencies.values()
    if reason := why_not_covered(frequency, band, smoothing):
        raise RoundoverError(f"places cannot be judged: {reason}; change the band or [frequencies]")
    if by == "floor_dip" and case.floor is None:
        raise RoundoverError("the case has no reflecting floor; choose another metric")
    lattice = face_places(case, driver, spacing, gap)
    told = _stages(progress)
    scene = scene_of(case, (lattice.driver,), directions)
    yardstick = Yardstick(band, own_band(scene, band), smoothing)
    (radiation,) = radiations_of(scene, (lattice.driver,), told[0])
    spread = radiation.spread(lattice, told[1])
    metrics = _over_the_map(scene, lattice, spread, yardstick, told[2])
    best = best_place(lattice, _one_figure(metrics[by]), METRICS[by])
    spots, deviation = _alone(scene, lattice, radiation, spread, yardstick, best.index)
    found = _labelled(scene, lattice, metrics, spots, best.index)
    return found.assign_attrs(
        moved=driver,
        by=by,
        gap=gap,
        window=window,
        band=np.array(yardstick.band),
        own_band=np.array(yardstick.own_band),
        smoothing=0.0 if smoothing is None else smoothing,
        ear_height=scene.heard.ear_height,
        filters="for every place" if scene.taken[0].branch.slopes == "acoustic" else "as they are",
        deviation=deviation,
        **best.attributes(),
    )


def window_directions(width: float) -> tuple[Direction, ...]:
    """Directions of a listening window so many degrees wide to either side, the axis first.

    Raises:
        RoundoverError: a width that is no multiple of 10 from 10 to 90 degrees.
    """
    steps = width / 10.0
    if not (math.isfinite(width) and 1 <= steps <= 9 and steps == round(steps)):
        raise RoundoverError(
            f"a window {width:g} degrees to either side is none; take 10, 20, … or 90 (30 is the "
            "listening window of CTA-2034-A)"
        )
    sides = [
        ("horizontal", sign * 10.0 * n) for n in range(1, round(steps) + 1) for sign in (-1.0, 1.0)
    ]
    return (*LISTENING_WINDOW[:3], *sides)


def own_band(scene: Scene, band: tuple[float, float]) -> tuple[float, float]:
    """Where the moved driver leads up to a band's top (Hz); the band if it leads nowhere there."""
    leads = scene.frequency[leaders(scene.strength) == scene.taken[0].driver]
    leads = leads[leads <= band[1]]
    if leads.size == 0:
        return band
    return float(leads[0]), float(leads[-1])


def _stages(progress: Progress | None) -> list[Progress | None]:
    """Progress of solving, spreading and judging, as that of the whole."""

    def of(number: int) -> Progress | None:
        if progress is None:
            return None
        before, own = sum(SHARES[:number]), SHARES[number]
        return lambda done, total: progress(int(STEPS * (before + own * done / total)), STEPS)

    return [of(number) for number in range(len(SHARES))]


def _over_the_map(
    scene: Scene,
    lattice: FacePlaces,
    fields: Callable[[slice], Fields],
    yardstick: Yardstick,
    progress: Progress | None,
) -> dict[str, np.ndarray]:
    """Every metric at every place, (…, up, right), judged a stretch of rows at a time."""
    row = lattice.right.size * scene.heard.points.shape[0] * scene.frequency.size * 8
    size = max(1, int(ROOM / row))
    stretches = [slice(n, min(n + size, lattice.up.size)) for n in range(0, lattice.up.size, size)]

    def judge(which: slice) -> dict[str, np.ndarray]:
        across, up = np.meshgrid(lattice.right, lattice.up[which])
        return judged(scene, lattice, fields(which), (across, up), yardstick)

    found = []
    with one_blas_thread(), ThreadPoolExecutor(usable_cores()) as pool:
        for one in pool.map(judge, stretches):
            found.append(one)
            if progress is not None:
                progress(len(found), len(stretches))
    there = lattice.there
    return {
        name: np.where(there, np.concatenate([one[name] for one in found], axis=-2), np.nan)
        for name in found[0]
    }


def judged(
    scene: Scene,
    lattice: FacePlaces,
    fields: Fields,
    places: tuple[np.ndarray, np.ndarray],
    yardstick: Yardstick,
) -> dict[str, np.ndarray]:
    """Every metric of some places.

    Args:
        scene: what does not move.
        lattice: for the coordinates of the face.
        fields: of the moved driver, Pa per m³/s, (…, point, frequency).
        places: of its centre, to the right and up, m, shape (…).
        yardstick: by what they are judged.

    Returns:
        dB, shape (…), those at the seats (speaker, seat, …).
    """
    field, over_floor = fields
    shape, frequency = places[0].shape, scene.frequency
    field = field.reshape(-1, *field.shape[-2:]).astype(complex)
    if over_floor is not None:
        over_floor = over_floor.reshape(-1, *over_floor.shape[-2:])
    centres = lattice.frame.points(*(place.ravel() for place in places))
    sound = sound_of(scene, [field], [centres])
    found = {}
    alone = sound.fields[0] * scene.taken[0].source
    for name, pressure, band in (
        ("", sound.window, yardstick.band),
        ("driver_", alone, yardstick.own_band),
    ):
        power = xr.DataArray(np.abs(pressure) ** 2, dims=("place", "direction", "frequency"))
        common, _, each = both_ripples(power, frequency, band, yardstick.smoothing)
        sides = mirrored_difference(power, scene.directions, frequency, band, yardstick.smoothing)
        found[f"{name}common_ripple"] = common.values
        found[f"{name}relative_ripple"] = each.max("direction").values
        found[f"{name}side_difference"] = sides.values
    paths = at_the_seats(scene, sound, [(field, over_floor)], [centres])
    found["seat_level"] = seat_levels(scene, paths, yardstick.band)
    if scene.case.floor is not None:
        found["floor_dip"] = floor_dips(scene, paths)
    return {
        name: np.moveaxis(values, 0, -1).reshape(*values.shape[1:], *shape)
        for name, values in found.items()
    }


def _one_figure(metric: np.ndarray) -> np.ndarray:
    """A metric over (up, right): at the seats that of the first cabinet at the main seat."""
    return metric[(0,) * (metric.ndim - 2)]


def _alone(
    scene: Scene,
    lattice: FacePlaces,
    radiation: Radiation,
    fields: Callable[[slice], Fields],
    yardstick: Yardstick,
    best: tuple[int, int],
) -> tuple[dict[str, np.ndarray], float]:
    """Metrics of the present and the best place solved by themselves; how far the map was off."""
    allowed = np.argwhere(lattice.allowed)
    few = allowed[:: max(1, len(allowed) // CHECKED)][:CHECKED]
    rows = np.array([best, *map(tuple, few)])
    present = scene.case.drivers[scene.taken[0].driver].position
    right = np.append(present[0], lattice.right[rows[:, 1]])
    up = np.append(present[1], lattice.up[rows[:, 0]])
    exact = radiation.exactly(lattice, right, up)
    two = (exact[0][:2], None if exact[1] is None else exact[1][:2])
    spots = judged(scene, lattice, two, (right[:2], up[:2]), yardstick)
    mapped = np.stack([fields(slice(j, j + 1))[0][0, i] for j, i in rows])
    size = np.abs(exact[0][1:])
    counts = size > NULL * size.max(axis=1, keepdims=True)
    apart = np.abs(20 * np.log10(np.abs(mapped) / size))
    return spots, float(np.where(counts, apart, 0.0).max())


def _labelled(
    scene: Scene,
    lattice: FacePlaces,
    metrics: dict[str, np.ndarray],
    spots: dict[str, np.ndarray],
    best: tuple[int, int],
) -> xr.Dataset:
    """Names, units and meanings; and the body and drivers, so that the map explains itself."""
    case, layout = scene.case, scene.layout
    given = coordinates_of(case, layout, scene.heard.receivers, scene.frequency)
    kept = ("speaker", "seat", "axis", "trusted_to")
    body = ("face", "face_centre", "face_normal", "body_corner")
    coordinates: dict[str, Any] = {
        name: value
        for name, value in given.items()
        if name in (*kept, *body) or name.startswith("driver") or name.endswith("_diameter")
    }
    present = case.drivers[scene.taken[0].driver].position
    coordinates |= {
        "right": lattice.right,
        "up": lattice.up,
        "spot": np.array([PRESENT, BEST]),
        "spot_right": np.array([present[0], lattice.right[best[1]]]),
        "spot_up": np.array([present[1], lattice.up[best[0]]]),
        "face_corner_right": lattice.corners[:, 0],
        "face_corner_up": lattice.corners[:, 1],
    }
    table = PLACEMENT | COORDINATES
    arrays: dict[str, Any] = {"zone": lattice.zone.astype(np.int8)}
    for name, values in metrics.items():
        meaning = PLACEMENT[name]
        table[f"spot_{name}"] = meaning._replace(dims=(*meaning.dims[:-2], "spot"))
        arrays[name] = values
        arrays[f"spot_{name}"] = spots[name]
    attributes = attributes_of(case, layout, scene.heard.receivers, scene.frequency, scene.strength)
    dataset = labelled(arrays, coordinates, attributes, table)
    dataset.zone.attrs |= {
        "flag_values": np.arange(len(ZONES), dtype=np.int8),
        "flag_meanings": " ".join(ZONES),
    }
    return dataset
