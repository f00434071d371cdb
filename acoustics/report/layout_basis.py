"""What a search for a layout rests on, and where a builder should look twice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import pistons_of
from acoustics.case.text.units import in_unit
from acoustics.studies.comparison.audible import NOTICED
from acoustics.studies.layout_search.answer import LayoutFound
from acoustics.studies.layout_search.figures import IN_A_SENTENCE, SENSE
from acoustics.studies.layout_search.places import broken
from acoustics.studies.layout_search.rules import axis_driver, rules_of
from acoustics.studies.layout_search.sites import sites_of
from acoustics.studies.layout_search.variant import treated_cabinet
from acoustics.studies.wording import amount, hertz, listed

FAR_FROM_EARS = 0.05
"""m: an axis this far above or below every ear height is worth a word (common practice, no source)
"""


THIN = 3e-3
"""m: wood between cut-outs that is thinner splits (common practice, no source)"""


def basis(case: Case, found: LayoutFound) -> list[str]:
    """Band, directions, what stays, how exact the tables are, how many layouts were judged."""
    asked = found.question
    low, high = (hertz(f) for f in asked.band)
    smoothing = f", 1/{asked.smoothing:g} octave" if asked.smoothing else ""
    window = (
        "the listening window of CTA-2034-A"
        if asked.window == 30
        else f"±{asked.window:g}° to the sides and ±10° up"
    )
    tuned = bool(asked.corners or asked.delays)
    filters = (
        "With acoustic slopes each layout gets the filters that it needs."
        if any(branch.slopes == "acoustic" for branch in case.crossover)
        else "The filters stay" + (", but for what changes above." if tuned else ".")
    )
    off = max(found.deviation, 0.001)
    return [
        f"{low} to {high}{smoothing}; directions: {window}. Ripple is half the peak-to-peak about "
        "a straight line; left against right is the root mean square of the difference.",
        "All layouts are heard from the same points: the reference axis and the seats stay where "
        f"the case has them. {filters}",
        f"{found.tried} layouts were judged by tables of the field, which were off by at most "
        f"{amount(off, 'dB', finer=2)} in level where they were checked; what is told here was "
        f"solved by itself, rounded to 0.5 mm. Seed {asked.seed}: the same seed finds the same. "
        "A search like this proves no layout to be the best of all.",
        "Frames stay on the flat part of their face and clear of each other, of ports and of "
        "passive radiators"
        + (f", by {in_unit(asked.gap, 'mm')} of wood" if asked.gap else "")
        + ". Nothing here knows of braces, of boards that part the inside, or of how deep a "
        "driver is.",
    ]


def cautions(case: Case, found: LayoutFound) -> list[str]:
    """What to look at before wood is cut; nothing where the layout stays."""
    if found.stays:
        return []
    return [
        *_price(found),
        *_thin(case, found),
        *_ears(case, found),
        *_inside(case, found),
        *_measured(case, found),
    ]


def _price(found: LayoutFound) -> list[str]:
    """What gets notably worse for the sake of the aim."""
    worse = {
        quality: SENSE[quality] * (found.best.figures[quality] - found.start.figures[quality])
        for quality in found.start.figures
        if quality != found.question.aim
    }
    told = [
        f"{amount(loss, 'dB', finer=1)} {'more' if SENSE[quality] > 0 else 'less'} "
        f"{IN_A_SENTENCE[quality]}"
        for quality, loss in worse.items()
        if loss >= NOTICED
    ]
    return [f"The aim has its price: {listed(told)}."] if told else []


def _thin(case: Case, found: LayoutFound) -> list[str]:
    """Frames that all but touch, where no gap was asked for."""
    asked, treatment = found.question, found.best.treatment
    if asked.gap >= THIN:
        return []
    if treatment is not None:
        case = replace(case, cabinet=treated_cabinet(case.cabinet, treatment))
    sites = sites_of(case, asked.moved)
    rules = rules_of(case, replace(asked, gap=THIN), sites)
    places = [np.array(found.best.positions[site.driver.name]) for site in sites]
    if not broken(rules, places):
        return []
    return [
        f"Frames come closer than {in_unit(THIN, 'mm')} to each other or to an edge: wood so thin "
        'splits. Ask for more with gap = "8 mm", say, in [place], and search again.'
    ]


def _ears(case: Case, found: LayoutFound) -> list[str]:
    """The driver of the axis far from every ear height, which was not asked for."""
    index = axis_driver(case)
    name = case.drivers[index].name
    if found.question.ear_height is not None or name not in found.best.positions:
        return []
    (site,) = sites_of(case, [each for each in found.question.moved if each.driver == name])
    level = case.cabinet.floor_level
    right, up = np.array(found.best.positions[name])
    height = float(site.frame.points(right, up)[1]) - level
    now = float(pistons_of(case)[index].centre[1]) - level
    ears = case.seat.ear_heights

    def away(at: float) -> float:
        return min(abs(at - each) for each in ears)

    if away(height) <= max(FAR_FROM_EARS, away(now)):
        return []
    heights = listed([in_unit(each, "m", digits=3) for each in ears])
    return [
        f"The {name} would be {in_unit(height, 'm', digits=3)} above the floor, and ears are at "
        f"{heights}. Say where it may be with ear_height in [place], or stand the cabinet "
        f"{in_unit(abs(height - now), 'mm', digits=3)} {'higher' if height < now else 'lower'}."
    ]


def _inside(case: Case, found: LayoutFound) -> list[str]:
    """Drivers that move where the inside is parted or braced."""
    moved = [
        name
        for name, at in found.best.positions.items()
        if tuple(at) != tuple(case.driver(name).position)
    ]
    parted = len(case.enclosures) > 1
    braced = case.structure is not None and bool(case.structure.braces)
    if not (moved and (parted or braced)):
        return []
    what = ["the boards that part the inside"] if parted else []
    what += ["the braces"] if braced else []
    said = listed(what)
    come = "comes" if len(moved) == 1 else "come"
    return [
        f"{said[0].upper()}{said[1:]} were made for the present layout: see whether "
        f"{listed(moved)} still {come} before the right chamber and clear of all of them, or say "
        "in [place.drivers] how far each may go."
    ]


def _measured(case: Case, found: LayoutFound) -> list[str]:
    """Drivers that play as they were measured in the old place."""
    names = [each.name for each in case.drivers if each.measured is not None]
    changed = found.best.positions != found.start.positions or found.best.treatment is not None
    if not names or not changed:
        return []
    return [
        f"Played as measured in the present cabinet: {listed(names)}. prediction.nc carries that "
        "over to the new layout; case.toml cannot say it, and takes the tables for measured in "
        "the new one. Build a trial baffle and measure there before you trust that file."
    ]
