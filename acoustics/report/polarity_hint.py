"""A hint where two drivers cancel at their crossover and would add up with one of them inverted."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.listening import crossovers
from acoustics.listening.delay import common_delay
from acoustics.listening.interpolation import pressure_at
from acoustics.studies.wording import amount, hertz, listed

GAIN = 3.0
"""dB that the level on the reference axis must gain by an inversion before it is hinted at"""

MUCH = 20.0
"""dB: a larger gain is that of a null, whose depth nobody knows"""

USUAL_CAUSE = (
    "Usual cause (common practice): Linkwitz-Riley filters of the second and sixth order want one "
    "of the two drivers inverted, those of the fourth and eighth neither. Else depths and delays."
)
"""Their outputs are order × 90° apart (Linkwitz, J. Audio Eng. Soc. 24, 1976; Lipshitz &
Vanderkooy, ibid. 34, 1986; from memory)."""


def polarity_hints(case: Case, prediction: xr.Dataset) -> list[str]:
    """One sentence for each crossover where inverting the upper driver makes the axis louder.

    What counts is the sum of all drivers on the reference axis at the crossover frequency, as it
    is and with the upper driver's sign changed.

    Args:
        case: the design.
        prediction: as `predict` makes it.
    """
    found = crossovers(prediction)
    if found.crossover.size == 0:
        return []
    frequency = found.crossover_frequency.values
    axis = pressure_at(
        prediction.arc_pressure.sel(plane="horizontal", angle=0.0, drop=True),
        frequency,
        prediction.attrs["reference_distance"],
        speed_of_sound=prediction.attrs["speed_of_sound"],
        delay=common_delay(prediction, frequency),
    ).transpose("frequency", "driver")
    names = [str(name) for name in prediction.driver.values]
    hints = []
    for i, (lower, upper) in enumerate(
        zip(map(str, found.lower_driver.values), map(str, found.upper_driver.values), strict=True)
    ):
        shares = axis.values[i]
        total = shares.sum()
        flipped = total - 2 * shares[names.index(upper)]
        least = np.finfo(float).tiny
        gain = 20 * np.log10(max(abs(flipped), least) / max(abs(total), least))
        if gain > GAIN:
            more = "much" if gain > MUCH else amount(gain, "dB")
            hints.append(
                f"{lower} and {upper} cancel around {hertz(frequency[i])}: with one of them turned "
                f"round ({_keys(case, upper)}), the level there on the reference axis is {more} "
                "higher."
            )
    return [*hints, USUAL_CAUSE] if hints else []


def _keys(case: Case, name: str) -> str:
    """What to write in the case file to turn a driver round.

    A filter computed for an acoustic slope undoes how its driver is wired.
    """
    keys = [
        f'crossover.{name}.polarity = "{_other_than(branch.inverted)}"'
        for branch in case.crossover
        if branch.driver == name
    ]
    if not any(each.driver == name and each.slopes == "acoustic" for each in case.crossover):
        keys[:0] = [
            f'drivers.{name}.polarity = "{_other_than(driver.inverted)}"'
            for driver in case.drivers
            if driver.name == name
        ]
    return listed(keys, "or")


def _other_than(inverted: bool) -> str:
    return "normal" if inverted else "inverted"
