"""A box study in words: how low, how loud, what limits it, and what would suit the drivers."""

from __future__ import annotations

import itertools
import math

import numpy as np
import xarray as xr

from acoustics.case.checks.enclosure_checks import INSIDE_SLACK
from acoustics.case.text.units import in_unit
from acoustics.report.box_port import TOO_FAST, TOO_LONG, passive_lines, port_lines
from acoustics.report.box_words import (
    LIMIT_WORDS,
    box_words,
    litres,
    millimetres,
    no_enclosure,
)
from acoustics.report.cautions import CAUTIONS
from acoustics.report.phrases import hertz_span
from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.studies.box.study import HIGHEST
from acoustics.studies.box.systems import NONE_BINDS, OWN_CHAMBER
from acoustics.studies.wording import amount, hertz, listed

JUDGED_TO = 200.0
"""Hz: up to here it is told how loud a box plays, or up to two octaves above its reach"""

NOTABLE = 0.5
"""dB: a peak that is told"""

COMPARATIVE = {"flat": "flatter", "deep": "deeper", "loud": "louder"}

SHORTEST_PORT = 0.005
"""m: a shorter one is no port"""

FAULTS = {
    TOO_FAST: "The air in its port is too fast.",
    TOO_LONG: "Its port is too long for the cabinet.",
}
"""How the first sentences tell what is wrong with a port, by how its line begins."""

FREE_CONE = (
    "Below its tuning nothing holds the cone of a vented box or one with a passive radiator: no "
    "loud sweeps down there, and a high-pass where it is to play loud."
)


def box_text(study: xr.Dataset) -> str:
    """Say how low and how loud every enclosure plays, and what would suit its drivers.

    Args:
        study: as `studies.box.study.box_study` makes it.

    Returns:
        Text of 88 columns, ending in a newline.
    """
    title = str(study.attrs["title"])
    names = study.enclosure.values.tolist()
    # The lowest first, what does not fall so far within what was looked at last.
    names.sort(key=lambda name: float(study.f6.sel(enclosure=name).fillna(math.inf)))
    boxes = {name: study.sel(enclosure=name) for name in names}
    parts = [f"{title}\n{'=' * len(title)}"]
    parts += [paragraph(_verdict(box, study)) for box in boxes.values()]
    if "find" in study.attrs:
        parts.append(_section("The box that was looked for", [_found(b) for b in boxes.values()]))
    for name, box in boxes.items():
        of = f": {name}" if len(boxes) > 1 else ""
        parts += _about(box, study, of)
    parts.append(_section("What this rests on", _basis(study)))
    kinds = set(study.enclosure_kind.values.tolist())
    free = [FREE_CONE] if kinds & {"vented", "passive radiator"} else []
    parts.append(_section("Before you build and measure", [*free, *CAUTIONS]))
    return "\n\n".join(parts) + "\n"


def _about(box: xr.Dataset, study: xr.Dataset, of: str) -> list[str]:
    """Everything about one box; `of` ends its headings."""
    own = _radiators(box, study)
    lowest = bool(box.f6 == study.f6.min())
    parts = [
        _section(f"How low{of}", _how_low(box, lowest)),
        _section(f"How loud{of}", _how_loud(box, own)),
    ]
    if lines := port_lines(box, own):
        parts.append(_section(f"The port{of}", lines))
    if lines := passive_lines(own):
        parts.append(_section(f"The passive radiator{of}", lines))
    if str(box.enclosure_kind.values) != OWN_CHAMBER:
        parts.append(_section(f"Volume{of}", _volume(box)))
    parts.append(_section(f"What the amplifier sees{of}", _impedance(box)))
    suggested = np.flatnonzero(study.suggestion_enclosure.values == str(box.enclosure.values))
    if suggested.size:
        table = _suggestions(study.isel(suggestion=suggested))
        parts.append(f"{heading(f'Classic alignments{of}')}\n{table}")
    return parts


def _section(title: str, points: list[str]) -> str:
    return "\n".join([heading(title), *map(bullet, points)])


