"""The dips of one reflecting surface, from design to figure, against the method of images."""

from __future__ import annotations

import dataclasses
from importlib import import_module

import numpy as np
import pytest

from acoustics.case.design.model import (
    Absorber,
    Cabinet,
    FrequencyGrid,
    Placement,
    ReferenceAxis,
    Surface,
)
from acoustics.conventions import Air, RoundoverError
from acoustics.listening.bounce import BounceDips, bounce, first_of
from acoustics.listening.bounce import bounces as all_bounces
from acoustics.listening.listeners import heard
from acoustics.listening.seat_waves import seat_waves
from acoustics.prediction import predict
from acoustics.room.porous import surface_impedance
from acoustics.room.reflection import plane_wave_reflection
from support.cases import seat_at
from support.free_field import solve_free_field

IMAGES = [
    "source 1.0 m, ear 1.0 m, 3.0 m apart",
    "source 0.9 m, ear 1.2 m, 2.5 m apart",
    "source 0.6 m, ear 1.1 m, 3.0 m apart",
]


def setup(make_case, driver, source_height, ear_heights, distance, aside=0.0, **changes):
    return make_case(
        [driver],
        cabinet=Cabinet(0.22, 0.38, 0.30, base_height=source_height - 0.19),
        seat=seat_at(distance, ear_heights, aside),
        **changes,
    )


def bounces(case, surface="floor"):
    return bounce(heard(predict(case, solve=solve_free_field)), surface)


def floor(reflection):
    return (Surface("floor", 0.0, reflection),)


@pytest.fixture(params=IMAGES)
def check(request, reference):
    return next(entry for entry in reference("floor_bounce") if entry["name"] == request.param)


def test_first_notch_of_a_rigid_floor(check, make_case, make_driver):
    given, expected = check["inputs"], check["expected"]
    case = setup(make_case, make_driver("only"), given["hs_m"], [given["hr_m"]], given["d_m"])
    first = bounces(case).isel(ear_height=0)
    assert float(first.dip_frequency) == pytest.approx(expected["notches_hz"][0], abs=0.1)
    assert float(first.dip_depth) == pytest.approx(-expected["notch_level_dB"], abs=0.01)
    assert first.dip_driver.item() == "only"
    # The curve itself, at the predicted frequency nearest the first peak.
    peak = first.difference.sel(frequency=expected["peaks_hz"][0], method="nearest")
    assert float(peak) == pytest.approx(expected["peak_level_dB"], abs=0.05)


@pytest.mark.parametrize("toe_in", [0.0, 25.0])
@pytest.mark.parametrize("surface", ["ceiling", "left wall", "right wall"])
def test_first_notch_of_the_same_geometry_turned(check, surface, toe_in, make_case, make_driver):
    given, expected = check["inputs"], check["expected"]
    source, ear, apart = given["hs_m"], given["hr_m"], given["d_m"]
    if surface == "ceiling":
        heights, aside, position = (2.6 - source, 2.6 - ear), 0.0, 2.6
    else:
        toward = -1.0 if surface == "left wall" else 1.0
        heights, aside, position = (1.0, 1.0), toward * (source - ear), source
    case = setup(
        make_case,
        make_driver("only"),
        heights[0],
        [heights[1]],
        apart,
        aside,
        surfaces=(Surface(surface, position),),
        placement=Placement(toe_in=toe_in),
    )
    first = bounces(case, surface).isel(ear_height=0)
    assert first.attrs["surface"] == surface
    assert float(first.dip_frequency) == pytest.approx(expected["notches_hz"][0], abs=0.1)
    assert float(first.dip_depth) == pytest.approx(-expected["notch_level_dB"], abs=0.01)


@pytest.mark.parametrize(("surface", "position"), [("front wall", 0.7), ("rear wall", 3.7)])
def test_first_notch_of_a_wall_behind_cabinet_or_listener(
    surface, position, make_case, make_driver
):
    # Method of images on a line: the detour is twice 0.7 m, to the wall and back.
    walls = (Surface(surface, position),)
    case = setup(make_case, make_driver("only"), 1.0, [1.0], 3.0, surfaces=walls)
    first = bounces(case, surface).isel(ear_height=0)
    assert float(first.dip_frequency) == pytest.approx(343.0 / (2 * 1.4), abs=0.1)
    assert float(first.dip_depth) == pytest.approx(-20 * np.log10(1 - 3.0 / 4.4), abs=0.01)


