"""What a case file may say of the boards it is built of, and what it hears where that cannot be.

The bench cabinet is a box of 220 x 380 x 300 mm; with walls of 18 mm 184 x 344 x 264 mm are inside.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from bench_text import GOOD, line_with, replaced
from enclosure_text import VENTED, WALLS
from shape_text import PLATE, PYRAMID, SLOPED, cut, with_cabinet
from structure_text import BUILT

from acoustics.cabinet import Body, inner_volume
from acoustics.case import Case, read_case
from acoustics.case.build import digest
from acoustics.case.geometry.brace_solids import brace_volume
from acoustics.case.geometry.shell import shell_in
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

SIDE_BAR = 0.264 * 0.018 * 0.040
STAY = 0.184 * 0.020 * 0.030
RING = 0.184 * 0.264 * 0.018 * 0.4


def case_of(folder: Path, text: str) -> Case:
    (folder / "case.toml").write_text(text, encoding="utf-8")
    return read_case(folder)


def fault_at(faults: tuple[Fault, ...], place: str) -> str:
    (found,) = (str(fault) for fault in faults if f": {place}: " in str(fault))
    return found


def test_a_case_that_says_nothing_of_it_has_none(tmp_path: Path) -> None:
    assert case_of(tmp_path, WALLS).structure is None


def test_what_is_said_is_kept_in_si_units(tmp_path: Path) -> None:
    structure = case_of(tmp_path, BUILT).structure
    assert structure is not None
    assert (structure.material, structure.fixity, structure.joint) == ("MDF", 0.5, "butt")
    assert structure.wall_materials == (("back", "panel", 0.018),)
    mdf, panel = structure.materials
    # MDF of V-PAN-01: 3 GPa, 750 kg/m³, Poisson 0.3 (common practice, no source).
    assert (mdf.density, mdf.along, mdf.across, mdf.poisson) == (750.0, 3e9, 3e9, 0.3)
    assert mdf.shear == pytest.approx(3e9 / 2.6, rel=1e-12)
    assert (panel.density, panel.along, panel.loss) == (700.0, 4e9, 0.02)
    assert [(each.name, each.kind) for each in structure.braces] == [
        ("side bar left", "bar"),
        ("side bar right", "bar"),
        ("stay", "strut"),
        ("ring", "shelf"),
    ]
    (lining,) = structure.linings
    assert lining.walls == ("back", "right", "left", "top")
    assert (lining.thickness, lining.flow_resistivity, lining.density) == (0.03, 12e3, 40.0)
    sheet = structure.sheet
    assert (sheet.length, sheet.kerf, sheet.trim, sheet.turn) == (2.5, 0.0032, 0.01, False)
    assert structure.outer == ("front", "back", "left", "right", "top", "bottom")


def test_left_out_keys_are_usual(tmp_path: Path) -> None:
    structure = case_of(tmp_path, WALLS + '[structure]\nmaterial = "birch plywood"\n').structure
    assert structure is not None
    assert (structure.braces, structure.linings, structure.fill_resistivity) == ((), (), None)
    assert (structure.fixity, structure.reach, structure.sheet.kerf) == (0.5, 1500.0, 0.003)
    (plywood,) = structure.materials
    # V-PAN-03: 9 GPa and 680 kg/m³ along the grain; less across it.
    assert (plywood.density, plywood.along) == (680.0, 9e9)
    assert plywood.across < plywood.along


@pytest.mark.parametrize(("word", "fixity"), [('"hinged"', 0.0), ('"clamped"', 1.0), ("0.3", 0.3)])
def test_edges_are_a_word_or_a_number(tmp_path: Path, word: str, fixity: float) -> None:
    text = replaced(BUILT, 'edges = "in between"', f"edges = {word}")
    structure = case_of(tmp_path, text).structure
    assert structure is not None
    assert structure.fixity == fixity


def test_a_usual_board_may_be_known_better(tmp_path: Path) -> None:
    text = (
        BUILT + '\n[structure.materials.MDF]\ndensity = "0.7 g/cm3"\nyoungs_modulus = "2500 MPa"\n'
    )
    structure = case_of(tmp_path, text).structure
    assert structure is not None
    mdf = next(each for each in structure.materials if each.name == "MDF")
    assert (mdf.density, mdf.along, mdf.loss) == (700.0, 2.5e9, 0.02)
    assert mdf.shear == pytest.approx(2.5e9 / 2.6, rel=1e-12)


def test_it_does_not_change_the_digest_by_itself(tmp_path: Path) -> None:
    case = case_of(tmp_path, BUILT)
    assert digest(replace(case, structure=None)) == case.digest
    plain = case_of(tmp_path, WALLS + '[structure]\nmaterial = "MDF"\n')
    assert plain.digest == case_of(tmp_path, WALLS).digest


def test_braces_take_the_volume_that_their_sizes_have(tmp_path: Path) -> None:
    case = case_of(tmp_path, BUILT)
    assert case.structure is not None
    shell = shell_in(case)
    volumes = [brace_volume(shell, brace) for brace in case.structure.braces]
    assert volumes == pytest.approx([SIDE_BAR, SIDE_BAR, STAY, RING], rel=1e-9)
    (box,) = case.enclosures
    assert dict(box.taken)["braces"] == pytest.approx(sum(volumes), rel=1e-12)


def test_a_thicker_wall_leaves_less_inside(tmp_path: Path) -> None:
    text = BUILT + '\n[structure.walls.front]\nthickness = "25 mm"\n'
    (box,) = case_of(tmp_path, text).enclosures
    assert box.gross == pytest.approx(0.184 * 0.344 * 0.257, rel=1e-12)


def test_walls_of_one_thickness_told_one_by_one_leave_the_same() -> None:
    body = Body.box(width=0.22, height=0.38, depth=0.3)
    assert inner_volume(body, np.full(6, 0.018)) == inner_volume(body, 0.018)


def test_a_port_through_a_thicker_wall_takes_less_inside(tmp_path: Path) -> None:
    thick = '\n[structure.walls.back]\nthickness = "28 mm"\n'
    text = WALLS + VENTED + '[structure]\nmaterial = "MDF"\n'
    (thin_box,) = case_of(tmp_path, text).enclosures
    (thick_box,) = case_of(tmp_path, text + thick).enclosures
    # The duct is 50 mm across with a wall of 3 mm; its net volume is stated, so its length stays.
    less = math.pi / 4 * 0.056**2 * 0.010
    assert thick_box.ports[0].length == pytest.approx(thin_box.ports[0].length, rel=1e-9)
    taken = [dict(box.taken)["port rear"] for box in (thin_box, thick_box)]
    assert taken[0] - taken[1] == pytest.approx(less, rel=1e-9)


def test_a_bar_across_a_sloped_front_ends_at_it(tmp_path: Path) -> None:
    text = (
        with_cabinet(SLOPED + 'wall_thickness = "18 mm"\n')
        + """
