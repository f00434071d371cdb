"""What drivers and ports do to the air in a cabinet and hear of it, and when that is not known."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import j1

from acoustics.cabinet import Body
from acoustics.cabinet.half_spaces import solid_behind
from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.design.model import Cabinet
from acoustics.case.design.structure_model import Brace, Lining, Structure
from acoustics.case.geometry.mouths import Mouth
from acoustics.structure.air_bands import corner_bands, waves_in_bands
from acoustics.structure.air_inside import (
    AirError,
    Inside,
    inside_of,
    lining_fault,
    one_space,
    shelf_notes,
)
from acoustics.structure.air_modes import air_modes, box_modes, mode_shapes_at
from acoustics.structure.air_places import Opening, felt, mouth_rule, openings_of, quiet_heights
from acoustics.structure.air_response import pressure_per_flow, response, standing_wave_response
from acoustics.structure.lining_table import lining_table
from support.cases import make_case, make_driver

WALLS = ("front", "back", "left", "right", "top", "bottom")
CABINET = Cabinet(width=0.22, height=0.38, depth=0.30, base_height=0.6, wall_thickness=0.018)
PORT = Port("rear", (0.05,), 0.12, (0.0, 0.08), face="back")


def case_with(y: float = -0.05, **changes):
    drivers = (
        make_driver("woofer", y, piston_diameter=0.13, frame_diameter=0.165),
        make_driver("tweeter", 0.14),
    )
    gross = 0.184 * 0.344 * 0.264
    enclosure = Enclosure("bass", "vented", ("woofer",), gross, ports=(PORT,))
    return make_case(drivers, **{"cabinet": CABINET, "enclosures": (enclosure,), **changes})


def structure(**changes) -> Structure:
    return Structure("board", (), **changes)


def test_a_tube_driven_at_its_end_is_the_closed_tube_of_the_handbook():
    # −jρc/S cot kL at the driven end, −jρc/(S sin kL) at the other (Kinsler et al., ch. 10; from
    # memory): so slender that it moves along one axis alone.
    side, long = 0.01, 0.3
    body = Body.box(width=side, height=side, depth=long)
    solid = solid_behind(body.normals, body.offsets)
    assert solid is not None
    air = make_case().air
    modes = box_modes(Inside(body.normals, body.offsets, WALLS, solid), air, 6000.0)
    ends = tuple(
        Opening(name, "driver", np.array([[0.0, 0.0, z]]), np.ones(1))
        for name, z in (("front", 0.0), ("back", -long))
    )
    frequency = np.array([100.0, 300.0, 450.0, 700.0, 900.0])
    lossless = modes.frequency, np.zeros(modes.count)
    found = pressure_per_flow(modes, felt(modes, ends), frequency, lossless)
    wave, area = 2 * np.pi * frequency / 343.0, side**2
    near = -1j * 1.2 * 343.0 / area / np.tan(long * wave)
    far = -1j * 1.2 * 343.0 / area / np.sin(long * wave)
    spring = 1.2 * 343.0**2 / (2 * np.pi * frequency * area * long)
    # What is left out beyond 12 kHz is a mass: 2/(π² 21) of that of all the air.
    missing = 2 / (np.pi**2 * modes.terms.size) * (long * wave) ** 2
    assert (np.abs(found[0, 0] - near) / spring < 1.2 * missing).all()
    np.testing.assert_allclose(found[1, 0] / spring, far / spring, atol=0.02)


def test_who_drives_and_who_listens_may_change_places():
    found = standing_wave_response(case_with(), None, np.array([90.0, 500.0, 700.0]))
    np.testing.assert_allclose(found.pressure, found.pressure.transpose(1, 0, 2), rtol=1e-12)


def test_at_low_frequencies_the_air_is_a_spring():
    found = standing_wave_response(case_with(), None, np.array([20.0]))
    assert np.abs(found.level).max() < 0.1


def test_a_small_driver_where_a_wave_is_silent_leaves_it_alone():
    case = case_with()
    modes = air_modes(case)
    heard = felt(modes, openings_of(case, modes.inside))
    # The woofer is on the centre line: (1 0 0) has its node there.
    number = modes.names.index("1 0 0")
    assert abs(heard[0, 1 + number]) < 1e-9
    # A disc's mean is a bit less than what the shape is at its centre.
    first = modes.names.index("0 1 0")
    centre = mode_shapes_at(modes, np.array([[0.0, -0.05, -0.018]]))[first, 0]
    assert abs(centre) == pytest.approx(math.sqrt(2) * math.sin(math.pi * 0.05 / 0.344))
    assert 0.9 * abs(centre) < abs(heard[0, 1 + first]) < abs(centre)


def test_a_port_opens_inside_by_its_length():
    case = case_with()
    _, port = openings_of(case, inside_of(case))
    np.testing.assert_allclose(port.points[:, 2], -0.30 + 0.12)
    assert port.points.mean(axis=0)[:2] == pytest.approx([0.0, 0.08])
    assert port.weights.sum() == pytest.approx(1.0)
    # ρ l/S with the ends of a flush and a free duct
    area = math.pi / 4 * 0.05**2
    assert port.mass == pytest.approx(1.2 * (0.12 + 0.025 * (0.82167 + 0.6127)) / area)


def test_below_the_standing_waves_a_port_does_what_a_helmholtz_resonator_does():
    # The tuning of the whole inside, ends of a flush and a free duct (Small 1973, without losses;
    # from memory): the air before the mouth is counted once, though the waves hold it too.
    case = case_with()
    (_, port), volume = openings_of(case, inside_of(case)), inside_of(case).volume
    assert port.mass is not None
    tuning = math.sqrt(1.2 * 343.0**2 / (volume * port.mass)) / (2 * math.pi)
    near = np.linspace(0.97, 1.03, 601) * tuning
    found = standing_wave_response(case, None, near, bare=True)
    assert near[np.abs(found.port_flow[0, 0]).argmax()] == pytest.approx(tuning, rel=3e-3)


@pytest.mark.parametrize("reach", [1500.0, 3000.0])
@pytest.mark.parametrize("radius", [0.025, 0.065])
def test_the_air_before_a_cone_is_not_counted_twice(radius, reach):
    # A disc in the wall of a hard box: the double sum over waves with the mean 2 J1(ka)/ka of each
    # (Morse & Ingard, 9.4; from memory), and the mass 8ρ/3π²a of a disc in an endless wall taken
    # off (Kinsler et al., ch. 7; from memory). Over the depth the sum is a coth.
    sizes, place = np.array([0.184, 0.344, 0.264]), (0.092, 0.122)
    body = Body.box(width=0.184, height=0.344, depth=0.264)
    solid = solid_behind(body.normals, body.offsets)
    assert solid is not None
    air = make_case().air
    modes = box_modes(Inside(body.normals, body.offsets, WALLS, solid), air, reach)
    points, weights = mouth_rule(Mouth((0.0, place[1] - 0.172), radius=radius))
    disc = Opening("disc", "driver", np.c_[points, np.zeros(len(points))], weights)
    frequency = np.array([20.0, 100.0, 200.0, 300.0])
    found = response(modes, (disc,), frequency, (modes.frequency, np.zeros(modes.count)))

    across = np.stack(np.meshgrid(np.arange(150), np.arange(280), indexing="ij"), -1).reshape(-1, 2)
    waves = np.pi * across / sizes[:2]
    around = np.hypot(*waves.T)
    x = np.where(around > 0, around * radius, 1.0)
    mean = np.where(around > 0, 2 * j1(x) / x, 1.0) * np.cos(waves * place).prod(axis=1)
    strength = np.where(across > 0, 2.0, 1.0).prod(axis=1) * mean**2
    turn = 2 * np.pi * frequency
    kappa = np.sqrt(around[:, None] ** 2 - (turn / air.speed_of_sound) ** 2 + 0j)
    mass = air.density / sizes[:2].prod() * (strength[:, None] / kappa / np.tanh(kappa * sizes[2]))
    exact = mass.sum(axis=0) - 8 * air.density / (3 * np.pi**2 * radius)
    # kg/m⁴; the sum alone is off by 4 to 8, by how much depends on where it ends.
    np.testing.assert_allclose(found.pressure[0, 0].imag / turn, exact.real, atol=0.1, rtol=0)


def test_material_lowers_what_is_heard_of_a_wave():
    case = case_with(y=-0.08)
    frequency = np.geomspace(400.0, 600.0, 60)
    linings = (Lining(("back", "top", "bottom"), 0.02, 10_000.0, 40.0),)
    bare, lined = (
        standing_wave_response(case, structure(linings=linings), frequency, bare=bare)
        for bare in (True, False)
    )
    assert lined.level[0, 0].max() < bare.level[0, 0].max() - 6.0


def test_a_wave_that_is_gone_leaves_no_gap_in_the_response():
    thick = structure(linings=(Lining(WALLS, 0.05, 10_000.0, 40.0),))
    frequency = np.array([300.0, 498.6, 649.6, 900.0])
    bare, found = (
        standing_wave_response(case_with(), thick, frequency, bare=bare) for bare in (True, False)
    )
    assert np.isfinite(found.level).all()
    assert (found.level[0, 0, 1:3] < bare.level[0, 0, 1:3] - 15.0).all()


def test_a_driver_in_the_middle_leaves_odd_waves_alone():
    case = case_with()
    modes = air_modes(case)
    quiet = quiet_heights(case, modes, "woofer")
    zeros = dict(zip(quiet.modes, quiet.heights, strict=True))
    first, second = modes.names.index("0 1 0"), modes.names.index("0 2 0")
    assert zeros[first] == pytest.approx((0.0,), abs=1e-6)
    assert zeros[second] == pytest.approx((-0.344 / 4, 0.344 / 4), abs=1e-4)
    assert modes.names.index("1 0 0") not in zeros
    assert quiet.loudness <= 1.0


def test_more_in_a_table_of_linings():
    planned = (Lining(("back",), 0.03, 12_000.0, 40.0),)
    table = lining_table(case_with(), structure(linings=planned, reach=1000.0))
    assert table.loss.shape == (len(table.treatments), len(table.frequency))
    assert table.treatments[0] == "25 mm on all walls"
    assert table.volumes[2] == pytest.approx(0.184 * 0.344 * 0.03)
    # the same volume as loose fill
    assert table.volumes[3:5] == pytest.approx(table.volumes[2])
    followed = ~table.strong
    assert (table.drop[followed] > 0).all()
    assert (table.loss >= 0.01).all()


def test_linings_thicker_than_the_space_are_left_out_and_refused_where_planned():
    narrow = case_with(cabinet=replace(CABINET, width=0.116), enclosures=())
    table = lining_table(narrow, structure(reach=800.0))
    assert table.treatments[0] == "25 mm on all walls"
    assert table.left_out[0].startswith("50 mm on all walls: the linings, up to 50 mm thick")
    planned = structure(linings=(Lining(("left", "right"), 0.05, 10_000.0, 40.0),))
    with pytest.raises(AirError, match="leave no air between walls that are 80 mm apart"):
        lining_table(narrow, planned)
    assert lining_fault(inside_of(narrow), [Lining(WALLS, 0.02, 1e4, 40.0)]) == ""


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"cabinet": replace(CABINET, wall_thickness=None)}, "wall_thickness = "),
        ({"cabinet": replace(CABINET, wall_thickness=0.12)}, "leave no inside"),
        ({"cabinet": replace(CABINET, shape="plate", depth=0.018)}, "a plate has no inside"),
        (
            {
                "enclosures": (
                    Enclosure("bass", "closed", ("woofer",), 0.01),
                    Enclosure("top", "closed", ("tweeter",), 0.004),
                )
            },
            "parted into the enclosures bass and top",
        ),
        ({"enclosures": (Enclosure("bass", "closed", ("woofer",), 0.01),)}, "10 l of the 16.7 l"),
    ],
)
def test_where_nothing_is_known_of_the_air_it_says_why(changes, words):
    with pytest.raises(AirError, match=words):
        one_space(case_with(**changes))


def test_a_shelf_without_an_opening_parts_the_inside():
    shelf = Brace("lid", "shelf", (), width=0.0, height=0.018, open=0.0)
    closed, ring = (structure(braces=(replace(shelf, open=share),)) for share in (0.0, 0.5))
    with pytest.raises(AirError, match="nothing is cut out of the shelf lid, so it parts"):
        one_space(case_with(), closed)
    assert one_space(case_with(), ring).volume == pytest.approx(0.184 * 0.344 * 0.264)


def test_the_least_inner_size_counts_every_wall_by_its_own_thickness():
    assert inside_of(case_with()).least_size == pytest.approx(0.184)
    thick = structure(wall_materials=(("left", "board", 0.025),))
    assert inside_of(case_with(), thick).least_size == pytest.approx(0.22 - 0.018 - 0.025)


def test_shelves_are_spoken_of():
    shelves = tuple(
        Brace(name, "shelf", (), 0.0, 0.018, open=part) for name, part in (("a", 0.6), ("b", 0.1))
    )
    first, second = shelf_notes(structure(braces=shelves))
    assert first.startswith("shelf a: 60 % of it is cut out, which leaves the air one")
    assert "cut out 40 % or more" in second


def test_waves_against_the_corners_of_the_crossover():
    case = case_with()
    bands = corner_bands(replace(case, crossover=make_case().crossover))
    assert bands == {"woofer": (0.0, 2500.0), "tweeter": (2500.0, math.inf)}
    woofer, tweeter = waves_in_bands(np.array([500.0, 5000.0]), bands)
    assert woofer.inside.tolist() == [True, False]
    assert woofer.octaves == pytest.approx([0.0, 1.0])
    assert tweeter.octaves == pytest.approx([math.log2(5.0), 0.0])


def test_a_case_is_taken_by_its_own_structure():
    own = structure(wall_materials=(("left", "board", 0.025),), reach=700.0)
    case = case_with(structure=own)
    assert inside_of(case).least_size == pytest.approx(0.22 - 0.018 - 0.025)
    np.testing.assert_array_equal(air_modes(case).frequency, air_modes(case, own).frequency)
    assert air_modes(case).frequency.max() <= 700.0
