"""What is asked of a search for a layout, checked against the design it is about."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Moved, Place, Quality
from acoustics.case.text.phrases import choice, listed
from acoustics.case.text.units import hertz
from acoustics.conventions import RoundoverError
from acoustics.crossover.branch import branches_of
from acoustics.listening.bands import why_not_covered, why_not_followed
from acoustics.studies.driver_map.face_places import driver_index
from acoustics.studies.layout_search.crossovers import Crossover, crossovers_of
from acoustics.studies.layout_search.figures import SENSE

FRONT = "front"


def checked_question(case: Case, place: Place | None) -> Place:
    """The question with all drivers that move by name.

    Args:
        case: the design.
        place: what is asked; None for what the case says in [place], else the usual.

    Raises:
        RoundoverError: drivers, qualities, corners or delays that this design does not have, or
            figures that cannot be told of it.
    """
    asked = place or case.place or Place()
    where = case.path or case.title
    groups = [each.driver for each in asked.moved], [each.driver for each in asked.delays]
    for given in groups:
        for name in given:
            driver_index(case, name)
        twice = [name for name in dict.fromkeys(given) if given.count(name) > 1]
        if twice:
            raise RoundoverError(f"{where}: '{twice[0]}' is named twice; name it once")
    moved = asked.moved or tuple(
        Moved(driver.name) for driver in case.drivers if driver.face == FRONT
    )
    if not moved:
        raise RoundoverError(
            f"{where}: no driver is on the front, so none moves unless it is named; name those "
            "that may move"
        )
    if asked.against == asked.aim:
        raise RoundoverError(
            f"{where}: '{asked.aim}' cannot be weighed against itself; choose another, or none"
        )
    for quality in (asked.aim, asked.against):
        if quality is not None:
            _refuse_unknown(case, quality, asked)
    _refuse_tuning(case, asked)
    return replace(asked, moved=moved)


def told_qualities(case: Case, asked: Place) -> tuple[Quality, ...]:
    """The qualities that can be told of a design's layouts."""
    frequency = case.frequencies.values()
    floor = case.floor is not None and not why_not_followed(frequency)
    return tuple(name for name in SENSE if name != "floor dip" or floor)


def searched_crossovers(case: Case, asked: Place) -> tuple[Crossover, ...]:
    """The crossovers whose corners move, from the lowest up."""
    return crossovers_of(case)[: len(asked.corners)]


def _refuse_unknown(case: Case, quality: Quality, asked: Place) -> None:
    """A quality that cannot be computed, or one that no layout could change."""
    where = case.path or case.title
    if quality not in SENSE:
        raise RoundoverError(f"{where}: '{quality}' is no aim; {choice(SENSE, str(quality))}")
    frequency = case.frequencies.values()
    if not asked.band[0] < asked.band[1]:
        raise RoundoverError(
            f"{where}: a band from {hertz(asked.band[0])} to {hertz(asked.band[1])} is none; give "
            "the lower frequency first"
        )
    if reason := why_not_covered(frequency, asked.band, asked.smoothing):
        raise RoundoverError(
            f"{where}: layouts cannot be judged: {reason}; change the band or [frequencies]"
        )
    if quality == "floor dip" and case.floor is None:
        raise RoundoverError(
            f"{where}: 'floor dip' cannot be told, because the case has no reflecting floor; add "
            "a table [floor], or choose another aim"
        )
    if quality == "floor dip" and (reason := why_not_followed(frequency)):
        raise RoundoverError(f"{where}: 'floor dip' cannot be told: {reason}")
    branches = branches_of(case)
    if quality == "ripple on axis" and all(branch.slopes == "acoustic" for branch in branches):
        raise RoundoverError(
            f"{where}: 'ripple on axis' tells no layouts apart, because every filter is computed "
            "so that the reference axis gets what is asked for (acoustic slopes); choose "
            "'ripple off axis' or 'common ripple', or give electrical slopes"
        )


def _refuse_tuning(case: Case, asked: Place) -> None:
    """Corners and delays that this crossover does not have."""
    where = case.path or case.title
    crossovers = crossovers_of(case)
    if len(asked.corners) > len(crossovers):
        has = listed([hertz(round(each.frequency)) for each in crossovers]) or "none"
        raise RoundoverError(
            f"{where}: spans for {len(asked.corners)} crossovers, but the crossover has corners "
            f"that move for {len(crossovers)} ({has}); those of passive crossovers are parts: fit "
            "them"
        )
    for span in (*asked.corners, *(each.span for each in asked.delays)):
        if not span[0] <= span[1]:
            raise RoundoverError(f"{where}: a span from {span[0]:g} to {span[1]:g} is none")
    for lower, upper in pairwise(asked.corners):
        if lower[1] >= upper[0]:
            raise RoundoverError(
                f"{where}: corners up to {hertz(lower[1])} and from {hertz(upper[0])} may change "
                "places; give spans that keep apart"
            )
    for each in asked.delays:
        if case.is_passive(each.driver):
            raise RoundoverError(
                f"{where}: '{each.driver}' hangs on the passive crossover and has no delay of its "
                "own; leave it out"
            )