def _verdict(box: xr.Dataset, study: xr.Dataset) -> str:
    """Reach, loudness and what stands in the way, in a few sentences."""
    text = f"{box_words(box)}: {_reach_words(box)}"
    loud = _loudness(box)
    if loud is None:
        text += " How loud it plays cannot be told, because no limit is stated."
    else:
        level, place, limit = loud
        text += (
            f" From {_reach_or_bottom(box)} to {hertz(_judged_to(box))} it plays at least "
            f"{amount(level, 'dB')} at 1 m, limited by {LIMIT_WORDS[limit]} at {hertz(place)}."
        )
    lines = port_lines(box, _radiators(box, study))
    faults = [words for start, words in FAULTS.items() if any(x.startswith(start) for x in lines)]
    return f"{text} {' '.join(faults)}".rstrip()


def _reach_words(box: xr.Dataset) -> str:
    three, six = float(box.f3), float(box.f6)
    if math.isnan(three):
        return "the level is nowhere 3 dB down within what was looked at."
    more = "" if math.isnan(six) else f", 6 dB down at {hertz(six)}"
    return f"3 dB down at {hertz(three)}{more}."


def _loudness(box: xr.Dataset) -> tuple[float, float, str] | None:
    """The least highest level from f₃ upward (dB), where (Hz) and by which limit."""
    low = float(box.f3) if not math.isnan(float(box.f3)) else 0.0
    band = box.where((box.frequency >= low) & (box.frequency <= _judged_to(box)), drop=True)
    levels = band.highest_level.values
    if levels.size == 0 or np.isnan(levels).all():
        return None
    at = int(np.nanargmin(levels))
    limit = str(box.limit.values[int(band.binding.values[at])])
    return float(levels[at]), float(band.frequency[at]), limit


def _judged_to(box: xr.Dataset) -> float:
    """Frequency (Hz) up to which a box is told of."""
    reach = float(np.nan_to_num(box.f3))
    return min(max(JUDGED_TO, 4 * reach), HIGHEST)


def _found(box: xr.Dataset) -> str:
    if math.isnan(float(box.found_figure)):
        return f"{box.enclosure.values}: stays as it is, for nothing in it plays the bass."
    aim = str(box.attrs["find"])
    figure, present = float(box.found_figure), float(box.present_figure)
    if aim == "deep":  # told with the air load, as everywhere else, though it was sought without
        figure, present = float(box.f6), float(box.present_f6)
    reach = hertz(float(box.found_reach))
    what = {
        "flat": f"{amount(figure, 'dB', finer=1)} rms about its mean from {reach} to "
        f"{hertz(JUDGED_TO)}, against {amount(present, 'dB', finer=1)}",
        "deep": f"6 dB down at {hertz(figure)}"
        + (f", against {hertz(present)}" if not math.isnan(present) else ""),
        "loud": f"at least {amount(figure, 'dB')} from {reach} to {hertz(JUDGED_TO)}, against "
        f"{amount(present, 'dB')}",
    }[aim]
    now = litres(float(box.present_volume))
    if str(box.enclosure_kind.values) != "closed":
        now += f" tuned to {hertz(float(box.present_tuning))}"
    most = float(box.found_within)
    name, within = str(box.enclosure.values), f"within {litres(most)} net"
    if _unchanged(box):
        return f"{name}: {within}, nothing is notably {COMPARATIVE[aim]} than the present {now}."
    used = " All the volume that was allowed is used." if box.net_volume > 0.995 * most else ""
    superlative = {"flat": "flattest", "deep": "deepest", "loud": "loudest"}[aim]
    return (
        f"{name}: {within}, the {superlative} is {box_words(box, named=False)}: {what} in the "
        f"present {now}.{used} All that follows is about the box found."
    )


def _unchanged(box: xr.Dataset) -> bool:
    """Whether the box found is the present one."""
    return bool(box.net_volume == box.present_volume) and bool(box.tuning == box.present_tuning)


