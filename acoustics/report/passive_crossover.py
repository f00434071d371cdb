"""The passive crossover in words: what the amplifier sees, and what the parts must stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.crossover.power import (
    CREST_FACTOR,
    PROGRAMME,
    lift,
    mean_power,
    programme_shares,
)
from acoustics.crossover.ratings import MARGIN, Demand, demands, programme_voltage
from acoustics.listening.input_impedance import lowest_impedance
from acoustics.report.phrases import hertz_span
from acoustics.report.plain_text import columns
from acoustics.studies.wording import amount, hertz, listed, number, part_value

WARM = 0.5
"""W: a part that takes less on average stays cold"""

NEARLY_ALL = 0.98
"""Of the programme's power: where less was predicted it is said"""

HEAD = ["part", "", "driver", "average (W)", "peak (V)", "peak (A)"]


def passive_crossover(case: Case, prediction: xr.Dataset) -> tuple[list[str], str]:
    """Say what the amplifier sees, and what a loud programme asks of every part and driver.

    Args:
        case: the design, with a passive branch.
        prediction: of that same design.

    Returns:
        Points, and a table of the parts.
    """
    rms = programme_voltage(case) / _lift(prediction)
    points = [impedance_words(case, prediction), programme_words(case, prediction)]
    points += _drivers(case, prediction, rms)
    asked = part_demands(case, prediction)
    points += _heat(prediction, asked)
    points += _deviations(case)
    points += _measured(case, prediction)
    rows = [HEAD, *_rows(prediction, asked)]
    return points, columns(rows) if len(rows) > 1 else ""


def impedance_hint(case: Case, prediction: xr.Dataset) -> list[str]:
    """What to change where the impedance is too low for the amplifier."""
    limit = _limit(case)
    if "input_impedance" not in prediction or limit is None:
        return []
    lowest = lowest_impedance(prediction)
    if lowest.impedance >= limit:
        return []
    return [
        f"The passive crossover draws the impedance down to {amount(lowest.impedance, 'ohm')} at "
        f"{hertz(lowest.frequency)}, and the amplifier is made for {limit:g} ohm or more: more "
        "resistance in the way, less across, drivers of a higher impedance, or another amplifier."
    ]


def _lift(prediction: xr.Dataset) -> float:
    """Rms voltage of the programme at the amplifier over that at the input, of what is between."""
    if "amplifier_filter" not in prediction:
        return 1.0
    return lift(prediction.amplifier_filter.values, prediction.frequency.values)


def _limit(case: Case) -> float | None:
    return None if case.amplifier is None else case.amplifier.lowest_impedance


def impedance_words(case: Case, prediction: xr.Dataset) -> str:
    """How low the impedance falls, and whether that is too low for the amplifier."""
    lowest = lowest_impedance(prediction)
    start = (
        f"The amplifier sees at least {amount(lowest.impedance, 'ohm')}, at "
        f"{hertz(lowest.frequency)} with a phase of {amount(lowest.phase, 'degree')}"
    )
    limit = _limit(case)
    if limit is None:
        return f"{start}; whether that is enough takes amplifier.lowest_impedance."
    if lowest.impedance < limit:
        return f"{start}: less than the {limit:g} ohm it is made for."
    return f"{start}: it is made for {limit:g} ohm or more, so it can drive that."


def programme_words(case: Case, prediction: xr.Dataset) -> str:
    """What programme the powers and peaks of parts are told for."""
    given = case.amplifier
    if given is not None and given.power is not None:
        whose = (
            f"the amplifier's highest, {given.power:g} W into {given.into:g} ohm; without clipping "
            "the peaks it can give half of these powers and 0.7 of these peaks"
        )
    else:
        whose = "as amplifier.power is not stated; powers grow with its square"
    frequency = prediction.frequency.values
    volts = amount(programme_voltage(case), "V")
    low, high = max(frequency[0], PROGRAMME[0]), min(frequency[-1], PROGRAMME[1])
    short = programme_shares(frequency).sum() < NEARLY_ALL
    filtered = "amplifier_filter" in prediction
    active = ", behind what is active before the amplifier" if filtered else ""
    part = f" Only its part at {hertz_span((low, high))}, as predicted, counts." if short else ""
    return (
        f"Powers are averages for pink noise of {volts} rms from {hertz(PROGRAMME[0])} "
        f"to {hertz(PROGRAMME[1])}{active} ({whose}), peaks {CREST_FACTOR:g} times the rms value. "
        f"Music asks for less (common practice; crest factor of IEC 60268-5, from memory).{part}"
    )


