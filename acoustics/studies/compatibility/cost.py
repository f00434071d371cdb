"""What the drivers cost and weigh."""

from __future__ import annotations

import math
from collections.abc import Iterator

from acoustics.case.design.model import Case
from acoustics.studies.compatibility.line import Line, at_most

OVER = 1.1
"""Cost over budget: so much at a second look."""


def cost_lines(case: Case) -> Iterator[Line]:
    """Price of all drivers of all cabinets against the brief's budget; their mass.

    What is known counts: where it alone is over the budget, the rest does not matter.
    """
    cabinets = 2 if case.placement.pair else 1
    budget = case.brief.budget if case.brief else None
    prices = [driver.price for driver in case.drivers]
    masses = [driver.mass for driver in case.drivers]
    if budget is None and None in prices:
        return
    cost = cabinets * sum(price for price in prices if price is not None)
    missing = tuple(
        f"drivers.{driver.name}.price" for driver in case.drivers if driver.price is None
    )
    verdict = "not known" if budget is None else at_most(cost / budget, 1.0, OVER)
    yield Line(
        "budget",
        (),
        {
            "cost": cost,
            "budget": math.nan if budget is None else budget,
            "cabinets": float(cabinets),
            "mass": math.nan
            if None in masses
            else cabinets * sum(mass for mass in masses if mass is not None),
        },
        "not known" if missing and verdict != "bad" else verdict,
        missing=(*missing, *(("brief.budget",) if budget is None else ())),
        source="the brief",
    )
