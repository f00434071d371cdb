"""Drivers of one enclosure played together: what circuits in parallel do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.source.motion import motion_of, total
from acoustics.source.together import together
from support.boxes import FS, boxed, parameters

F = np.geomspace(10.0, 500.0, 40)


def pair(**changes):
    """A driver in a box, and it with a second, changed, in one of twice the volume."""
    one = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    box = one.enclosures[0]
    larger = replace(box, drivers=("driver", "second"), gross=2 * box.gross)
    second = replace(one.drivers[0], name="second", **changes)
    return one, replace(one, drivers=(one.drivers[0], second), enclosures=(larger,))


def test_one_driver_is_left_as_it_is():
    one, _ = pair()
    alone = motion_of(one, F)
    same = together(one, alone, [0], F)
    assert same.volume_velocity == pytest.approx(alone.volume_velocity, rel=1e-12)
    assert same.leak == pytest.approx(alone.leak, rel=1e-12)
    assert same.impedance == pytest.approx(alone.impedance, rel=1e-9)


def test_two_alike_are_each_as_one_in_its_own_half():
    one, two = pair()
    alone, both = motion_of(one, F), together(two, motion_of(two, F), [0, 1], F)
    assert both.impedance[0] == pytest.approx(alone.impedance[0], rel=1e-9)
    assert both.impedance[1] == pytest.approx(alone.impedance[0], rel=1e-9)
    assert total(both)[0] == pytest.approx(2 * total(alone)[0], rel=1e-9)
    # One played alone, with the other's terminals shorted, is heavier to move.
    assert np.abs(motion_of(two, F).impedance[0] - alone.impedance[0]).max() > 0.1


def test_two_against_each_other_feel_no_box():
    """What one takes from the air the other gives: both move as in free air."""
    _, two = pair(inverted=True)
    both = together(two, motion_of(two, F), [0, 1], F)
    free = motion_of(boxed(parameters(FS, 0.4)), F)
    assert np.abs(total(both)[0]).max() < 1e-12 * np.abs(free.volume_velocity).max()
    assert both.volume_velocity[0, 0] == pytest.approx(free.volume_velocity[0, 0], rel=1e-9)
    assert both.volume_velocity[1, 0] == pytest.approx(-free.volume_velocity[0, 0], rel=1e-9)
    assert both.impedance[0] == pytest.approx(free.impedance[0], rel=1e-9)


def test_an_inverted_driver_draws_what_it_draws():
    one, _ = pair()
    wired = replace(one, amplifier=Amplifier(resistance=0.5))
    turned = replace(wired, drivers=(replace(wired.drivers[0], inverted=True),))
    plain = together(wired, motion_of(wired, F), [0], F)
    other = together(turned, motion_of(turned, F), [0], F)
    assert other.volume_velocity == pytest.approx(-plain.volume_velocity, rel=1e-12)
    assert other.impedance == pytest.approx(plain.impedance, rel=1e-9)
