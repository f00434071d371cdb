"""How the drivers hand over, in words: how far in step, what it costs, what reversing one does."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening import phase_tracking, reverse_null
from acoustics.listening.overlap import DEEPEST
from acoustics.listening.phase_tracking import IN_STEP
from acoustics.listening.reverse_null import SKIRT, VERDICTS
from acoustics.listening.sides import AXIS, SEAT
from acoustics.report.phrases import hertz_span, whole
from acoustics.report.polarity_hint import MUCH
from acoustics.studies.wording import amount, hertz

WORTH = 0.5
"""dB by which the seat must lose more than the reference axis to be told (common practice)"""

TURN = 30.0
"""degrees that a delay must turn the phase at the crossover to be told"""


def hand_over(prediction: xr.Dataset) -> list[str]:
    """One point for each crossover; none where no two drivers cross.

    Args:
        prediction: as `predict` makes it.
    """
    tracking = phase_tracking(prediction)
    null = reverse_null(prediction)
    both = xr.merge(
        [tracking, null[[name for name in null.data_vars if name not in tracking]]],
        join="exact",
        compat="equals",
        combine_attrs="override",
    )
    speed = prediction.attrs["speed_of_sound"]
    return [
        _crossover(both.isel(crossover=i), i < both.crossover.size - 1, speed)
        for i in range(both.crossover.size)
    ]


def _crossover(one: xr.Dataset, more_above: bool, speed: float) -> str:
    axis, seat = one.sel(place=AXIS), one.sel(place=SEAT)
    lower, upper = str(one.lower_driver.values), str(one.upper_driver.values)
    at = hertz(float(one.crossover_frequency))
    if np.isnan(axis.largest_phase):
        return (
            f"At {at} {lower} and {upper} do not overlap on the reference axis: the levels there "
            "are never near each other."
        )
    band = hertz_span((float(axis.overlap_low), float(axis.overlap_high)))
    words = [
        f"At {at} {lower} and {upper} are at most {amount(float(axis.largest_phase), 'degree')} "
        f"apart through the overlap ({band}), which costs {_cost(float(axis.largest_loss))}"
        f"{_at_the_seat(axis, seat)}{_delay(axis, upper, speed)}",
        f"{_reversed(axis, upper + (' and all above it' if more_above else ''))}: "
        f"{_verdict(axis)}.",
    ]
    return "; ".join(words)


def _verdict(axis: xr.Dataset) -> str:
    """What the dip tells; it tells of its own frequency, and the phase of all the others."""
    found = str(axis.null_verdict.values)
    if found in ("deep", "fair") and float(axis.largest_phase) > IN_STEP:
        return "there they are in step, but not all through"
    return f"they are {VERDICTS[found]}"


def _cost(loss: float) -> str:
    """How much of the level goes at worst; of a null only a least depth is known."""
    if loss > MUCH:
        return f"over {whole(MUCH)} dB"
    return f"up to {amount(loss, 'dB')}" if loss >= 0.05 else "nothing"


def _at_the_seat(axis: xr.Dataset, seat: xr.Dataset) -> str:
    """The same at the main seat, where it is notably worse."""
    if not float(seat.largest_loss) > float(axis.largest_loss) + WORTH:
        return ""
    ears = amount(seat.attrs["ear_height"], "m")
    phase = amount(float(seat.largest_phase), "degree")
    return f" (at the seat, ears at {ears}: {phase}, {_cost(float(seat.largest_loss))})"


def _delay(axis: xr.Dataset, upper: str, speed: float) -> str:
    """What delay the slope of the phase is that of, where drivers are apart and it matters."""
    late = float(axis.tracking_delay)
    turn = 360.0 * abs(late) * float(axis.crossover_frequency)
    if float(axis.largest_phase) <= IN_STEP or turn < TURN:
        return ""
    way = "late" if late > 0 else "early"
    return (
        f"; the phase turns as if the {upper} came {abs(late) * 1e6:.0f} µs "
        f"({abs(late) * speed * 1e3:.0f} mm) too {way}"
    )


def _reversed(axis: xr.Dataset, upper: str) -> str:
    """The dip with the upper side reversed."""
    depth = float(axis.null_depth)
    if not depth >= SKIRT:
        return f"with the {upper} reversed there would be no dip to speak of"
    deep = f"over {whole(DEEPEST)} dB" if depth >= DEEPEST else f"{whole(depth)} dB"
    return (
        f"with the {upper} reversed there would be a dip of {deep} at "
        f"{hertz(float(axis.null_frequency))}"
    )
