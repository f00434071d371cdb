"""What the parts of a passive crossover must withstand, and the ratings they are sold with."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.crossover.power import CREST_FACTOR, mean_power, rms_of

MARGIN = 2.0
"""A resistor rated for so many times its average power stays cool enough (common practice, no
source)."""

POWERS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""W: resistors are sold for these (common practice, no source)"""

VOLTAGES = (50.0, 63.0, 100.0, 160.0, 250.0, 400.0, 630.0)
"""V: capacitors are sold for these (common practice, no source)"""


@dataclass(frozen=True)
class Demand:
    """What one part is asked for.

    Under the programme: `power` on average (W), `rms` current (A), `voltage` and `current` at its
    peaks (V, A). For a steady sine of the same rms voltage at the worst frequency predicted:
    `sine_voltage` and `sine_current` at their peaks, and where that is (`voltage_at`,
    `current_at`, Hz).
    """

    power: float
    rms: float
    voltage: float
    current: float
    sine_voltage: float
    sine_current: float
    voltage_at: float
    current_at: float

    @property
    def most_voltage(self) -> float:
        """The higher of both peaks, V."""
        return max(self.voltage, self.sine_voltage)

    @property
    def most_current(self) -> float:
        """The higher of both peaks, A."""
        return max(self.current, self.sine_current)


def programme_voltage(case: Case) -> float:
    """Rms voltage of the programme: the amplifier's highest, 2.83 V where that is not stated."""
    voltage = None if case.amplifier is None else case.amplifier.voltage
    return DRIVE_VOLTAGE if voltage is None else voltage


def demands(
    voltage: np.ndarray, current: np.ndarray, frequency: np.ndarray, rms: float
) -> tuple[Demand, ...]:
    """What each part is asked for.

    Args:
        voltage: over every part per volt of the source, complex, shape (part, frequency).
        current: through it, A/V, likewise.
        frequency: Hz, ascending, shape (frequency,).
        rms: of the programme, and of the sine, V.
    """
    power = mean_power(voltage, current, frequency, rms)
    heating = rms_of(current, frequency, rms)
    over = CREST_FACTOR * rms_of(voltage, frequency, rms)
    found = []
    for row in range(voltage.shape[0]):
        high, strong = (int(np.argmax(np.abs(each[row]))) for each in (voltage, current))
        found.append(
            Demand(
                power=float(power[row]),
                rms=float(heating[row]),
                voltage=float(over[row]),
                current=float(CREST_FACTOR * heating[row]),
                sine_voltage=math.sqrt(2) * rms * float(np.abs(voltage[row, high])),
                sine_current=math.sqrt(2) * rms * float(np.abs(current[row, strong])),
                voltage_at=float(frequency[high]),
                current_at=float(frequency[strong]),
            )
        )
    return tuple(found)


def shared(demand: Demand, *, voltage: float = 1.0, current: float = 1.0) -> Demand:
    """What one of several pieces is asked for that takes such a part of voltage or current."""
    return replace(
        demand,
        power=demand.power * voltage * current,
        rms=demand.rms * current,
        voltage=demand.voltage * voltage,
        current=demand.current * current,
        sine_voltage=demand.sine_voltage * voltage,
        sine_current=demand.sine_current * current,
    )


def power_rating(demand: Demand) -> float | None:
    """W for which a resistor is to be bought; None where no usual one is enough."""
    return rounded_up(MARGIN * demand.power, POWERS)


def voltage_rating(demand: Demand) -> float | None:
    """V for which a capacitor is to be bought; None where no usual one is enough."""
    return rounded_up(demand.most_voltage, VOLTAGES)


def rounded_up(value: float, usual: Sequence[float]) -> float | None:
    """The least of some usual values, ascending, that is not below `value`; None if all are.

    What is above one by less than what rounding leaves counts as it.
    """
    return next((each for each in usual if value <= each * (1 + 1e-9)), None)