[structure]
material = "MDF"
[[structure.braces]]
kind = "bar"
walls = ["left"]
at = "60 mm"
width = "18 mm"
height = "40 mm"
"""
    )
    case = case_of(tmp_path, text)
    assert case.structure is not None
    (bar,) = case.structure.braces
    volume = brace_volume(shell_in(case), bar)
    # The front leans back about its lower edge, so at 60 mm above the middle of the wall, that is
    # 250 mm up, the box is less deep by tan 8° of that; both walls' inner sides count.
    lean = math.tan(math.radians(8.0))
    depth = 0.300 - 0.250 * lean - 0.018 - 0.018 / math.cos(math.radians(8.0))
    assert volume == pytest.approx(depth * 0.018 * 0.040, rel=1e-9)


def test_stated_braces_may_agree_with_those_there_are(tmp_path: Path) -> None:
    computed = 2 * SIDE_BAR + STAY + RING
    stated = f'\nbraces = "{1e3 * computed * 1.04:.4f} l"\ntuning'
    (box,) = case_of(tmp_path, replaced(BUILT, "\ntuning", stated)).enclosures
    assert dict(box.taken)["braces"] == pytest.approx(computed, rel=1e-9)


def test_stated_braces_that_differ_are_a_fault(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(replaced(BUILT, "\ntuning", '\nbraces = "1.2 l"\ntuning'))
    assert "enclosures.bass.braces" in str(fault)
    computed = 1e3 * (2 * SIDE_BAR + STAY + RING)
    assert f"1.2 l are stated, and the braces of [structure] take {computed:.3g} l" in str(fault)


def test_a_usual_board_stays_as_stiff_each_way_with_another_poisson_ratio(tmp_path: Path) -> None:
    # G = E/2(1 + ν) of an isotropic board; plywood's shear modulus is one of its own.
    text = replaced(BUILT, '[structure.materials.panel]\ndensity = "700 kg/m3"\n',
                    '[structure.materials."birch plywood"]\npoisson_ratio = 0.1\n'
                    '[structure.materials.MDF]\npoisson_ratio = 0.2\n')  # fmt: skip
    text = replaced(text, 'youngs_modulus = "4 GPa"\n', "")
    built = case_of(tmp_path, replaced(text, 'material = "panel"', 'material = "birch plywood"'))
    assert built.structure is not None
    board, plywood = built.structure.materials
    assert (board.along, board.poisson) == (3.0e9, 0.2)
    assert board.shear == pytest.approx(3.0e9 / 2.4)
    assert (plywood.shear, plywood.poisson) == (0.65e9, 0.1)


def test_linings_are_known_however_their_letters_are_written(tmp_path: Path) -> None:
    text = replaced(BUILT, 'material = "mineral wool"', 'material = "Mineral Wool"')
    structure = case_of(tmp_path, text).structure
    assert structure is not None
    assert structure.linings[0].flow_resistivity == 12e3


BRACE = '[[structure.braces]]\nname = "ring"\nkind = "shelf"\nat = "-140 mm"\n'
FAULTS = {
    "unknown material": ('material = "MDF"\nedges', 'material = "MFD"\nedges', "structure.material",
                         "did you mean 'MDF'?"),
    "no density": ('density = "700 kg/m3"\n', "", "structure.materials.panel",
                   "density is missing"),
    "no modulus": ('youngs_modulus = "4 GPa"', "", "structure.materials.panel",
                   "youngs_modulus is missing"),
    "half a modulus": ('youngs_modulus = "4 GPa"', 'youngs_modulus_along = "4 GPa"',
                       "structure.materials.panel",
                       "youngs_modulus_across and shear_modulus are missing"),
    "no such board": ('youngs_modulus = "4 GPa"',
                      'youngs_modulus_along = "1 GPa"\nyoungs_modulus_across = "9 GPa"\n'
                      'shear_modulus = "1 GPa"\npoisson_ratio = 0.4',
                      "structure.materials.panel.poisson_ratio", "write less than 0.33"),
    "no such wall": ("[structure.walls.back]", "[structure.walls.backside]",
                     "structure.walls.backside", "the cabinet has no wall 'backside'"),
    "lining nowhere": ('"all but front and bottom"', '["lid"]', "structure.linings.1.walls.1",
                       "the cabinet has no wall 'lid'"),
    "lining in words": ('"all but front and bottom"', '"most"', "structure.linings.1.walls",
                        'write ["most"] or a list'),
    "lining unknown": ('material = "mineral wool"', 'material = "straw"',
                       "structure.linings.1.material", "none of the usual linings"),
    "lining of nothing": ('material = "mineral wool"\n', "", "structure.linings.1",
                          "nothing says what the lining is"),
    "lining too thick": ('thickness = "30 mm"', 'thickness = "300 mm"',
                         "structure.linings.1.thickness", "thicker than the inside is deep"),
    "linings that meet": ('thickness = "30 mm"', 'thickness = "95 mm"',
                          "structure.linings.1.thickness", "leave no air between them"),
    "lining on no wall": ('"all but front and bottom"',
                          '"all but front, back, left, right, top and bottom"',
                          "structure.linings.1.walls", "every wall is left out"),
    "bar outside": ('at = "100 mm"', 'at = "170 mm"', "structure.braces.1.at",
                    "reaches 7 mm beyond the inside"),
    "bar too high": ('height = "40 mm"', 'height = "200 mm"', "structure.braces.1.height",
                     "reaches 16 mm beyond the inside of the cabinet; make it lower"),
    "strut aside": ('walls = ["left", "right"]\nposition', 'walls = ["left", "top"]\nposition',
                    "structure.braces.2.walls", "name the left and the right"),
    "strut in a driver": ('position = ["-80 mm", "-120 mm"]', 'position = ["122 mm", "-20 mm"]',
                          "structure.braces.2.position", "runs into the driver 'woofer'"),
    "shelf in a driver": ('at = "-140 mm"', 'at = "-20 mm"', "structure.braces.3.at",
                          "the shelf 'ring' runs into the driver 'woofer'"),
    "shelf in a port": ('at = "-140 mm"', 'at = "80 mm"', "structure.braces.3.at",
                        "the duct of the port 'rear'"),
    "bar in a bar": ('[[structure.braces]]\nname = "stay"',
                     '[[structure.braces]]\nkind = "bar"\nwalls = ["back", "left"]\n'
                     'at = "85 mm"\nwidth = "18 mm"\nheight = "20 mm"\n'
                     '[[structure.braces]]\nname = "stay"', "structure.braces.2",
                     "the bar 2 left is where the bar 'side bar left' is already"),
    "bar on one wall twice": ('walls = ["left", "right"]\nat', 'walls = ["left", "left"]\nat',
                              "structure.braces.1", "is already; move one of them"),
    "no such enclosure": ('open = 0.6', 'open = 0.6\nenclosure = "low"',
                          "structure.braces.3.enclosure", "there is no enclosure 'low'"),
    "bar that is open": ('width = "18 mm"', 'width = "18 mm"\nopen = 0.5',
                         "structure.braces.1.open", "a bar has no open"),
    "bar without height": ('height = "40 mm"', "", "structure.braces.1.height",
                           "a bar has height; add it"),
    "small sheet": ('width = "1250 mm"', 'width = "230 mm"', "structure.sheet",
                    "the board 'right' takes 380 mm x 264 mm, and a sheet has 2480 mm x 210 mm"),
    "sheet trimmed away": ('width = "1250 mm"\nkerf = "3.2 mm"\ntrim = "10 mm"',
                           'width = "150 mm"\ntrim = "80 mm"', "structure.sheet.trim",
                           "80 mm off every edge leave nothing of a sheet of 2500 mm x 150 mm"),
    "edges in words": ('edges = "in between"', 'edges = "loose"', "structure.edges",
                       "says nothing of edges"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_what_cannot_be_is_told(faults_of: FaultsOf, name: str) -> None:
    old, new, place, words = FAULTS[name]
    faults = faults_of(replaced(BUILT, old, new))
    found = [str(fault) for fault in faults if f": {place}: " in str(fault)]
    assert any(words in fault for fault in found), [str(fault) for fault in faults]


def test_a_fault_has_its_line(faults_of: FaultsOf) -> None:
    text = replaced(BUILT, 'at = "-140 mm"', 'at = "-20 mm"')
    (fault,) = faults_of(text)
    assert fault.line == line_with(text, 'at = "-20 mm"')
    # The piston of 120 mm stands for the hole, whose size is not stated; half the shelf is 9 mm.
    assert "move it by at least 69 mm" in str(fault)


def test_a_plate_and_walls_of_no_thickness_have_no_structure(faults_of: FaultsOf) -> None:
    table = '[structure]\nmaterial = "MDF"\n'
    assert "has no inside to brace or line" in fault_at(
        faults_of(with_cabinet(PLATE) + table), "structure"
    )
    assert "cabinet.wall_thickness" in fault_at(faults_of(GOOD + table), "structure")


def test_walls_of_their_own_may_leave_no_room(faults_of: FaultsOf) -> None:
    flat = replaced(WALLS, 'depth = "300 mm"', 'depth = "110 mm"')
    thick = '[structure]\nmaterial = "MDF"\n[structure.walls.front]\nthickness = "95 mm"\n'
    assert "leave no room inside" in fault_at(faults_of(flat + thick), "structure.walls")


def test_a_brace_says_which_of_several_enclosures_it_is_in(
    faults_of: FaultsOf, tmp_path: Path
) -> None:
    two = '\n[enclosures.top]\nkind = "closed"\ndrivers = ["tweeter"]\nvolume = "0.5 l"\n'
    text = replaced(BUILT, "[structure]\n", two + "[structure]\n").replace(
        "\ntuning", "\nshare = 0.9\ntuning"
    )
    faults = faults_of(text)
    assert all("there are several enclosures" in str(fault) for fault in faults)
    assert len(faults) == 3
    # A shelf that is not cut out parts the inside, and needs no enclosure.
    parted = text.split("[[structure.braces]]")
    sheets = parted[-1].split("[[structure.linings]]")[1]
    shelf = '[[structure.braces]]\nkind = "shelf"\nat = "60 mm"\nopen = 0\nthickness = "12 mm"\n'
    case = case_of(tmp_path, parted[0] + shelf + "[[structure.linings]]" + sheets)
    assert all(dict(box.taken).get("braces", 0.0) == 0.0 for box in case.enclosures)


@pytest.mark.parametrize("shape", [SLOPED, PYRAMID, SLOPED + cut("back left", 'setback = "60 mm"')])
def test_other_shapes_may_be_built_too(tmp_path: Path, shape: str) -> None:
    text = with_cabinet(shape + 'wall_thickness = "18 mm"\n') + '[structure]\nmaterial = "MDF"\n'
    structure = case_of(tmp_path, text).structure
    assert structure is not None
    assert len(structure.outer) == 7 if "chamfer" in shape else 6
