"""What to buy for a passive crossover: every part, and the rating it must have."""

from __future__ import annotations

import itertools
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.network_parts import Part, pieces_of
from acoustics.crossover.connections import ladders_of
from acoustics.crossover.ratings import (
    MARGIN,
    POWERS,
    VOLTAGES,
    Demand,
    power_rating,
    programme_voltage,
    shared,
    voltage_rating,
)
from acoustics.report.passive_crossover import part_demands, programme_words
from acoustics.report.plain_text import COLUMNS, columns
from acoustics.report.spreadsheet import csv_text
from acoustics.studies.wording import amount, listed, part_value

LEAST = 8
"""letters of a name that stand in one line of the table, at least"""

CSV_HEAD = (
    "part",
    "kind",
    "driver",
    "inductance (mH)",
    "capacitance (uF)",
    "resistance (ohm)",
    "of its own in series (ohm)",
    "core beside it (ohm)",
    "rated power (W)",
    "rated voltage (V)",
    "peak current (A)",
    "rms current (A)",
    "average power (W)",
    "peak voltage of the programme (V)",
    "peak voltage of a sine (V)",
    "where the sine's voltage is highest (Hz)",
    "where the sine's current is highest (Hz)",
    "input (V rms)",
    "pieces for one loudspeaker",
    "pieces in all",
)


@dataclass(frozen=True)
class Listed:
    """A part to buy: what it is, whose it is, and what it must stand."""

    part: Part
    driver: str
    demand: Demand


def parts_list(case: Case, prediction: xr.Dataset) -> tuple[Listed, ...]:
    """Every part of the passive crossover, pieces by themselves, and what it must stand.

    Args:
        case: the design.
        prediction: of that same design.
    """
    asked = dict(zip(map(str, prediction.part.values), part_demands(case, prediction), strict=True))
    return tuple(
        Listed(piece, ladder.driver.name, _of_piece(asked[part.name], part, piece))
        for ladder in ladders_of(case)
        for rung in ladder.rungs
        for part in rung.parts
        for piece in pieces_of(part)
    )


def _of_piece(demand: Demand, part: Part, piece: Part) -> Demand:
    """Capacitors side by side share the current, resistors one after the other the voltage."""
    share = piece.value / part.value
    if part.kind == "capacitor":
        return shared(demand, current=share)
    return shared(demand, voltage=share)


def loudspeakers(case: Case) -> int:
    """How many of them are built: two of a pair."""
    return 2 if case.placement.pair else 1


def parts_csv(case: Case, prediction: xr.Dataset) -> str:
    """The parts list as comma-separated values, columns as `CSV_HEAD` names them.

    Rated power is a resistor's, rated voltage a capacitor's, the peak current the higher of the
    programme's and a sine's. Cells that do not apply are empty.
    """
    given, count = programme_voltage(case), loudspeakers(case)
    return csv_text(
        [CSV_HEAD, *(_cells(each, given, count) for each in parts_list(case, prediction))]
    )


def parts_table(case: Case, prediction: xr.Dataset) -> str:
    """The parts list in plain text, at most 88 columns wide; empty where there are no parts."""
    found = parts_list(case, prediction)
    if not found:
        return ""
    count = loudspeakers(case)
    head = ["part", "driver", "kind", "value", "wire", "rating", "rms"]
    head += ["one", "pair"] if count > 1 else ["pieces"]
    return fitted([head, *(_row(each, count) for each in found)], names=2)


def parts_words(case: Case, prediction: xr.Dataset) -> list[str]:
    """What the ratings of the parts list stand for."""
    found = parts_list(case, prediction)
    kinds = {each.part.kind for each in found}
    words = [programme_words(case, prediction)]
    if case.amplifier is None or case.amplifier.voltage is None:
        words.append(
            f"So ratings are those for {amount(programme_voltage(case), 'V', finer=1)} alone: "
            "state amplifier.power before you buy."
        )
    rated = []
    if "resistor" in kinds:
        rated.append(f"a resistor's rating is {MARGIN:g} times its average power")
    if "capacitor" in kinds:
        rated.append(
            "a capacitor's rating the higher of the programme's peak voltage and that of a steady "
            "sine at the amplifier's full voltage at the worst frequency predicted"
        )
    if rated:
        words.append(f"Rounded up to what is usually sold (common practice), {listed(rated)}.")
    if "inductor" in kinds:
        words.append(
            "A coil with a core must not saturate at the peak current, the higher of the "
            "programme's and the sine's; the rms current of the programme heats its wire. The "
            "design counts with the wire's resistance given here, which is the most it may have; "
            "with a thicker wire, what is missing can be added as a resistor in series."
        )
    return words + _beyond(found)


