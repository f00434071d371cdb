"""Checks of the frequency grid and of how much a prediction would hold."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.case.design.model import FrequencyGrid
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.room_tables import PAIR
from acoustics.case.tables.sound import Values
from acoustics.case.text.units import hertz

MOST_FREQUENCIES = 2000
MOST_VALUES = 4_000_000
"""frequencies × receivers × drivers"""
LINES = 60
"""Receivers on the lines over height and sideways of a seat, about."""


def order_problems(grid: Values, written: object) -> Iterator[Problem]:
    """Ends of the grid the wrong way round; `written` is [frequencies] as it is in the file."""
    if not {"lowest", "highest"} <= grid.keys() or grid["lowest"] < grid["highest"]:
        return
    lowest, highest = hertz(grid["lowest"]), hertz(grid["highest"])
    if isinstance(written, dict) and "highest" not in written:
        yield Problem(
            ("frequencies", "lowest"),
            f"lowest ({lowest}) is not below the highest frequency ({highest} unless the file "
            "says otherwise); write a lower frequency or add highest",
        )
    else:
        yield Problem(
            ("frequencies", "highest"),
            f"highest ({highest}) is not above lowest ({lowest}); write the higher frequency in "
            "highest",
        )


def without_ends(grid: Values) -> Values:
    """`grid` without its lowest and highest frequency."""
    return {key: value for key, value in grid.items() if key not in ("lowest", "highest")}


def seat_receivers(places: int, ears: int, surfaces: int, placement: Values) -> int:
    """About how many receivers the seats have, over all cabinets; images in surfaces included."""
    cabinets = 2 if placement.get("cabinets") == PAIR else 1
    return cabinets * places * ((1 + surfaces) * ears + LINES)


def count_problems(grid: Values, arcs: Values, at_seats: int, drivers: int) -> Iterator[Problem]:
    """Too many frequencies, too few, or too many values at all receivers."""
    if not {"lowest", "highest", "per_octave"} <= grid.keys():
        return
    count = FrequencyGrid(**grid).values().size
    if count > MOST_FREQUENCIES:
        yield Problem(
            ("frequencies", "per_octave"),
            f"{grid['per_octave']} per octave makes {count} frequencies; at most "
            f"{MOST_FREQUENCIES} are solved: take fewer per octave or a narrower range",
        )
    elif count < 2:
        yield Problem(
            ("frequencies",),
            f"only {count} frequencies lie between {hertz(grid['lowest'])} and "
            f"{hertz(grid['highest'])}; widen the range or take more per octave",
        )
    elif "step" in arcs:
        on_arcs = 2 * round(360.0 / arcs["step"])
        values = count * (on_arcs + at_seats) * drivers
        if values > MOST_VALUES:
            mostly_arcs = on_arcs >= at_seats
            less = "a larger arcs.step" if mostly_arcs else "fewer seats or ear heights"
            yield Problem(
                ("arcs", "step") if mostly_arcs else ("seat",),
                f"{count} frequencies at {on_arcs} receivers on the arcs and {at_seats} at the "
                f"seats for {drivers} drivers make {values} values; at most {MOST_VALUES} are "
                f"solved: take {less}, or fewer frequencies per octave",
            )
