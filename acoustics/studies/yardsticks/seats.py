"""The seats, cabinets and ear heights that several designs have in common."""

from __future__ import annotations

from collections.abc import Sequence

import xarray as xr

from acoustics.conventions import MAIN_SEAT, SPEAKERS
from acoustics.listening import Listener, listeners

SAME = 1e-6
"""m: ear heights and distances this close are the same"""


def common_listeners(
    predictions: Sequence[xr.Dataset],
) -> tuple[tuple[str, tuple[Listener, ...]], ...]:
    """Pair off who hears what: every seat that all designs have, the main seat first.

    Where the cabinets of one design are heard apart and those of another are alike, or there is
    but one, the latter's stands against both.

    Returns:
        For each, what to call it (as `Listener.label`, but in all designs alike) and that listener
        of every design.
    """
    ones = [listeners(prediction) for prediction in predictions]
    names = [list(dict.fromkeys(one.seat for one in each)) for each in ones]
    seats = [seat for seat in names[0] if all(seat in each for each in names)]
    found = []
    for seat in seats:
        here = [[one for one in each if one.seat == seat] for each in ones]
        apart = any(len(each) > 1 for each in here)
        for cabinet in SPEAKERS if apart else ("",):
            words = [seat_words(seat)] if len(seats) > 1 else []
            words += [f"{cabinet} cabinet"] if apart else []
            own = tuple(
                next((one for one in each if one.speaker == cabinet), each[0]) for each in here
            )
            found.append((", ".join(words), own))
    return tuple(found)


def seat_words(seat: str) -> str:
    """A seat's name as part of a sentence: "main seat", "seat sofa end"."""
    return "main seat" if seat == MAIN_SEAT else f"seat {seat}"


def at_another_seat(place: str) -> bool:
    """Whether a place in words is at a seat other than the main one."""
    return any(part.startswith("seat ") for part in place.split(", "))


def common_ear_heights(predictions: Sequence[xr.Dataset]) -> tuple[float, ...]:
    """Ear heights (m) that all designs have, as the first one writes them."""
    first, *others = (prediction.ear_height.values for prediction in predictions)
    return tuple(
        float(ear) for ear in first if all(abs(each - ear).min() < SAME for each in others)
    )