def _drivers(case: Case, prediction: xr.Dataset, rms: float) -> list[str]:
    """What reaches the drivers against what they are made for."""
    words, over = [], []
    chosen = prediction["filter"].transpose("driver", "frequency").values
    current = prediction.driver_current.transpose("driver", "frequency").values
    powers = mean_power(chosen, current, prediction.frequency.values, rms)
    for driver, power in zip(case.drivers, powers, strict=True):
        if not case.is_passive(driver.name):
            continue
        of = "" if driver.power is None else f" of its {driver.power:g} W"
        words.append(f"{driver.name} {_watts(power)}{of}")
        if driver.power is not None and power > driver.power:
            over.append(driver.name)
    verdict = f" That is more than {listed(over)} can take for long." if over else ""
    return [f"On average the drivers then take: {listed(words)}.{verdict}"]


def _heat(prediction: xr.Dataset, asked: Sequence[Demand]) -> list[str]:
    """The parts that get warm, and what to buy."""
    kinds = prediction.part_kind.values
    names = prediction.part.values
    hot = sorted(
        (
            (each.power, str(name))
            for each, name, kind in zip(asked, names, kinds, strict=True)
            if kind == "resistor" and each.power > WARM
        ),
        reverse=True,
    )
    if not hot:
        return []
    each = listed([f"{name} {_watts(MARGIN * power)}" for power, name in hot])
    return [f"Resistors to buy, for twice their average power (common practice): {each}."]


def _watts(power: float) -> str:
    return f"{power:.0f} W" if power >= 10 else f"{power:.1f} W"


def _deviations(case: Case) -> list[str]:
    """What the circuit takes for granted that is not so."""
    passive = [driver for driver in case.drivers if case.is_passive(driver.name)]
    rated = [each for each in passive if each.small_signal is None and each.impedance is None]
    points = [
        f"{driver.name} counts as a resistor of {driver.rated_impedance:g} ohm, its rated "
        "impedance. A real one resonates and rises, and the crossover then does something else; "
        f"add [drivers.{driver.name}.small_signal], or impedance, the file of a measured one."
        for driver in rated
    ]
    for enclosure in case.enclosures:
        mixed = {case.is_passive(name) for name in enclosure.drivers}
        if len(mixed) > 1:
            points.append(
                f"In {enclosure.name} sit drivers on the passive crossover and others: what the "
                "others' movement gives back to the crossover is left out."
            )
    return points


def _measured(case: Case, prediction: xr.Dataset) -> list[str]:
    """Loads that are tables, and where those end."""
    points = []
    frequency = prediction.frequency.values
    for driver in case.drivers:
        table = driver.impedance
        if table is None or not case.is_passive(driver.name):
            continue
        point = f"{driver.name} counts with its impedance as measured, {table.source}"
        if driver.small_signal is not None:
            point += "; what it sends out per volt still follows from its parameters"
        if "impedance_extrapolated" in prediction:
            past = prediction.impedance_extrapolated.sel(driver=driver.name).values
            ends = [
                f"{side} {hertz(table.frequency[end])}"
                for side, end, some in (
                    ("below", 0, past & (frequency < table.frequency[0])),
                    ("above", -1, past & (frequency > table.frequency[-1])),
                )
                if some.any()
            ]
            if ends:
                point += f". The table is carried on {' and '.join(ends)}, which is a guess"
        points.append(f"{point}.")
    return points


def _rows(prediction: xr.Dataset, asked: Sequence[Demand]) -> list[list[str]]:
    return [
        [
            str(prediction.part.values[row]),
            part_value(str(prediction.part_kind.values[row]), float(prediction.part_value[row])),
            str(prediction.part_driver.values[row]),
            number(each.power, "W", finer=-1),
            number(each.voltage, "V"),
            number(each.current, "A", finer=-1),
        ]
        for row, each in enumerate(asked)
    ]


def part_demands(case: Case, prediction: xr.Dataset) -> tuple[Demand, ...]:
    """What every part of the prediction is asked for at the amplifier's highest voltage."""
    voltage, current = (
        prediction[name].transpose("part", "frequency").values
        for name in ("part_voltage", "part_current")
    )
    frequency, rms = prediction.frequency.values, programme_voltage(case)
    if "amplifier_filter" not in prediction:
        return demands(voltage, current, frequency, rms)
    # A sine may come to the amplifier's full voltage whatever is before it.
    before = prediction.amplifier_filter.values
    steady = demands(voltage / before, current / before, frequency, rms)
    programme = demands(voltage, current, frequency, rms / _lift(prediction))
    return tuple(
        replace(
            each,
            sine_voltage=sine.sine_voltage,
            sine_current=sine.sine_current,
            voltage_at=sine.voltage_at,
            current_at=sine.current_at,
        )
        for each, sine in zip(programme, steady, strict=True)
    )
