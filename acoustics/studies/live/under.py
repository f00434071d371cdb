"""The map beneath a draft: what it would be with one driver elsewhere on its face."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.studies.driver_map.face_places import ALLOWED
from acoustics.studies.driver_map.study import placement_map
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.drafts import drafted
from acoustics.studies.live.grid import page_frequencies
from acoustics.studies.live.stopping import Stop, stopping


@dataclass(frozen=True)
class MapUnder:
    """One metric of a placement map.

    right (n,), up (m,): places from the middle of the face, m. values (m, n): dB, NaN where the
    driver's frame does not fit. best: (right, up) of the best of these places, m.
    """

    right: np.ndarray
    up: np.ndarray
    values: np.ndarray
    best: tuple[float, float]


def map_under(
    case: Case,
    draft: Draft,
    driver: str,
    by: str,
    stop: Stop,
    told: Callable[[float], None],
) -> MapUnder:
    """The placement map of one driver, every 5 mm, everything else as a draft has it.

    Where places are not told apart by a figure, as by the floor's dip without a floor, it raises
    what `placement_map` raises. Receivers stay where the draft has them, as in any placement map.

    Args:
        case: read from a file.
        draft: of it; the driver may sit where it cannot stay.
        driver: its name.
        by: one of `driver_map.study.METRICS`.
        stop: asked now and then whether nobody waits any more.
        told: called from time to time with the share done.

    Raises:
        Stopped: `stop` was true.
        RoundoverError: no such driver or metric, no place for it, or a draft that cannot be heard.
    """
    progress = stopping(stop, told)
    progress(0, 1)
    one = replace(drafted(case, draft), frequencies=page_frequencies(case))
    found = placement_map(one, driver, by=by, progress=progress)
    metric = found[by]
    # At the seats the first cabinet at the main seat counts.
    one_seat = metric.isel({name: 0 for name in metric.dims if name not in ("up", "right")})
    values = one_seat.transpose("up", "right").values
    zone = found.zone.transpose("up", "right").values
    best = found.sel(spot="best")
    return MapUnder(
        right=found.right.values,
        up=found.up.values,
        values=np.where(zone == ALLOWED, values, np.nan),
        best=(float(best.spot_right), float(best.spot_up)),
    )