def test_each_surface_is_looked_at_by_itself(make_case, make_driver):
    def depth(*others):
        case = setup(
            make_case, make_driver("only"), 1.0, [1.0], 3.0, surfaces=(*floor(1.0), *others)
        )
        return float(bounces(case).dip_depth[0])

    assert depth(Surface("front wall", 0.5), Surface("ceiling", 2.4)) == pytest.approx(depth())


def test_a_surface_that_is_not_there_is_refused(make_case):
    view = heard(predict(make_case(), solve=solve_free_field))
    with pytest.raises(RoundoverError, match=r"no reflection from 'ceiling'.*in it: floor\."):
        bounce(view, "ceiling")
    bare = heard(predict(make_case(surfaces=()), solve=solve_free_field))
    with pytest.raises(RoundoverError, match="in it: none"):
        bounce(bare, "floor")


ABSORBER = Absorber(thickness=0.1, flow_resistivity=8000.0)


def absorbed(make_case, make_driver, lowest, highest):
    wall = Surface("front wall", 0.7, absorber=ABSORBER)
    return setup(
        make_case,
        make_driver("only"),
        1.0,
        [1.0],
        3.0,
        surfaces=(wall,),
        frequencies=FrequencyGrid(lowest, highest, 24),
    )


@pytest.fixture(scope="module")
def absorbed_first_dip():
    """Where the dip must be: the method of images with the plane-wave reflection factor."""
    fine = np.geomspace(60.0, 400.0, 20_001)
    air = make_air()
    factor = plane_wave_reflection(surface_impedance(ABSORBER, fine, air), np.array(1.0))
    curve = np.abs(1 + factor * 3.0 / 4.4 * np.exp(-2j * np.pi * fine / 343.0 * 1.4))
    return float(fine[curve.argmin()]), float(-20 * np.log10(curve.min()))


def make_air():
    return Air(speed_of_sound=343.0, density=1.2)


def test_an_absorber_moves_the_dip_and_makes_it_shallower(
    absorbed_first_dip, make_case, make_driver
):
    frequency, depth = absorbed_first_dip
    assert frequency < 0.95 * 343.0 / (2 * 1.4)
    first = bounces(absorbed(make_case, make_driver, 50.0, 2000.0), "front wall")
    assert float(first.dip_frequency[0]) == pytest.approx(frequency, abs=0.1)
    assert float(first.dip_depth[0]) == pytest.approx(depth, abs=0.01)


def test_the_phase_of_an_absorber_tells_where_a_dip_outside_the_frequencies_lies(
    absorbed_first_dip, make_case, make_driver
):
    frequency, _ = absorbed_first_dip
    below = bounces(absorbed(make_case, make_driver, 20.0, frequency * 0.95), "front wall")
    assert "lies above" in below.dip_note.item()
    told = float(below.dip_note.item().split("near ")[1].split(" Hz")[0])
    assert told == pytest.approx(frequency, rel=0.02)


def test_the_reference_point_away_from_the_driver_does_not_matter(make_case, make_driver):
    case = setup(make_case, make_driver("only"), 1.0, [1.0], 3.0)
    moved = dataclasses.replace(case, reference=ReferenceAxis((0.05, 0.15), 2.0))
    dips = [float(bounces(one).dip_frequency[0]) for one in (case, moved)]
    assert dips[0] == pytest.approx(dips[1], abs=0.01)


def test_a_softer_floor_makes_a_shallower_dip_and_none_below_one_decibel(make_case, make_driver):
    def depth(reflection):
        surfaces = floor(reflection)
        case = setup(make_case, make_driver("only"), 1.0, [1.0], 3.0, surfaces=surfaces)
        return float(bounces(case).dip_depth[0])

    # Method of images: 1 − reflection·r₁/r₂ at the notch.
    assert depth(0.5) == pytest.approx(-20 * np.log10(1 - 0.5 * 3 / np.hypot(3, 2)), abs=0.01)
    assert np.isnan(depth(0.1))


def test_the_dip_belongs_to_the_driver_that_plays_there(make_case, make_driver, pass_branch):
    def driver_of(corner):
        case = make_case(
            [make_driver("woofer", -0.05), make_driver("tweeter", 0.1)],
            crossover=(
                pass_branch("woofer", "low-pass", corner),
                pass_branch("tweeter", "high-pass", corner),
            ),
        )
        return bounces(case).dip_driver.values.tolist()

    assert driver_of(2500.0) == ["woofer", "woofer"]
    assert driver_of(80.0) == ["tweeter", "tweeter"]


