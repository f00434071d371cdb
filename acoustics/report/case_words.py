"""What a case describes, in a few lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.cabinet.names import face_words
from acoustics.case import Cabinet, Case, Placement, Seat, Surface
from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.case.design.section_words import section_words
from acoustics.case.files.curve_files import band_words
from acoustics.case.text.places import place_words
from acoustics.case.text.units import hertz, in_unit
from acoustics.conventions import Air
from acoustics.driver import SmallSignal
from acoustics.report.case_enclosures import source_lines
from acoustics.report.case_network import network_lines
from acoustics.report.case_processor import processor_lines

INDENT = " " * 13
"""below what follows the first word of a line"""


def description(case: Case) -> list[str]:
    """The design in a few lines of text."""
    right, up = case.reference.point
    grid = case.frequencies
    return [
        case.title,
        f"  cabinet    {_cabinet(case.cabinet)}",
        *_drivers(case),
        *source_lines(case),
        *network_lines(case),
        *processor_lines(case),
        f"  reference  from {place_words(right, up).removeprefix('in ')}; "
        f"{in_unit(case.reference.distance, 'm')} away",
        f"  placement  {_placement(case.placement)}",
        *_seats(case.seat),
        f"  surfaces   {'; '.join(_surface(one) for one in case.surfaces) or 'none'}",
        f"  predicts   {grid.values().size} frequencies, {hertz(grid.lowest)} to "
        f"{hertz(grid.highest)}; {len(case.aims)} aims",
    ]


def _cabinet(cabinet: Cabinet) -> str:
    shape = "" if cabinet.shape == "box" else f"{cabinet.shape}, "
    deep = "thick" if cabinet.shape == "plate" else "deep"
    sizes = f"{_mm(cabinet.width)} wide, {_mm(cabinet.height)} high, {_mm(cabinet.depth)} {deep}"
    more = ""
    if cabinet.lean:
        more += f", leaning {'back' if cabinet.lean > 0 else 'forward'} {abs(cabinet.lean):g} deg"
    if cabinet.front:
        more += f", front {_mm(cabinet.front[0])} by {_mm(cabinet.front[1])}"
    if cabinet.outline:
        more += f", outline of {len(cabinet.outline)} corners"
    for count, what in ((len(cabinet.chamfers), "chamfered"), (len(cabinet.rounds), "rounded")):
        if count:
            more += f", {count} {'edge' if count == 1 else 'edges'} {what}"
    return f"{shape}{sizes}{more}, base {_mm(cabinet.base_height)} above the floor"


def _drivers(case: Case) -> Iterator[str]:
    branches = {branch.driver: branch for branch in case.crossover}
    for driver in case.drivers:
        right, up = driver.position
        branch = branches.get(driver.name)
        sections = branch.sections if branch else ()
        way = ", ".join(section_words(section) for section in sections) or "full range"
        if branch and branch.slopes == "acoustic":
            way = f"acoustic slopes about {branch.level:g} dB: {way}"
        if branch and branch.slopes == "passive":
            way = "passive crossover"
        face = "" if driver.face == "front" else f" on the {face_words(driver.face)}"
        sides = ", radiates from both sides" if driver.both_sides else ""
        breakup = f"; breaks up at {hertz(driver.breakup)}" if driver.breakup else ""
        yield (
            f"  {driver.name:<10} {_mm(driver.piston_diameter)} piston, {place_words(right, up)}"
            f"{face}{sides}; {driver.sensitivity:.4g} dB; {way}{breakup}"
        )
        if driver.small_signal:
            yield f"{INDENT}{_parameters(driver.small_signal, case.air)}"
        if driver.measured:
            yield f"{INDENT}{_measured(driver.measured)}"


def _parameters(parameters: SmallSignal, air: Air) -> str:
    """Those by which people know a driver."""
    volume = parameters.equivalent_volume(air)
    shown = {
        "f_s": in_unit(parameters.resonance, "Hz", digits=3),
        "Q_ts": f"{parameters.total_q:.2f}",
        "V_as": in_unit(volume, "l" if volume > 1e-4 else "ml", digits=3),
        "R_e": in_unit(parameters.dc_resistance, "ohm", digits=3),
    }
    return ", ".join(f"{name} {value}" for name, value in shown.items())


def _measured(heard: MeasuredResponse) -> str:
    """Where it was measured, and how far that holds."""
    before = {"driver": "it", "reference axis": "the reference point", "point": "a point"}[heard.at]
    beyond = "" if heard.modelled else ", and nothing is known beyond"
    return (
        f"as measured {in_unit(heard.distance, 'm')} in front of {before}, "
        f"{band_words(*heard.band)} ({heard.source}){beyond}"
    )


def _placement(placement: Placement) -> str:
    turned = f"turned {placement.toe_in:g} deg {'inward' if placement.pair else 'to the right'}"
    if not placement.toe_in:
        turned = "facing straight ahead"
    if not placement.pair:
        return f"one cabinet, {turned}"
    return f"mirrored pair, {in_unit(placement.spacing, 'm')} apart, {turned}"


def _seats(seat: Seat) -> Iterator[str]:
    ears = ", ".join(in_unit(height, "m") for height in seat.ear_heights)
    for place in seat.places:
        side = "right" if place.aside > 0 else "left"
        aside = f", {in_unit(abs(place.aside), 'm')} to the {side}" if place.aside else ""
        main = place is seat.main
        yield (
            f"  seat       {'' if main else f'{place.name}: '}{in_unit(place.distance, 'm')} away"
            f"{aside}{f', ears at {ears}' if main else ''}"
        )


def _surface(surface: Surface) -> str:
    at = "" if surface.name == "floor" else f" at {in_unit(surface.position, 'm')}"
    if surface.absorber is None:
        mirrors = " and mirrors the cabinet" if surface.mirrors_cabinet else ""
        return f"{surface.name}{at} reflects {surface.reflection:g}{mirrors}"
    resistivity = in_unit(surface.absorber.flow_resistivity, "kPa s/m2")
    return f"{surface.name}{at} has {_mm(surface.absorber.thickness)} of {resistivity}"


def _mm(metres: float) -> str:
    return in_unit(metres, "mm")
