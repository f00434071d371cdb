"""What braces do, and that a higher mode is not the same as less motion."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet
from acoustics.case.design.structure_model import Brace, Structure
from acoustics.structure.wall_effects import brace_effects, brace_options
from acoustics.structure.wall_forced import wall_responses
from acoustics.structure.wall_groups import panel_of
from acoustics.structure.wall_modes import groups_of, panels_of
from support.plates import MDF, wall_alone

A, B = 0.6, 0.3
STIFF = replace(MDF, name="stiff", along=1e16, shear=1e3, density=1e-3)
"""Rigid along itself, free to turn, weightless: the brace of the handbook values."""
BOARDS = Structure("mdf", (MDF, STIFF), fixity=0.0)
BOX = Cabinet(width=0.22, height=0.38, depth=0.30, base_height=0.6, wall_thickness=0.018)


def bar(**changes):
    return replace(Brace("bar", "bar", ("front",), 0.018, 0.05, material="stiff"), **changes)


def test_rigid_bars_across_and_along(reference):
    panels = [panel_of(wall_alone(A, B), 0.0)]
    expected = {
        "crosswise": next(
            each["expected"]["ratio"]
            for each in reference("plates")
            if each["name"].endswith("0.3 m, SSSS") and each["kind"] == "braced panel"
        ),
        "lengthwise": 3.4,
    }
    assert expected["crosswise"] == pytest.approx(1.6)
    for run, ratio in expected.items():
        (effect,) = brace_effects(panels, replace(BOARDS, braces=(bar(run=run),)))
        assert effect.without.lowest == pytest.approx(237.672296, rel=1e-5)
        assert effect.braced.lowest / effect.without.lowest == pytest.approx(ratio, rel=1e-4)


def test_what_even_pressure_moves_is_told_apart():
    # The wall in two halves: its lowest mode, with the halves opposed, is not driven by pressure;
    # the lowest that is has the halves in step, each clamped at the bar by its symmetry.
    panels = [panel_of(wall_alone(A, B), 0.0)]
    (effect,) = brace_effects(panels, replace(BOARDS, braces=(bar(),)))
    # Hinged on three sides, clamped on one, square: λ = 23.646 (Leissa, NASA SP-160, table A3).
    D, rho_h = 1602.1978, 750 * 0.018
    half = 23.646 / (2 * math.pi * 0.3**2) * math.sqrt(D / rho_h)
    assert effect.braced.driven == pytest.approx(half, rel=3e-3)  # the curvature has a kink there
    assert effect.braced.lowest == pytest.approx(380.275674, rel=1e-4)


def test_a_higher_lowest_mode_is_not_less_motion():
    # A rigid bar across the middle gives the higher lowest mode of two, but leaves two fields that
    # pressure moves in step; a little beside the middle they are out of tune with each other.
    panels = [panel_of(wall_alone(A, B), 0.0)]
    middle, beside = (
        brace_effects(panels, replace(BOARDS, braces=(bar(at=at),)))[0] for at in (0.0, 0.05)
    )
    assert middle.braced.lowest > 1.05 * beside.braced.lowest > 1.4 * middle.without.lowest
    assert beside.volume < middle.volume - 2.0 < -8.0


def test_figures_are_means_of_the_responses():
    panels = [panel_of(wall_alone(A, B), 0.0)]
    structure = replace(BOARDS, braces=(bar(at=0.2),), reach=600.0)
    (effect,) = brace_effects(panels, structure)
    frequency = np.geomspace(50.0, 600.0, 1001)
    braced = wall_responses(groups_of(panels, structure), frequency, patch=0.03)[0]
    bare = wall_responses(groups_of(panels, BOARDS), frequency, patch=0.03)[0]
    for found, figures in ((braced, effect.braced), (bare, effect.without)):
        assert np.mean(np.abs(found.per_pressure) ** 2) == pytest.approx(figures.volume, rel=0.02)
        square = np.abs(found.patch_per_pressure) ** 2
        assert np.mean(found.patch_area @ square) == pytest.approx(figures.motion, rel=0.03)


def test_each_brace_is_left_out_by_itself(make_case, make_driver):
    case = make_case([make_driver("woofer", -0.05)], cabinet=BOX)
    braces = (
        Brace("strut", "strut", ("left",), 0.02, 0.04),
        Brace("bar", "bar", ("left", "top"), 0.018, 0.04),
        Brace("shelf", "shelf", (), 0.0, 0.018, at=0.12),
    )
    panels = panels_of(case, BOARDS)
    effects = brace_effects(panels, replace(BOARDS, braces=braces))
    assert [(each.brace, each.wall) for each in effects] == [
        *(("strut", wall) for wall in ("left", "right")),
        *(("bar", wall) for wall in ("left", "top")),
        *(("shelf", wall) for wall in ("front", "back", "right", "left")),
    ]
    # With all of them a wall is the same whichever is left out for comparison.
    left = [each for each in effects if each.wall == "left"]
    assert len({each.braced for each in left}) == 1
    assert len({each.without for each in left}) == 3
    (top,) = (each for each in effects if each.wall == "top")
    (bare,) = brace_effects(panels, replace(BOARDS, braces=(replace(braces[1], walls=("top",)),)))
    assert top.without.lowest == pytest.approx(bare.without.lowest, rel=1e-12)


def test_options_are_tried_on_what_is_there(make_case, make_driver):
    woofer = make_driver("woofer", -0.05, cutout_diameter=0.145, frame_diameter=0.166)
    case = make_case([woofer], cabinet=BOX)
    panels = panels_of(case, BOARDS)
    options = brace_options(panels, BOARDS, ["left", "front"])
    assert [each.name for each in options["left"]] == [
        "lengthwise",
        "crosswise",
        "thirds",
        "strut",
    ]
    for option in options["left"]:
        added = brace_effects(panels, replace(BOARDS, braces=option.braces))
        if len(option.braces) == 1:
            for one, other in zip(option.effects, added, strict=True):
                assert one.wall == other.wall
                assert one.braced.lowest == pytest.approx(other.braced.lowest, rel=1e-9)
                assert one.motion == pytest.approx(other.motion, abs=1e-6)
        assert option.blocked == ()
    thirds = options["left"][2]
    assert sorted(brace.at for brace in thirds.braces) == pytest.approx([-0.344 / 6, 0.344 / 6])
    lengthwise, *_, strut = options["front"]
    assert lengthwise.blocked == ("woofer",)
    # A strut in the middle would stand in the cut-out, so nothing is said of what it does.
    assert (strut.blocked, strut.effects) == (("woofer",), ())