def fitted(rows: Sequence[Sequence[str]], *, names: int) -> str:
    """A table of at most 88 columns: the first `names` columns are broken into lines if need be.

    They share the room that the other columns leave; a column that needs less than its part gives
    the rest to the others.
    """
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    room = COLUMNS - sum(widths[names:]) - 2 * (len(widths) - 1)
    allowed = list(widths[:names])
    order = sorted(range(names), key=lambda i: widths[i])
    for place, i in enumerate(order):
        allowed[i] = min(widths[i], max(LEAST, room // (names - place)))
        room -= allowed[i]
    broken = []
    for row in rows:
        cells = [
            textwrap.wrap(cell, allowed[i]) or [""] if i < names else [cell]
            for i, cell in enumerate(row)
        ]
        broken += [list(line) for line in itertools.zip_longest(*cells, fillvalue="")]
    return columns(broken, left=names + 1)


def _row(each: Listed, count: int) -> list[str]:
    part = each.part
    rating, more = _stands(each)
    wire = f"{part.resistance:.3g} ohm" if part.kind == "inductor" and part.resistance else ""
    pieces = ["1", str(count)] if count > 1 else ["1"]
    value = part_value(part.kind, part.value)
    return [part.name, each.driver, part.kind, value, wire, rating, more, *pieces]


def must_stand(each: Listed) -> str:
    """What a part to buy must stand, as a table has it: "20 W", "4.2 A peak, 1.1 A rms"."""
    rating, more = _stands(each)
    return f"{rating}, {more} rms" if more else rating


def _stands(each: Listed) -> tuple[str, str]:
    """Its rating; of a coil its highest current and the rms one."""
    if each.part.kind != "inductor":
        return _rating(each), ""
    return f"{_amperes(each.demand.most_current)} peak", _amperes(each.demand.rms)


def _amperes(current: float) -> str:
    return f"{current:.{1 if current >= 1 else 2}f} A"


def _rating(each: Listed) -> str:
    if each.part.kind == "resistor":
        found = power_rating(each.demand)
        return f"over {POWERS[-1]:g} W" if found is None else f"{found:g} W"
    found = voltage_rating(each.demand)
    return f"over {VOLTAGES[-1]:g} V" if found is None else f"{found:g} V"


def _beyond(found: Sequence[Listed]) -> list[str]:
    """What no usual part stands."""
    words = []
    hot = [
        f"{each.part.name} ({MARGIN * each.demand.power:.0f} W)"
        for each in found
        if each.part.kind == "resistor" and power_rating(each.demand) is None
    ]
    if hot:
        words.append(
            f"More than resistors are usually rated for: {listed(hot)}. Several that share it, in "
            "series or side by side, or less power."
        )
    high = [
        f"{each.part.name} ({each.demand.most_voltage:.0f} V)"
        for each in found
        if each.part.kind == "capacitor" and voltage_rating(each.demand) is None
    ]
    if high:
        words.append(
            f"More than capacitors are usually rated for: {listed(high)}. A resonance with little "
            "loss does that; a resistance in it takes the voltage down."
        )
    return words


def _cells(each: Listed, given: float, count: int) -> list[str]:
    part, demand = each.part, each.demand
    kind = part.kind
    rated = _rating(each).partition(" ") if kind != "inductor" else ("", "", "")
    rating = _rating(each).removesuffix(" W").removesuffix(" V") if rated[0] else ""
    own = "" if kind == "resistor" else f"{part.resistance:.6g}"
    core = "" if part.core_resistance is None else f"{part.core_resistance:.6g}"
    return [
        part.name,
        kind,
        each.driver,
        f"{part.value * 1e3:.6g}" if kind == "inductor" else "",
        f"{part.value * 1e6:.6g}" if kind == "capacitor" else "",
        f"{part.value:.6g}" if kind == "resistor" else "",
        own,
        core,
        rating if kind == "resistor" else "",
        rating if kind == "capacitor" else "",
        *(
            f"{round(value, 9):.4g}"
            for value in (
                demand.most_current,
                demand.rms,
                demand.power,
                demand.voltage,
                demand.sine_voltage,
                demand.voltage_at,
                demand.current_at,
                given,
            )
        ),
        "1",
        str(count),
    ]
