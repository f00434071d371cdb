"""Each check of drivers in words: what it is called, its figure, its rule, what to try."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from acoustics.case.design.model import MOST_KA
from acoustics.case.text.units import in_unit
from acoustics.report.box_words import litres
from acoustics.studies.compatibility import bands, directivity, electrical, excursion, levels
from acoustics.studies.compatibility import volume as volumes
from acoustics.studies.compatibility.line import Check, Line
from acoustics.studies.wording import amount, beam, hertz, listed, number

ALIKE = 0.05
"""dB: levels that differ by less are told as alike"""


@dataclass(frozen=True)
class Words:
    """How a check is told.

    `main` is its figure for a table: name among the line's figures, factor to its unit, unit.
    `said` gives a sentence without its stop, empty where nothing is known; `rule` and `remedy`
    likewise.
    """

    title: str
    main: tuple[str, float, str]
    said: Callable[[Line], str]
    rule: Callable[[Line], str]
    remedy: Callable[[Line], str]


def _impedance(line: Line) -> str:
    least, at, rated = (line.figures[name] for name in ("least", "at", "rated"))
    if math.isnan(least):
        return ""
    if math.isnan(at):
        return (
            f"taken as {_ohm(least)}, {electrical.OF_RATED:.0%} of its rated {_ohm(rated)}, for "
            "want of its parameters"
        )
    return f"falls to {_ohm(least)} at {hertz(at)}"


def _load(line: Line) -> str:
    least = line.figures["least"]
    if math.isnan(least):
        return ""
    if "of_parts" in line.figures:
        return (
            f"all on the passive crossover falls to {_ohm(least)} at {hertz(line.figures['at'])}, "
            "its parts and the drivers in their boxes solved as one circuit"
        )
    return (
        f"all drivers behind a passive crossover fall to about {_ohm(least)} at "
        f"{hertz(line.figures['at'])} (estimate: ideal filters without losses, power alone)"
    )


def _amplifier_rule(line: Line) -> str:
    limit = line.figures["amplifier"]
    least = "what" if math.isnan(limit) else f"the {_ohm(limit)}"
    return (
        f"not below {least} the amplifier is made for, at a second look {electrical.OF_RATED:.0%} "
        "of it, as far as a rated impedance allows"
    )


def _rated(line: Line) -> str:
    share, rated = line.figures["share"], line.figures["rated"]
    return f"falls to {share:.0%} of its rated {_ohm(rated)}"


def _displacement(line: Line) -> str:
    moved, most = line.figures["displacement"], line.figures["most"]
    of = "" if math.isnan(most) else f" of its {_mm(most, 2)} (X_max)"
    return (
        f"moves at most {_mm(moved, 2)}{of}, at {hertz(line.figures['at'])}, for "
        f"{amount(line.figures['level'], 'dB')} at {in_unit(line.figures['distance'], 'm')} "
        "(peak, one direction; steady sine, direct sound)"
    )


def _resonance(line: Line) -> str:
    octaves = line.figures["octaves"]
    if math.isnan(octaves):
        return ""
    return (
        f"resonates at {hertz(line.figures['resonance'])}, {_octaves(octaves)} the crossover at "
        f"{hertz(line.figures['frequency'])}"
    )


def _resonance_remedy(line: Line) -> str:
    lowest = line.figures["resonance"] * 2 ** line.figures["wanted"]
    steeper = (
        ", or steeper slopes"
        if line.figures["order"] <= bands.SHALLOW and line.figures["octaves"] >= bands.MARGIN
        else ", or a driver of lower resonance"
    )
    return f"cross at {hertz(lowest)} or higher{steeper}"


def _level(line: Line) -> str:
    lowest, others = _lowest_and_others(line)
    own, base, gap = (line.figures[name] for name in ("level", "lowest", "gap"))
    more = f"{amount(abs(gap), 'dB')} {'more' if gap >= 0 else 'less'}"
    if abs(gap) < ALIKE:
        more = "alike"
    down = (
        f"; it takes {amount(line.figures['attenuation'], 'dB')} of attenuation"
        if gap >= ALIKE
        else ""
    )
    return (
        f"{each(others)} {'give' if len(others) > 1 else 'gives'} {amount(own, 'dB')} in the mean "
        f"of the band, {each(lowest)} {amount(base, 'dB')} below the baffle step "
        f"({amount(line.figures['lowest_mean'], 'dB')} in the mean of the band): {more}{down}"
    )


def _level_remedy(line: Line) -> str:
    return (
        "a more sensitive driver, or a less sensitive lowest one; a wider front, or the cabinet at "
        "a wall, leaves less of a baffle step"
    )


def _level_asked(line: Line) -> str:
    more = line.figures["more"]
    than = f"{amount(abs(more), 'dB')} {'above' if more > 0 else 'below'}"
    return (
        f"the crossover asks for {amount(line.figures['asked'], 'dB')}, {than} the "
        f"{amount(line.figures['own'], 'dB')} it gives of itself"
    )


def _balance(line: Line) -> str:
    lowest, others = _lowest_and_others(line)
    off = line.figures["off"]
    where = (
        "level with"
        if abs(off) < ALIKE
        else f"{amount(abs(off), 'dB')} {'above' if off > 0 else 'below'}"
    )
    ends = "end" if len(others) > 1 else "ends"
    return (
        f"with {_signed(line.figures['gain'])} from the crossover {each(others)} {ends} {where} "
        f"{each(lowest)}"
    )


def _balance_remedy(line: Line) -> str:
    wanted = line.figures["wanted"]
    if wanted >= ALIKE:
        return f"less from the lowest or a more sensitive driver; it would take {_signed(wanted)}"
    return f"{_signed(wanted)} instead"


def _overlap(line: Line) -> str:
    lower, upper = line.subject
    above, below = line.figures["above"], line.figures["below"]
    first = (
        f"the {lower} is usable to {hertz(line.figures['limit'])}, {_octaves(above, up=True)} the "
        "crossover"
    )
    if math.isnan(below):
        return f"{first}; how far down the {upper} is, is not known"
    return f"{first}, the {upper} from {hertz(line.figures['resonance'])}, {_octaves(below)} it"


def _overlap_remedy(line: Line) -> str:
    low, high = 2 * line.figures["resonance"], line.figures["limit"] / 2
    if low > high:
        halfway = math.sqrt(low * high)
        return (
            f"{hertz(halfway)} is halfway, but with these drivers no crossover has an octave to "
            "either side"
        )
    end = (
        f"{hertz(high)} or lower" if line.figures["frequency"] > high else f"{hertz(low)} or higher"
    )
    return f"cross at {end}, or another driver"


def _piston_size(line: Line) -> str:
    lower, upper = line.subject
    ka, upper_ka = line.figures["ka"], line.figures["upper_ka"]
    here = hertz(line.figures["frequency"])
    return (
        f"the {lower} has ka = {number(ka, 'ka')} at {here}, the {upper} {number(upper_ka, 'ka')}"
    )


def _piston_size_remedy(line: Line) -> str:
    lowered = line.figures["frequency"] * directivity.GOOD_KA / line.figures["ka"]
    return f"cross at {hertz(lowered)} or lower, or a smaller lower driver"


def _beamwidth(line: Line) -> str:
    lower, upper = line.subject
    here = hertz(line.figures["frequency"])
    widths = [line.figures[name] for name in ("lower", "upper")]
    if min(widths) >= directivity.ALL_SIDES:
        return f"at {here} neither is 6 dB down anywhere in front (pistons in an infinite baffle)"
    beams = [_width(width) for width in widths]
    return (
        f"at {here} the beam (-6 dB) of the {lower} is {beams[0]} wide, that of the {upper} "
        f"{beams[1]} (pistons in an infinite baffle)"
    )


def _spacing(line: Line) -> str:
    behind = line.figures["behind"]
    depth = (
        ""
        if abs(behind) < 5e-4
        else f"; the lower one's acoustic centre lies {_mm(abs(behind))} "
        f"{'behind' if behind > 0 else 'ahead of'} the upper one's"
    )
    return (
        f"{_mm(line.figures['distance'])} from centre to centre, "
        f"{number(line.figures['wavelengths'], 'ratio')} wavelengths at "
        f"{hertz(line.figures['frequency'])}{depth}"
    )


def _spacing_remedy(line: Line) -> str:
    lowered = line.figures["frequency"] * directivity.CLOSE / line.figures["wavelengths"]
    return (
        f"centres {_mm(line.figures['wavelength'])} apart or closer, or cross at {hertz(lowered)} "
        "or lower"
    )


def _volume(line: Line) -> str:
    figures = line.figures
    if "outer" in figures:
        wishes = _wishes(figures["closed"], figures["vented"])
        return (
            f"{wishes}; the cabinet measures {litres(figures['outer'])} outside" if wishes else ""
        )
    kind = "vented" if figures["is_vented"] else "closed"
    if line.verdict == "not known":
        return f"{litres(figures['volume'])}, {kind}"
    if math.isnan(figures["wanted"]):
        other = _wishes(figures["closed"], figures["vented"])
        return f"{litres(figures['volume'])}, {kind}; at this Q no {kind} box makes it flat" + (
            f", though it {other}" if other else ""
        )
    return (
        f"{litres(figures['volume'])}, {kind}, {number(figures['ratio'], 'ratio')} of the "
        f"{litres(figures['wanted'])} that would be flat"
    )


def _volume_rule(line: Line) -> str:
    if line.figures.get("bass", 1.0):
        return f"{volumes.LEAST:g} to {volumes.MOST:g} of it"
    return f"{volumes.LEAST:g} of it or more, for it plays above a high-pass"


def _wishes(closed: float, vented: float) -> str:
    parts = [
        f"{litres(wanted)} {kind}"
        for wanted, kind in ((closed, "closed"), (vented, "vented"))
        if not math.isnan(wanted)
    ]
    return f"would be flat in {listed(parts, 'or')}" if parts else ""


def _volume_remedy(line: Line) -> str:
    wishes = _wishes(line.figures["closed"], line.figures["vented"])
    return f"a volume in which it {wishes}, or another driver" if wishes else "another driver"


def _budget(line: Line) -> str:
    cost, mass = line.figures["cost"], line.figures["mass"]
    price = "at least " if any(key.endswith(".price") for key in line.missing) else ""
    weigh = "" if math.isnan(mass) else f"; they weigh {mass:.3g} kg"
    pair = " for both cabinets" if line.figures["cabinets"] > 1 else ""
    limit = line.figures["budget"]
    of = "" if math.isnan(limit) else f" of {limit:g}"
    if price and not cost:
        return f"no price is stated{weigh}"
    return f"the drivers cost {price}{cost:g}{of}{pair}{weigh}"


WORDS: dict[Check, Words] = {
    "impedance": Words(
        "Impedance",
        ("least", 1.0, "ohm"),
        _impedance,
        _amplifier_rule,
        lambda _: "a driver of higher impedance, or an amplifier made for less",
    ),
    "load": Words(
        "Combined load",
        ("least", 1.0, "ohm"),
        _load,
        _amplifier_rule,
        lambda _: (
            "drivers of higher impedance, in series instead of in parallel, or an amplifier "
            "for each way"
        ),
    ),
    "rated impedance": Words(
        "Rated impedance",
        ("share", 1.0, "1"),
        _rated,
        lambda _: f"not below {electrical.OF_RATED:.0%}",
        lambda _: "take it for a driver of lower rated impedance",
    ),
    "displacement": Words(
        "Displacement",
        ("displacement", 1000.0, "mm"),
        _displacement,
        lambda _: f"at most {excursion.HEADROOM:.0%} of X_max, 3 dB to spare",
        lambda _: "a higher crossover, steeper slopes, or a larger driver",
    ),
    "resonance": Words(
        "Resonance",
        ("octaves", 1.0, "octave"),
        _resonance,
        lambda line: (
            f"{line.figures['wanted']:g} octaves below or more, for slopes of order "
            f"{line.figures['order']:g}"
            if line.figures["wanted"] > 1
            else "an octave below or more"
        ),
        _resonance_remedy,
    ),
    "crossover": Words(
        "Crossover",
        ("frequency", 1.0, "Hz"),
        lambda _: "",
        lambda _: "every driver but the lowest needs a high-pass",
        lambda _: "",
    ),
    "level": Words(
        "Level",
        ("gap", 1.0, "dB"),
        _level,
        lambda _: f"not weaker than the lowest by more than {amount(levels.WEAKER, 'dB')}",
        _level_remedy,
    ),
    "level asked": Words(
        "Level asked",
        ("more", 1.0, "dB"),
        _level_asked,
        lambda _: "no amplification, which costs headroom",
        lambda line: f"a level of {amount(line.figures['own'], 'dB')}",
    ),
    "balance": Words(
        "Balance",
        ("off", 1.0, "dB"),
        _balance,
        lambda _: f"within {amount(levels.UNEVEN, 'dB')}",
        _balance_remedy,
    ),
    "overlap": Words(
        "Usable bands",
        ("octaves", 1.0, "octave"),
        _overlap,
        lambda _: "an octave to either side of the crossover",
        _overlap_remedy,
    ),
    "piston size": Words(
        "Piston size",
        ("ka", 1.0, "1"),
        _piston_size,
        lambda _: f"ka of the lower one up to {directivity.GOOD_KA:g}, at most {MOST_KA:g}",
        _piston_size_remedy,
    ),
    "beamwidth": Words(
        "Directivity",
        ("difference", 1.0, "degree"),
        _beamwidth,
        lambda _: "beams alike within a third",
        lambda _: "a lower crossover, or a smaller lower driver",
    ),
    "spacing": Words(
        "Spacing",
        ("wavelengths", 1.0, "1"),
        _spacing,
        lambda _: "at most one wavelength",
        _spacing_remedy,
    ),
    "volume": Words(
        "Volume",
        ("ratio", 1.0, "1"),
        _volume,
        _volume_rule,
        _volume_remedy,
    ),
    "budget": Words(
        "Cost",
        ("cost", 1.0, "currency of the prices"),
        _budget,
        lambda _: "not over the budget",
        lambda _: "other drivers, or a larger budget",
    ),
}


def each(names: Sequence[str]) -> str:
    """Drivers as a phrase: "the woofer and the tweeter"."""
    return listed([f"the {name}" for name in names])


def figure_of(line: Line) -> tuple[float, str]:
    """A line's main figure and its unit, for a table; NaN where it is not known."""
    name, factor, unit = WORDS[line.check].main
    return factor * line.figures.get(name, math.nan), unit


def _lowest_and_others(line: Line) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The lowest drivers, and those that are held against them."""
    count = int(line.figures["below"])
    return line.subject[:count], line.subject[count:]


def _ohm(value: float) -> str:
    return f"{value:.1f} ohm"


def _mm(value: float, digits: int = 3) -> str:
    return in_unit(value, "mm", digits=digits)


def _signed(gain: float) -> str:
    return f"{'+' if gain > 0 else ''}{amount(gain, 'dB')}"


def _octaves(octaves: float, *, up: bool = False) -> str:
    """How far off something is: "1.3 octaves below"."""
    above = up == (octaves >= 0)
    return f"{number(abs(octaves), 'ka', finer=-1)} octaves {'above' if above else 'below'}"


def _width(width: float) -> str:
    return "more than 180°" if width >= directivity.ALL_SIDES else beam(width)
