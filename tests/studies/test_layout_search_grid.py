"""A search of both drivers of the shipped two-way against everything on a grid.

Reference: the placement map for the tweeter alone, and all pairs of places 5 mm apart, judged by
brute force.
"""

from __future__ import annotations

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.design.place_model import Place
from acoustics.studies.layout_search.optimiser import judged_aims
from acoustics.studies.layout_search.question import checked_question
from acoustics.studies.layout_search.tabled import tabled
from acoustics.studies.layout_search.variant import variant_of
from support.cases import CASES

ALIKE = 0.02
"""dB: what a search may be behind a grid"""

SPACING = 5e-3


def lattice(box):
    lines = [
        SPACING * np.arange(np.ceil(low / SPACING - 1e-9), np.floor(high / SPACING + 1e-9) + 1)
        for low, high in box
    ]
    return np.stack([each.ravel() for each in np.meshgrid(*lines)], axis=1)


@pytest.mark.slow
def test_no_place_and_no_pair_of_places_of_a_grid_is_better():
    case = ac.read_case(CASES / "compact-centred")
    best = ac.search_layout(case).best.figures["ripple off axis"]
    mapped = ac.placement_map(case, "tweeter", spacing=SPACING)
    assert best <= float(mapped.spot_relative_ripple.sel(spot="best")) + ALIKE

    asked = checked_question(case, Place(against=None))
    variant = variant_of(case, asked, None, (asked.aim,))
    tables = tabled(variant, (asked.aim,), variant.allowed.boxes)
    tweeter, woofer = (lattice(box) for box in variant.allowed.boxes)
    # Cabinet, axis and window are symmetrical: the right half stands for both.
    rows = np.concatenate(
        [
            np.concatenate([np.repeat(at[None], len(woofer), axis=0), woofer], axis=1)
            for at in tweeter[tweeter[:, 0] > -1e-9]
        ]
    )
    rows = rows[variant.shortfall(rows) <= 0]
    assert len(rows) > 30_000
    least = min(judged_aims(tables, part).min() for part in np.array_split(rows, 40))
    assert best <= least + ALIKE
