"""A woofer with a port, taken out of its design and put back where it was: what `predict` has."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Branch, FrequencyGrid, PassFilter, Placement, Surface
from acoustics.listening import band_level
from acoustics.prediction import predict
from acoustics.studies.driver_map.face_places import face_places
from acoustics.studies.driver_map.moved import ask
from acoustics.studies.driver_map.scene import scene_of
from acoustics.studies.driver_map.study import Yardstick, judged, window_directions
from support.boxes import FS, parameters, vented
from support.cases import make_driver, pass_branch

BAND = (30.0, 1000.0)
LOWPASS = PassFilter("low-pass", "linkwitz-riley", 4, None, 1000.0)


@pytest.mark.parametrize("slopes", ["electrical", "acoustic"])
def test_where_it_was_it_sounds_as_predicted(slopes):
    case = vented(parameters(FS, 0.38), 1.5, 1.0, 7.0)
    (woofer,), (box,) = case.drivers, case.enclosures
    aside = replace(box.ports[0], face="left", position=(0.03, -0.03))
    case = replace(
        case,
        drivers=(
            replace(woofer, position=(-0.01, -0.02), acoustic_depth=0.02, inverted=True),
            make_driver("tweeter", 0.14, frame_diameter=0.05),
        ),
        enclosures=(replace(box, ports=(aside,)),),
        crossover=(
            Branch("driver", (LOWPASS,), slopes=slopes, level=80.0),
            pass_branch("tweeter", "high-pass", 1000.0),
        ),
        frequencies=FrequencyGrid(lowest=25.0, highest=1600.0, per_octave=2),
        arc_step=10.0,
        placement=Placement(pair=True, spacing=1.6, toe_in=10.0),
        surfaces=(Surface("floor", 0.0), Surface("front wall", 0.8, 0.9)),
    )
    directions = window_directions(30.0)
    scene, lattice = scene_of(case, (0,), directions), face_places(case, "driver", 0.05, 0.0)
    place = tuple(np.array([each]) for each in case.drivers[0].position)
    (heard,) = ask(case, scene.layout, (0,), scene.heard.points)
    cone = heard.exactly(lattice, *place).astype(complex)
    prediction = predict(case)

    window = cone[:, scene.heard.window]
    field = scene.taken[0].field([window], 0)
    (drive,), turn = scene.drives([field[:, 0]], [window[:, 0]], [np.zeros((1, 3))])
    electrical, acoustic = scene.window
    whole = (drive[:, None] * field + electrical + acoustic * turn[:, None])[0]
    truth = [prediction.arc_total.sel(plane=plane, angle=angle) for plane, angle in directions]
    np.testing.assert_allclose(decibels(whole), decibels(truth), atol=0.03)

    yardstick = Yardstick(BAND, BAND, None)
    found = judged(scene, lattice, (cone, None), place, yardstick)["seat_level"][..., 0]
    heard = prediction.seat_total.sel(
        surroundings="with reflections", ear_height=scene.heard.ear_height
    )
    expected = band_level(heard, prediction.frequency, BAND).transpose("speaker", "seat")
    np.testing.assert_allclose(found, expected, atol=0.03)


def decibels(pressure):
    return 20 * np.log10(np.abs(pressure) / 20e-6)
