"""Who hears what: each seat and cabinet of a prediction, looked at by itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.conventions import MAIN_SEAT

SAME = 1e-9
"""Relative: cabinets whose pressures at a seat differ by less sound alike."""


@dataclass(frozen=True)
class Listener:
    """A seat and the cabinet heard there; the cabinets of a pair that sound alike count as one.

    `label` says which in words and is empty where there is only one.
    """

    label: str
    speaker: str
    seat: str

    @property
    def main(self) -> bool:
        """Whether this is the seat by which a design is judged."""
        return self.seat == MAIN_SEAT


def listeners(prediction: xr.Dataset, same: float = SAME) -> tuple[Listener, ...]:
    """Everything to listen to, the main seat first.

    At a seat in the middle of a mirrored pair both cabinets sound alike, and the left one stands
    for both: what it owes to the left wall, the other owes to the right one. `same` says how
    nearly, relative to the pressure.
    """
    names = [str(name) for name in prediction.speaker.values]
    total = prediction.seat_total.transpose("speaker", "seat", ...)
    found = []
    for seat in (str(name) for name in prediction.seat.values):
        here = total.sel(seat=seat).values
        alike = bool(np.abs(here - here[:1]).max() <= same * np.abs(here).max())
        where = "main seat" if seat == MAIN_SEAT else f"seat {seat}"
        apart = names[:1] if alike else names  # a single cabinet is like itself
        for name in apart:
            words = [where] if prediction.seat.size > 1 else []
            if len(apart) > 1:
                words.append(f"{name} cabinet")
            found.append(Listener(", ".join(words), name, seat))
    return tuple(found)


def heard(prediction: xr.Dataset, listener: Listener | None = None) -> xr.Dataset:
    """What one listener hears: the prediction without the dims speaker and seat.

    Args:
        prediction: as `predict` makes it.
        listener: one of `listeners`; the first of them, at the main seat, if left out.

    Returns:
        The same variables at that seat and of that cabinet.

    Example:
        >>> prediction = ac.open_prediction("prediction.nc")  # doctest: +SKIP
        >>> ac.heard(prediction).seat_total.sel(surroundings="with reflections")  # doctest: +SKIP
    """
    one = listeners(prediction)[0] if listener is None else listener
    return prediction.sel(speaker=one.speaker, seat=one.seat, drop=True)


def by_listener(
    prediction: xr.Dataset,
    figures: Callable[[xr.Dataset], xr.Dataset],
    who: Sequence[Listener] | None = None,
) -> xr.Dataset:
    """Figures of every listener, along a new dim `listener` whose labels are theirs.

    Args:
        prediction: as `predict` makes it.
        figures: takes what one listener hears; gives variables of like shape for all of them.
        who: the listeners; all of them if left out.
    """
    ones = listeners(prediction) if who is None else who
    parts = [figures(heard(prediction, one)) for one in ones]
    names = {"long_name": "seat and cabinet"}
    return xr.concat(
        parts, "listener", coords="minimal", compat="override", join="exact"
    ).assign_coords(listener=("listener", np.array([one.label for one in ones]), names))
