"""Which measurements are proposed: what is usual, less what was made already."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Branch
from acoustics.studies.verification.diagnosis.candidates import candidate_places, candidates
from acoustics.studies.verification.readings.readings import Readings
from support.boxes import FS, boxed, parameters
from support.cases import make_case, make_driver
from support.verification import one_response

NOTHING = Readings((), (), 0.005, 0.5)
CASE = make_case((make_driver("woofer", -0.06), make_driver("tweeter", 0.11)))


def names(case, readings):
    return [each.name for one in candidates(case, readings) for each in one.responses] + [
        each.name for one in candidates(case, readings) for each in one.impedances
    ]


def test_of_two_drivers_without_parameters():
    assert names(CASE, NOTHING) == [
        "woofer alone",
        "tweeter alone",
        "all with the woofer reversed",
        "the loudspeaker on its axis",
        "the loudspeaker from 30° to the right",
        "the loudspeaker from 15° up",
        "the loudspeaker from 15° down",
        "the loudspeaker at half the distance",
    ]
    for one in candidates(CASE, NOTHING):
        assert (one.microphone, one.level) == (0.005, 0.5)
        assert len(one.responses) + len(one.impedances) == 1


def test_what_is_at_hand_is_not_proposed():
    (axis,) = (
        each
        for one in candidates(CASE, NOTHING)
        for each in one.responses
        if each.name == "the loudspeaker on its axis"
    )
    left = names(CASE, replace(NOTHING, responses=(axis,)))
    assert "the loudspeaker on its axis" not in left
    assert len(left) == 7
    # A tenth of a millimetre away is there; with another driver reversed it is something else.
    x, y, z = axis.place
    near = replace(axis, place=(x, y, z + 1e-4))
    assert "the loudspeaker on its axis" not in names(CASE, replace(NOTHING, responses=(near,)))
    turned = replace(axis, reversed=(1,))
    assert "the loudspeaker on its axis" in names(CASE, replace(NOTHING, responses=(turned,)))


def test_places_are_turned_about_the_reference_point():
    """cos 30° and sin 30° of the distance, and half of it straight ahead."""
    x, y = CASE.reference.point[:2]
    distance = CASE.reference.distance
    places = candidate_places(CASE, NOTHING)
    assert len(places) == len(set(places)) == 5
    expected = [
        (x, y, distance),
        (x + distance / 2, y, distance * math.sqrt(3) / 2),
        (x, y + distance * math.sin(math.pi / 12), distance * math.cos(math.pi / 12)),
        (x, y - distance * math.sin(math.pi / 12), distance * math.cos(math.pi / 12)),
        (x, y, distance / 2),
    ]
    assert np.array(places) == pytest.approx(np.array(expected), abs=1e-9)


def test_one_driver_with_parameters_has_an_impedance_and_nothing_alone():
    one = boxed(parameters(FS, 0.4), 2.0)
    told = names(one, NOTHING)
    assert told[0] == "the loudspeaker on its axis"
    assert told[-1] == "impedance of the driver at its own terminals"
    assert not any("alone" in name or "reversed" in name for name in told)
    passive = replace(one, crossover=(Branch("driver", slopes="passive"),))
    assert names(passive, NOTHING)[-2:] == [
        "impedance of the loudspeaker at its terminals",
        "impedance of the driver at its own terminals",
    ]


def test_the_first_response_says_where_drivers_are_measured_alone():
    at = one_response(place=(0.02, 0.1, 0.7))
    alone = candidates(CASE, replace(NOTHING, responses=(at,)))[0].responses[0]
    assert alone.place == (0.02, 0.1, 0.7)