def test_a_floor_that_reflects_nothing_makes_no_dip(make_case):
    nothing = bounces(make_case(surfaces=floor(0.0)))
    assert np.isnan(nothing.dip_frequency).all()
    assert not nothing.difference.values.any()
    assert nothing.dip_driver.values.tolist() == nothing.dip_note.values.tolist() == ["", ""]


@pytest.mark.parametrize(("reflection", "first"), [(1.0, 283.213011), (-1.0, 2 * 283.213011)])
def test_a_first_dip_outside_the_predicted_frequencies_is_not_known(
    make_case, make_driver, reflection, first
):
    # Method of images, source and ear 1 m high, 3 m apart: path difference 0.605551 m.
    def found_in(lowest, highest):
        case = setup(
            make_case,
            make_driver("only"),
            1.0,
            [1.0],
            3.0,
            surfaces=floor(reflection),
            frequencies=FrequencyGrid(lowest, highest, 24),
        )
        return bounces(case).isel(ear_height=0)

    known = found_in(100.0, 2000.0)
    assert float(known.dip_frequency) == pytest.approx(first, abs=0.2)
    assert known.dip_note.item() == known.deepest_dip_note.item() == ""
    for lowest in (first * 1.01, first * 1.6):
        above = found_in(lowest, 4000.0)
        for name in ("dip", "deepest_dip"):
            assert np.isnan(above[f"{name}_frequency"])
            assert np.isnan(above[f"{name}_depth"])
            assert above[f"{name}_driver"].item() == ""
            assert f"near {first:.0f} Hz, lies below" in above[f"{name}_note"].item()
    below = found_in(50.0, first * 0.9)
    assert np.isnan(below.dip_frequency)
    assert f"near {first:.0f} Hz, lies above" in below.dip_note.item()


def test_the_first_dip_is_expected_from_the_driver_that_plays_there(
    make_case, make_driver, pass_branch
):
    # The reference point is the tweeter's, whose own first dip would lie at 216 Hz; that of the
    # woofer near the floor lies at 1.6 kHz (method of images).
    case = make_case(
        [make_driver("woofer", -0.4), make_driver("tweeter", 0.4)],
        crossover=(
            pass_branch("woofer", "low-pass", 2500.0),
            pass_branch("tweeter", "high-pass", 2500.0),
        ),
        cabinet=Cabinet(0.22, 1.0, 0.3, base_height=0.03),
        seat=seat_at(2.5, [1.0]),
        frequencies=FrequencyGrid(300.0, 10_000.0, 24),
    )
    found = bounces(case).isel(ear_height=0)
    way = np.hypot(2.5, 1.13) - np.hypot(2.5, 0.87)
    assert float(found.dip_frequency) == pytest.approx(343.0 / (2 * way), rel=0.1)
    assert found.dip_note.item() == ""


@pytest.mark.parametrize("per_octave", [6, 12, 24])
def test_a_deep_notch_has_its_depth_on_any_grid(make_case, make_driver, per_octave):
    # Far away both ways are nearly alike: 1 − r₁/r₂ is small, the notch deep and narrow (method of
    # images).
    case = setup(
        make_case,
        make_driver("only"),
        1.0,
        [1.0],
        60.0,
        frequencies=FrequencyGrid(500.0, 16_000.0, per_octave),
    )
    found = bounces(case).isel(ear_height=0)
    near, far = 60.0, np.hypot(60.0, 2.0)
    assert float(found.dip_depth) == pytest.approx(-20 * np.log10(1 - near / far), abs=0.01)
    assert float(found.dip_frequency) == pytest.approx(343.0 / (2 * (far - near)), rel=1e-4)


@pytest.fixture
def hidden_dip(make_case, make_driver, pass_branch):
    """Below the corner a woofer at the floor, above it a tweeter at ear height.

    The tweeter's first dip, near 249 Hz by the method of images, is filled by the woofer.
    """

    def build(corner, **changes):
        return make_case(
            [make_driver("woofer", -0.45), make_driver("tweeter", 0.45)],
            crossover=(
                pass_branch("woofer", "low-pass", corner, order=2),
                pass_branch("tweeter", "high-pass", corner, order=2, inverted=True),
            ),
            cabinet=Cabinet(0.22, 1.0, 0.3, base_height=0.03),
            seat=seat_at(2.5, [1.0]),
            **changes,
        )

    return build