def _how_low(box: xr.Dataset, lowest: bool) -> list[str]:
    reference, peak = float(box.reference_level), float(box.peak)
    ends = [
        f"{down} dB at {hertz(float(box[f'f{down}']))}"
        for down in (3, 6, 10)
        if not math.isnan(float(box[f"f{down}"]))
    ]
    lines = [
        f"Down by {listed(ends)}, against the {amount(reference, 'dB')} of "
        f"{box.enclosure_drivers.values} for 2.83 V at 1 m into half space well above."
        if ends
        else f"Nowhere 3 dB down against {amount(reference, 'dB')} within what was looked at."
    ]
    if peak > NOTABLE:
        at = float(box.frequency[int(box.response.argmax("frequency"))])
        lines.append(f"Rises to {amount(peak, 'dB')} above that at {hertz(at)}.")
    if not math.isnan(float(box.system_q)):
        lines.append(
            f"Total Q at its resonance of {hertz(float(box.tuning))}: {float(box.system_q):.2f} "
            "(0.5 is critically damped, 0.71 the flattest)."
        )
    asked = float(box.attrs["brief_reach"])
    if lowest and not math.isnan(asked):
        met = "reached" if float(box.f6) <= asked else "not reached"
        lines.append(f"The brief asks for {hertz(asked)} within 6 dB: {met}.")
    late = box.group_delay.sel(frequency=slice(float(np.nan_to_num(box.f10)), _judged_to(box)))
    at = float(late.frequency[int(late.argmax("frequency"))])
    lines.append(
        f"Group delay: at most {1e3 * float(late.max()):.0f} ms, at {hertz(at)}; "
        f"{at * float(late.max()):.1f} periods of it."
    )
    return lines


def _how_loud(box: xr.Dataset, radiators: list[xr.Dataset]) -> list[str]:
    lines = []
    loud = _loudness(box)
    if loud is not None:
        level, place, limit = loud
        voltage = float(box.input_limit.sel(frequency=place, limit=limit))
        lines.append(
            f"At least {amount(level, 'dB')} at 1 m in half space for a steady sine from "
            f"{_reach_or_bottom(box)} to {hertz(_judged_to(box))}; the least is at "
            f"{hertz(place)}, where {LIMIT_WORDS[limit]} allows {voltage:.3g} V."
        )
        lines.append(f"What limits: {_stretches(box)}.")
    unknown = [
        LIMIT_WORDS[str(limit)]
        for limit in box.limit.values
        if bool(box.input_limit.sel(limit=limit).isnull().all())
    ]
    if unknown:
        lines.append(f"Not stated, so not counted: {listed(unknown)}.")
    for radiator in radiators:
        most = float(radiator.most_displacement)
        if str(radiator.radiator_kind.values) != "cone" or math.isnan(most):
            continue
        moved = radiator.displacement
        at = float(moved.frequency[int(moved.argmax("frequency"))])
        lines.append(
            f"{radiator.radiator.values}: for 2.83 V its cone moves {_peak_mm(float(moved.max()))} "
            f"at most, at {hertz(at)}, of {_peak_mm(most)} allowed to either side."
        )
    return lines


def _peak_mm(length: float) -> str:
    return in_unit(length, "mm", digits=2)


def _reach_or_bottom(box: xr.Dataset) -> str:
    three = float(box.f3)
    return hertz(float(box.frequency[0]) if math.isnan(three) else three)


def _stretches(box: xr.Dataset) -> str:
    """Which limit binds from where to where, short stretches left out."""
    binding, frequency = box.binding.values, box.frequency.values
    edges = [0, *(np.flatnonzero(np.diff(binding)) + 1).tolist(), len(binding)]
    told = []
    for start, end in itertools.pairwise(edges):
        if binding[start] == NONE_BINDS or end - start < 3:
            continue
        span = hertz_span([frequency[start], frequency[min(end, len(frequency) - 1)]])
        told.append(f"{span} {LIMIT_WORDS[str(box.limit.values[binding[start]])]}")
    return listed(told)


