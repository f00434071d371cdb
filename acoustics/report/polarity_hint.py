"""A hint where a crossover's alignment asks for a polarity that the design does not have."""

from __future__ import annotations

import xarray as xr

from acoustics.case.model import Case, PassFilter
from acoustics.listening import crossovers
from acoustics.studies.wording import hertz


def polarity_hints(case: Case, prediction: xr.Dataset) -> list[str]:
    """One sentence for each Linkwitz–Riley crossover whose drivers cancel by their polarity.

    The two outputs of a Linkwitz–Riley pair are order × 90° apart (Linkwitz, J. Audio Eng. Soc.
    24, 1976; Lipshitz & Vanderkooy, ibid. 34, 1986): the second and sixth order need one driver
    inverted, the fourth and eighth both drivers alike.
    """
    found = crossovers(prediction)
    hints = []
    for frequency, lower, upper in zip(
        found.crossover_frequency.values,
        map(str, found.lower_driver.values),
        map(str, found.upper_driver.values),
        strict=True,
    ):
        orders = {_order(case, lower, falling=True), _order(case, upper, falling=False)}
        order = orders.pop() if len(orders) == 1 else None
        if order is None:
            continue
        opposed = _inverted(case, lower) != _inverted(case, upper)
        if opposed == (order % 4 == 2):
            continue
        ask = "the same polarity" if opposed else "opposite polarities"
        have = "opposite polarities" if opposed else "the same polarity"
        hints.append(
            f"{lower} and {upper} have {have}. Linkwitz-Riley filters of order {order} "
            f"add up with {ask}: unless the drivers' depths make up for it, the two cancel around "
            f"{hertz(frequency)}. Try inverting one of them."
        )
    return hints


def _order(case: Case, driver: str, *, falling: bool) -> int | None:
    """Order of a driver's Linkwitz–Riley slope, None where it has another or more than one."""
    slopes = [
        section
        for branch in case.crossover
        if branch.driver == driver
        for section in branch.sections
        if isinstance(section, PassFilter)
        and (section.high_corner if falling else section.low_corner) is not None
    ]
    if len(slopes) != 1 or slopes[0].alignment != "linkwitz-riley":
        return None
    return slopes[0].order


def _inverted(case: Case, driver: str) -> bool:
    wired = case.driver(driver).inverted
    return wired != any(branch.inverted for branch in case.crossover if branch.driver == driver)
