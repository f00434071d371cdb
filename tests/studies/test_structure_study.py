"""What a study of the structure answers and proposes, held against computing the cabinet anew."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

import acoustics as ac
from acoustics.cabinet.convex import common
from acoustics.case.geometry.brace_solids import brace_volume, region_of
from acoustics.conventions import RoundoverError
from acoustics.studies.structure import structure_dataset, structure_study, usual_structure
from acoustics.studies.structure.candidates import shell_with
from acoustics.studies.structure.sound import QUIET, at_level, loudness
from acoustics.studies.structure.variables import STRUCTURE
from support.structures import CASES, case_text, read_text

THIN = """
[structure]
material = "MDF"
reach = "900 Hz"

[[structure.linings]]
walls = "all but front"
material = "mineral wool"
thickness = "30 mm"
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("structure")


@pytest.fixture(scope="module")
def thin(folder):
    """The compact two-way of 8 mm boards, which nobody would build."""
    return read_text(folder, case_text(THIN, wall="8 mm"))


@pytest.fixture(scope="module")
def found(thin):
    return structure_study(thin)


def test_thin_walls_are_heard_and_get_braces(found):
    assert not found.assumed
    loudest = found.closest[0]
    assert loudest.level > QUIET
    assert loudest.loudness == loudness(loudest.level)
    assert [each.wall for each in found.closest][-1] == "all walls"
    assert found.proposal[0].kind in ("brace", "thicker wall")


@pytest.mark.slow
def test_a_proposal_written_into_the_case_does_what_it_says(thin, found, tmp_path):
    """Read back from its lines and computed anew, with drivers' volumes unchanged to a per cent,
    walls move as little as was told and come no closer."""
    tables = [each for each in found.proposal if each.kind in ("brace", "lining")]
    walls = [each for each in found.proposal if each.kind == "thicker wall"]
    text = "\n".join(each.toml for each in (*walls, *tables))
    case = read_text(tmp_path, case_text(f"{THIN}\n{text}", wall="8 mm"))
    assert set(case.structure.braces) == set(found.proposed.braces)
    assert case.structure.wall_materials == found.proposed.wall_materials
    anew = structure_study(case)
    told = {gain.wall: gain for gain in found.gains}
    assert tables or walls
    for each in anew.closest[:-1]:
        assert each.level == pytest.approx(told[each.wall].closest[1], abs=0.5)
    for modes in anew.walls:
        expected = told[modes.wall.name].lowest[1]
        # A thicker neighbour leaves a wall a little less free than was told.
        assert modes.frequency[0] == pytest.approx(expected, rel=0.02)
    (volumes,) = found.volumes
    assert case.enclosures[0].volume == pytest.approx(volumes.net_after, rel=5e-3)


def test_what_braces_take_is_their_own_volume(thin, found):
    shell = shell_with(thin, found.proposed)
    for each in found.proposal:
        if each.kind == "brace":
            own = sum(brace_volume(shell, brace) for brace in each.braces)
            assert each.volume == pytest.approx(own)
            assert each.mass == pytest.approx(own * 750)  # MDF as the boards of [structure] have it


def test_gains_are_those_of_all_walls_and_braced_ones_move_less(found):
    assert [gain.wall for gain in found.gains] == [modes.wall.name for modes in found.walls]
    by_wall = {gain.wall: gain for gain in found.gains}
    for each in found.proposal:
        if each.kind == "brace":
            assert sum(10 ** (by_wall[wall].volume / 10) for wall in each.walls) < len(each.walls)
            assert all(f"{gain.wall}" in each.why for gain in each.gains)


def test_the_level_asked_about_scales_everything(found):
    level = found.at_level.level + 20
    louder = at_level(found.responses, found.excitation, found.sound, level)
    assert louder.voltage == pytest.approx(28.3)
    assert louder.box_pressure == pytest.approx(10 * found.at_level.box_pressure)
    assert louder.displacement == pytest.approx(10 * found.at_level.displacement)


def test_braces_keep_clear_of_each_other(thin, found):
    shell = shell_with(thin, found.proposed)
    for one, other in combinations(found.proposed.braces, 2):
        assert common(region_of(shell, one), region_of(shell, other)).solid() is None


def test_the_dataset_is_labelled_and_survives_the_disk(thin, found, tmp_path):
    dataset = structure_dataset(thin, found)
    for name, variable in dataset.variables.items():
        assert variable.attrs["units"] == STRUCTURE[name].units
        assert variable.attrs["long_name"]
    assert dataset.sizes["mode"] == sum(each.frequency.size for each in found.walls)
    ac.save(dataset, tmp_path / "structure.nc")
    assert ac.open_prediction(tmp_path / "structure.nc").identical(dataset)


def test_a_case_without_the_table_gets_a_usual_structure_and_says_so(tmp_path):
    case = read_text(tmp_path, case_text(""))
    structure = usual_structure(case)
    assert (structure.material, structure.braces, structure.linings) == ("MDF", (), ())
    case = replace(case, drivers=tuple(replace(each, small_signal=None) for each in case.drivers))
    found = structure_study(case)
    assert found.assumed
    assert any("no table [structure]" in note for note in found.notes)
    # Without small-signal parameters nothing shakes the walls that is known.
    assert (found.sound, found.excitation, found.closest) == (None, None, ())
    assert any("small-signal" in note for note in found.notes)
    braced = next(each for each in found.proposal if each.kind == "brace")
    assert "for the same pressure inside" in braced.why
    structure_dataset(case, found)


def test_without_a_wall_thickness_it_is_refused(tmp_path):
    text = re.sub(r"wall_thickness = .*\n", "", case_text(""))
    text = text.replace("[enclosures.bass]\n", '[enclosures.bass]\nvolume = "15 l"\n')
    with pytest.raises(RoundoverError, match=r"cabinet\.wall_thickness.*add it, for example"):
        structure_study(read_text(tmp_path, text))


def test_an_open_baffle_is_refused():
    with pytest.raises(RoundoverError, match="open baffle"):
        structure_study(ac.read_case(CASES / "open-baffle"))


@pytest.mark.slow
def test_standing_waves_that_ring_are_lined_before_walls_are_braced(tmp_path):
    """Bare parallel walls: the first wave between the front and the back, c/2L, is damped most."""
    case = read_text(tmp_path, case_text('[structure]\nmaterial = "MDF"\nreach = "1 kHz"\n'))
    found = structure_study(case)
    (lining,) = (each for each in found.proposal if each.kind == "lining")
    depth = 0.30 - 2 * 0.018
    wave = lining.waves[0]
    assert wave.frequency == pytest.approx(case.air.speed_of_sound / 2 / depth)
    assert wave.drop > 6
    end = next(gain for gain in found.gains if gain.wall == "back")
    assert end.volume < -6


@pytest.mark.slow
@pytest.mark.parametrize("name", ["floorstander", "compact-passive"])
def test_shipped_designs(name):
    case = ac.read_case(CASES / name)
    found = structure_study(case)
    assert found.cut_list is not None
    assert found.sheets
    assert not found.cutting_left_out
    # The front, which the drivers shake, is the loudest; braced sides are quiet, or nearly so.
    assert found.closest[0].wall == "front"
    for each in found.closest[:-1]:
        assert each.wall == "front" or each.level < QUIET + 0.5
    assert bool(found.air_left_out) == (name == "floorstander")
    # Computed twice it is the same.
    again = structure_study(case)
    np.testing.assert_array_equal(again.sound.power_level, found.sound.power_level)
    assert again.proposal == found.proposal