def _volume(box: xr.Dataset) -> list[str]:
    taken = [
        f"{part} {litres(float(volume))}"
        for part, volume in zip(box.part.values, box.taken_volume.values, strict=True)
        if volume > 0
    ]
    gross, net = float(box.gross_volume), float(box.net_volume)
    lines = [
        f"{litres(gross)} gross, of which {listed(taken)} are taken: {litres(net)} net."
        if taken
        else f"{litres(net)} net; nothing is stated that takes any of it."
    ]
    inside = float(box.attrs["inside_volume"])
    if gross > inside * (1 + INSIDE_SLACK):
        lines.append(f"The cabinet has {litres(inside)} inside: this takes a larger one.")
    return lines


def _impedance(box: xr.Dataset) -> list[str]:
    size = np.abs(box.impedance.values)
    at = int(size.argmin())
    least, most = float(box.attrs["lowest_impedance"]), float(size[at])
    span = hertz_span([float(box.frequency[0]), float(box.frequency[-1])])
    place = hertz(float(box.frequency[at]))
    text = f"Lowest impedance from {span}: {most:.1f} ohm, at {place}"
    if math.isnan(least):
        return [f"{text}."]
    fit = (
        f"the amplifier is made for {least:g} ohm and more"
        if most >= least
        else f"too low for an amplifier made for {least:g} ohm and more"
    )
    return [f"{text}; {fit}."]


def _suggestions(study: xr.Dataset) -> str:
    several = len(set(study.suggestion_driver.values.tolist())) > 1
    rows = [["", "net volume", "tuning", "3 dB down", "peak", "port, length"]]
    for number_ in range(study.sizes["suggestion"]):
        one = study.isel(suggestion=number_)
        vented = str(one.suggestion_kind.values) == "vented"
        name = str(one.suggestion_name.values)
        label = f"{'vented' if vented else 'closed'}, {name}"
        rows.append(
            [
                f"{one.suggestion_driver.values}: {label}" if several else label,
                litres(float(one.suggestion_volume)),
                hertz(float(one.suggestion_tuning)),
                hertz(float(one.suggestion_f3)),
                amount(float(one.suggestion_peak), "dB"),
                _port_words(one) if vented else "",
            ]
        )
    more = (
        "Of closed boxes the tuning is the resonance. Ports are as large as the present ones "
        "together or, where there are none, as large as the cone's displacement needs. Leaks count "
        "in vented boxes only."
    )
    return f"{columns(rows)}\n\n{paragraph(more)}"


def _port_words(one: xr.Dataset) -> str:
    diameter, length = float(one.suggestion_port_diameter), float(one.suggestion_port_length)
    if math.isnan(diameter):
        return "not known"
    if math.isnan(length) or length < SHORTEST_PORT:
        return f"{millimetres(diameter)}: none fits"
    return f"{millimetres(diameter)}, {millimetres(length)}"


def _basis(study: xr.Dataset) -> list[str]:
    air = (
        "The air load is that of this cabinet, by the field solver."
        if study.attrs["air_load"] == "of this cabinet"
        else "The air load is that with which the drivers were measured."
    )
    resistance = float(study.attrs["series_resistance"])
    kinds = zip(study.enclosure_drivers.values, study.enclosure_kind.values, strict=True)
    loose = [str(driver) for driver, kind in kinds if str(kind) == OWN_CHAMBER]
    wire = f" {resistance:g} ohm of amplifier and cable are in the circuit." if resistance else ""
    return [
        "Levels are at 1 m into half space, as if all sound came from one small place on a large "
        "wall: baffle, crossover and room are left to `roundover predict`. Drivers of one "
        "enclosure play together.",
        f"Drivers, air and ports are taken to be linear, by their small-signal parameters. {air}"
        f"{wire}",
        *no_enclosure(loose),
        "The limits are those stated, for a steady sine; "
        f"{float(study.attrs['most_port_speed']):g} m/s (peak) in a port is common practice. Music "
        "asks for less power in the long run, and for more in the short.",
    ]


def _radiators(box: xr.Dataset, study: xr.Dataset) -> list[xr.Dataset]:
    """Every radiator of a box."""
    own = np.flatnonzero(study.radiator_enclosure.values == str(box.enclosure.values))
    return [box.isel(radiator=int(row)) for row in own]
