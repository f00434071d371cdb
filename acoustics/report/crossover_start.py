"""Starting points of a passive crossover in plain words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Case
from acoustics.case.design.network_model import Element
from acoustics.case.design.network_parts import LETTERS, parts_of
from acoustics.crossover.starting_ladder import load_at
from acoustics.report.parts_list import fitted
from acoustics.report.phrases import hertz_span
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.studies.crossover_fit.scene import fit_asked
from acoustics.studies.crossover_start.dataset import ladder_name, slopes_name
from acoustics.studies.crossover_start.ladders import in_standard_values
from acoustics.studies.crossover_start.model import TREATMENTS, Ladder, Start, Treatment
from acoustics.studies.crossover_start.study import Starts
from acoustics.studies.wording import amount, hertz, listed, part_value

_PLACES = {"series": "in series", "across": "across", None: ""}

KEPT = "\u00a0"
"""Stands for a blank at which no line is broken."""

NEARER = 0.5
"""dB by which another ladder must be nearer to be told"""

TELLS = 0.1
"""dB: what is off by less needs no reason"""


def start_text(case: Case, starts: Starts) -> str:
    """Say what every driver's load is, which ladders to start from, and how far off they are.

    Args:
        case: the design.
        starts: of that same design.

    Returns:
        Text ending in a newline.
    """
    title = f"{starts.title}: where a passive crossover starts"
    fit = fit_asked(case)
    sections = [
        f"{title}\n{'=' * len(title)}",
        paragraph(
            "Textbook ladders are made for a resistance and a driver that is as loud at every "
            "frequency. Here each is held against the filter that the driver needs in this "
            "cabinet, on the reference axis, over an octave on either side of its corners."
        ),
        *(_driver(case, starts, start) for start in starts.drivers),
        "\n".join([heading("How to read the tables"), *map(bullet, _how_to_read(fit))]),
    ]
    return ("\n\n".join(sections) + "\n").replace(KEPT, " ")


def _how_to_read(fit: Fit) -> tuple[str, ...]:
    return (
        "Parts stand from the amplifier to the driver: the first in series, the next across, and "
        "so on in turn. Then come attenuator and compensation.",
        "Straight: made for the driver's impedance at the corner. Compensated: made for what "
        "driver and compensation are together there. Standard values: the latter in the nearest "
        f"of {fit.series}, coils of {fit.coil_series}, with the losses of {1e3 * fit.wire:g} mm "
        "wire.",
        "Off by: how much more (+) or less (−) than it needs the driver gets, where that is worst.",
    )


def _driver(case: Case, starts: Starts, start: Start) -> str:
    slopes = start.slopes
    asked = _asked(start, "straight")
    at = " and ".join(map(hertz, slopes.corners))
    whence = "" if slopes.stated else ", taken from where the drivers may hand over"
    title = f"{slopes.driver}: {slopes.kind} at {at}"
    points = [
        f"To be had: {_name(asked)} at {at}{whence}, "
        f"{amount(start.level, 'dB')} at 1 m for 2.83 V.",
        _load(case, starts, start),
        _attenuator(start),
        *_compensation(case, starts, start),
        _meaning(starts, start),
    ]
    return "\n".join([heading(title), *map(bullet, points), "", _table(start)])


def _table(start: Start) -> str:
    rows = [["ladder", "", "parts", "off by", "at"]]
    last = ""
    for ladder in start.ladders:
        name = _name(ladder)
        rows.append(
            [
                "" if name == last else name,
                ladder.treatment,
                _parts(ladder.sections),
                _signed(ladder.deviation),
                hertz(ladder.where),
            ]
        )
        last = name
    return fitted(rows, names=3)


def _load(case: Case, starts: Starts, start: Start) -> str:
    driver = case.driver(start.slopes.driver)
    if driver.small_signal is None and driver.impedance is None:
        return (
            f"Load: a resistor of {driver.rated_impedance:g} ohm, its rated impedance. A real one "
            f"resonates and rises; add [drivers.{driver.name}.small_signal], or impedance, the "
            "file of a measured one."
        )
    inside = (starts.frequency >= start.band[0]) & (starts.frequency <= start.band[1])
    size = np.abs(start.impedance[inside])
    measured = "" if driver.impedance is None else f" as measured, {driver.impedance.source}"
    return (
        f"Load{measured}: {_ohm(float(size.min()))} to {_ohm(float(size.max()))} from "
        f"{hertz_span(start.band)}, {_ohm(start.load(starts.frequency, 'straight'))} "
        f"{_at_the_corner(start)}."
    )


def _at_the_corner(start: Start) -> str:
    return "between the corners" if len(start.slopes.corners) > 1 else "at the corner"


def _attenuator(start: Start) -> str:
    own = f"{amount(start.own, 'dB')} at 1 m by itself"
    if start.low:
        over = start.own - start.level
        much = f", {amount(abs(over), 'dB')} {'more' if over > 0 else 'less'} than is to be had"
        return (
            f"Attenuator: none. Low down, before the cabinet adds to it, it has {own}"
            f"{much if abs(over) > TELLS else ''}; what is added above is for its filter to "
            "take off."
        )
    if start.attenuation is None:
        short = start.level - start.own
        return (
            f"Attenuator: none. It has {own}, {amount(short, 'dB')} less than is to be had, and no "
            "passive filter makes up for that."
            if short > TELLS
            else f"Attenuator: none. It has {own}, as much as is to be had."
        )
    return (
        f"Attenuator: it has {own}, so {amount(start.attenuation, 'dB')} are to be taken off: "
        f"{'; '.join(_pad(_asked(start, treatment)) for treatment in TREATMENTS)}."
    )


def _pad(ladder: Ladder) -> str:
    """What an attenuator is made of, and in which treatment."""
    if not ladder.attenuator:
        return f"{ladder.treatment}, none"
    parts = listed([f"{_parts([each])} {_PLACES[each.place]}" for each in ladder.attenuator])
    return f"{ladder.treatment}, {parts}"


def _compensation(case: Case, starts: Starts, start: Start) -> list[str]:
    if not start.compensation:
        return []
    fit = fit_asked(case)
    words = []
    for element in start.compensation:
        does = (
            "keep its voice coil's impedance from rising"
            if element.inductor is None
            else f"take away its resonance at {hertz(_resonance(start))}"
        )
        words.append(
            f"{_parts([element])} one after the other (in standard values "
            f"{_parts(in_standard_values([element], fit))}) {does}"
        )
    flat = _ohm(start.load(starts.frequency, "compensated"))
    return [f"Across the driver: {'; '.join(words)}. The load {_at_the_corner(start)} is {flat}."]


def _resonance(start: Start) -> float:
    assert start.peak is not None
    return start.peak.resonance


def _meaning(starts: Starts, start: Start) -> str:
    """Why the ladder that was asked for is off, and what compensation makes of it."""
    straight = _asked(start, "straight")
    if abs(straight.deviation) < TELLS:
        text = f"{_name(straight)} gives what is needed to {amount(TELLS, 'dB')}"
    else:
        text = (
            f"{_name(straight)} is off by {_signed(straight.deviation)} at "
            f"{hertz(straight.where)}: {_reasons(starts, start, straight)}"
        )
    if start.compensation:
        then = _asked(start, "compensated")
        text += f". With compensation {_signed(then.deviation)} at {hertz(then.where)}"
        if abs(then.deviation) > TELLS:
            load = _signed(then.of_load) if abs(then.of_load) > TELLS else "none"
            text += f", {load} of it by the load"
    nearest = min(
        (start.best(treatment) for treatment in ("straight", "compensated")),
        key=lambda ladder: abs(ladder.deviation),
    )
    own = min(abs(straight.deviation), abs(_asked(start, "compensated").deviation))
    if own - abs(nearest.deviation) > NEARER:
        text += (
            f". Nearest to what is needed comes {_name(nearest)}, {nearest.treatment}: "
            f"{_signed(nearest.deviation)}"
        )
    return f"{text}."


def _reasons(starts: Starts, start: Start, ladder: Ladder) -> str:
    rest = ladder.deviation - ladder.of_load
    words = []
    if abs(ladder.of_load) > TELLS:
        n = int(np.argmin(np.abs(starts.frequency - ladder.where)))
        there = load_at([ladder.where], starts.frequency, start.impedance)
        made = start.load(starts.frequency, "straight")
        words.append(
            f"{_signed(ladder.of_load)} because the impedance, {_ohm(there)} and "
            f"{_degrees(start.impedance[n])} there, is not the {_ohm(made)} of the ladder"
        )
    if abs(rest) > TELLS:
        less = "" if start.attenuation is None else ", less its attenuator,"
        way = "above" if rest > 0 else "below"
        words.append(
            f"{_signed(rest)} because the driver by itself{less} is so much {way} what is to be had"
        )
    return ", ".join(words)


def _degrees(value: complex) -> str:
    return amount(float(np.degrees(np.angle(value))), "degree")


def _asked(start: Start, treatment: Treatment) -> Ladder:
    """The ladder of the driver's own slopes."""
    pair = start.slopes.asked[0]
    return next(
        ladder
        for ladder in start.ladders
        if (ladder.alignment, ladder.order) == pair and ladder.treatment == treatment
    )


def _name(ladder: Ladder) -> str:
    return ladder_name(slopes_name(ladder.alignment, ladder.order))


def _parts(elements: Sequence[Element]) -> str:
    """Values to three figures, in their order, and what each is: "L 0.84 mH, C 13 uF"."""
    words = [
        f"{LETTERS[part.kind]} {part_value(part.kind, float(f'{part.value:.3g}'))}"
        for part in parts_of([elements])
    ]
    return ", ".join(each.replace(" ", KEPT) for each in words)


def _ohm(value: float) -> str:
    return amount(value, "ohm", finer=-1)


def _signed(decibels: float) -> str:
    text = amount(decibels, "dB")
    return text if text.startswith("−") or float(f"{decibels:.1f}") == 0 else f"+{text}"