def test_the_deepest_dip_is_told_beside_the_first(hidden_dip):
    found = bounces(hidden_dip(250.0)).isel(ear_height=0)
    # What the grid of 24 per octave steps over, a grid of 600 per octave shows.
    fine = hidden_dip(250.0, frequencies=FrequencyGrid(300.0, 1500.0, 600))
    curve = bounces(fine).difference.isel(ear_height=0)
    shallow, deep = curve.sel(frequency=slice(None, 400.0)), curve
    for name, part in (("dip", shallow), ("deepest_dip", deep)):
        assert float(found[f"{name}_depth"]) == pytest.approx(-float(part.min()), abs=0.1)
        where = float(part.frequency[int(part.values.argmin())])
        assert float(found[f"{name}_frequency"]) == pytest.approx(where, rel=2e-3)
    assert float(found.dip_depth) < 3 < 20 < float(found.deepest_dip_depth)


def test_a_dip_that_another_driver_fills_is_not_missed(hidden_dip):
    case = hidden_dip(350.0, frequencies=FrequencyGrid(300.0, 4000.0, 24))
    found = bounces(case).isel(ear_height=0)
    assert found.dip_note.item() == ""
    assert float(found.dip_frequency) == pytest.approx(3 * 249.0, rel=0.05)


def test_the_deepest_dip_is_not_known_where_the_frequencies_end_early(make_case, make_driver):
    case = setup(
        make_case,
        make_driver("only"),
        1.0,
        [1.0],
        3.0,
        frequencies=FrequencyGrid(100.0, 1000.0, 24),
    )
    found = bounces(case).isel(ear_height=0)
    assert float(found.dip_frequency) == pytest.approx(283.213011, abs=0.1)
    assert np.isnan(found.deepest_dip_depth)
    assert "end at 1000 Hz" in found.deepest_dip_note.item()


@pytest.mark.parametrize("per_octave", [1, 5])
def test_between_few_frequencies_dips_are_not_known(make_case, make_driver, per_octave):
    grid = FrequencyGrid(20.0, 16_000.0, per_octave)
    case = setup(make_case, make_driver("only"), 1.0, [1.0], 3.0, frequencies=grid)
    found = bounces(case).isel(ear_height=0)
    for name in ("dip", "deepest_dip"):
        assert np.isnan(found[f"{name}_frequency"])
        assert found[f"{name}_driver"].item() == ""
        assert "take per_octave = 6 or more" in found[f"{name}_note"].item()
    assert np.isfinite(found.difference).all()


def test_a_first_dip_next_to_nothing_has_no_figure():
    def note(expected):
        return first_of(BounceDips((), "below the predicted frequencies", expected))[1]

    assert note(0.4) == "the first dip lies below the predicted frequencies"
    assert note(40.0) == "the first dip, near 40 Hz, lies below the predicted frequencies"


def test_a_first_dip_high_up_is_found(make_case, make_driver):
    # Method of images: a driver 3 cm above the floor, ears 3 m away; nothing dips below 1.5 kHz.
    cabinet = Cabinet(0.04, 0.04, 0.30, base_height=0.01)
    seat = seat_at(3.0, [1.0])
    case = make_case([make_driver("only")], cabinet=cabinet, seat=seat, surfaces=floor(1.0))
    found = bounces(case).isel(ear_height=0)
    way = np.hypot(3.0, 1.03) - np.hypot(3.0, 0.97)
    assert float(found.dip_frequency) == pytest.approx(343.0 / (2 * way), rel=1e-4)
    assert found.dip_note.item() == found.deepest_dip_note.item() == ""
    assert np.isnan(found.deepest_dip_frequency)


def test_all_surfaces_at_once_are_each_by_itself(make_case):
    surfaces = (*floor(0.9), Surface("front wall", 0.7), Surface("ceiling", 2.5, absorber=ABSORBER))
    view = heard(predict(make_case(surfaces=surfaces), solve=solve_free_field))
    together = all_bounces(view)
    assert list(together) == [surface.name for surface in surfaces]
    for name, found in together.items():
        assert found.identical(bounce(view, name))
    assert all_bounces(view.sel(path=["direct"])) == {}


def test_all_surfaces_share_one_reading_of_the_seat(make_case, monkeypatch):
    readings = []

    def counted(view, paths):
        readings.append(paths)
        return seat_waves(view, paths)

    monkeypatch.setattr(import_module("acoustics.listening.bounce"), "seat_waves", counted)
    surfaces = (*floor(0.9), Surface("front wall", 0.7))
    all_bounces(heard(predict(make_case(surfaces=surfaces), solve=solve_free_field)))
    assert readings == [("direct", "floor", "front wall")]
