"""The text of a structure says what the study found, so that a builder can act on it."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest

from acoustics.report import boards_csv, structure_text
from acoustics.structure.cutting import cut_list
from acoustics.structure.wall_effects import BraceEffect, Figures
from acoustics.studies.structure.found import WaveGain
from acoustics.studies.structure.sound import loudness
from support.structure_found import PYRAMID, advice, hand_made, small_case

HEADINGS = (
    "What to change before the saw",
    "Walls",
    "What each brace does",
    "What other braces would do",
    "Standing waves of the air inside",
    "What lining does",
    "Volume",
    "Boards to cut, in mm, as the case has them",
    "What this rests on",
    "Before you saw and glue",
)


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    return small_case(tmp_path_factory.mktemp("small"))


@pytest.fixture(scope="module")
def found(case):
    return hand_made(case)


def flat(text):
    return " ".join(text.split())


def section(text, title):
    """The lines under a heading."""
    _, _, rest = text.partition(f"{title}\n{'-' * len(title)}\n")
    lines = rest.split("\n")
    ends = [n for n, line in enumerate(lines) if n and line and set(line) == {"-"}]
    return "\n".join(lines[: ends[0] - 1] if ends else lines)


def test_it_answers_in_order_and_fits_the_width(case, found):
    text = structure_text(case, found)
    places = [text.index(f"{title}\n{'-' * len(title)}") for title in HEADINGS]
    assert places == sorted(places)
    assert text.endswith("\n")
    assert max(map(len, text.splitlines())) <= 88


@pytest.mark.parametrize(
    ("level", "verdict"),
    [(-24.0, "quiet"), (-15.0, "at the limit of what is heard"), (-5.0, "heard")],
)
def test_the_verdict_comes_first(case, found, level, verdict):
    together = replace(found.closest[-1], level=level, loudness=loudness(level))
    heard = replace(found, closest=(found.closest[0], together))
    first = flat(structure_text(case, heard)).partition("What to change")[0]
    assert f"The walls are {verdict}: " in first
    assert f"{-level:.1f} dB below the drivers, over a third of an octave at 400 Hz" in first
    assert "Before the saw: a bar lengthwise on the front." in first


def test_a_proposal_tells_reasons_practice_gain_cost_and_what_to_write(case, found):
    text = structure_text(case, found)
    told = flat(section(text, "What to change before the saw"))
    for words in (
        "12 mm off the middle, from end to end.",
        "It moves the mode that sounds most out of the band.",
        "Practice sets bars off the middle too.",
        "front −28.0 to −36.0 dB 400 Hz to 700 Hz −8.0 dB",
        "that at 650 Hz by 9.0 dB",
        "takes 0.1 l of air and weighs 0.12 kg",
    ):
        assert words in told
    # What to write into the case stands as it is, indented, so that it can be copied.
    assert '\n    [[structure.braces]]\n    name = "new bar"\n    kind = "bar"\n' in text


def test_standing_waves_that_are_gone_are_not_told_in_decibels(case, found):
    # From Q 100 to below 3 a peak falls by more than 20 lg(100/3) = 30.5 dB.
    waves = tuple(WaveGain(str(n), 500.0 + 100 * n, drop) for n, drop in enumerate([9, 31, 40, 0]))
    text = structure_text(case, replace(found, proposal=(advice("front", waves=waves),)))
    told = flat(section(text, "What to change before the saw"))
    assert "Peaks of standing waves fall: that at 500 Hz by 9.0 dB." in told
    assert "All but gone then: the standing waves at 600 Hz and 700 Hz." in told


def test_a_board_that_is_assumed_is_said_at_once(case, found):
    first = flat(structure_text(case, replace(found, assumed=True))).partition("What to")[0]
    assert "The case does not say what it is built of" in first


def test_nothing_to_change_is_said(case, found):
    nothing = advice("", kind="nothing", what="nothing", where="", gains=(), waves=(), toml="",
                     volume=0.0, mass=0.0, why="the walls are quiet as they are")  # fmt: skip
    text = structure_text(case, replace(found, proposal=(nothing,), gains=(), sound_after=None))
    assert "Nothing to change before the saw." in flat(text)
    loud = replace(found.closest[-1], level=-12.0, loudness="heard at most")
    heard = replace(found, proposal=(nothing,), gains=(), sound_after=None, closest=(loud,))
    assert "Nothing that was tried is worth its wood." in flat(structure_text(case, heard))
    assert "To have it in the case file" not in text
    assert "What is proposed is not among them" not in flat(text)


def test_a_brace_that_lets_a_wall_move_more_is_told_with_its_sign(case, found):
    worse = BraceEffect(
        "side bar", "left", Figures(400.0, 400.0, 1.0, 1.0), Figures(640.0, 640.0, 2.0, 10.0)
    )
    told = section(
        structure_text(case, replace(found, brace_effects=(worse,))), "What each brace does"
    )
    # 10 lg 2 = 3.0 dB, 10 lg 10 = 10 dB.
    assert "+3.0 dB  +10.0 dB" in told
    assert "does not make a wall quieter" in flat(told)


def test_where_nothing_is_known_of_loudness_or_air_it_says_why(case, found):
    reason = "the inside is parted into the enclosures middle and bass"
    bare = replace(
        found,
        sound=None,
        sound_after=None,
        closest=(),
        at_level=None,
        excitation=None,
        gains=(),
        air=None,
        air_response=None,
        air_bare=None,
        linings=None,
        bands=(),
        quiet_heights=(),
        air_left_out=reason,
    )
    text = flat(structure_text(case, bare))
    assert "How loud the walls are beside the drivers cannot be told" in text
    assert f"Not told: {reason}." in text
    assert "What lining does" not in text


def test_boards_that_could_not_be_cut_are_explained(case, found):
    text = structure_text(
        case, replace(found, cut_list=None, sheets=(), cutting_left_out="no sheet holds the front")
    )
    assert "- No sheet holds the front." in section(text, "Boards")


def test_boards_weights_and_sheets(case, found):
    text = structure_text(case, found)
    told = section(text, "Boards to cut, in mm, as the case has them")
    # By hand: front and back run past the sides: 200 − 2·15 = 170; the top lies between: 160 − 30.
    rows = [line.split() for line in told.splitlines() if line[:1].isdigit()]
    assert [row[1:5] for row in rows] == [
        ["2", "260", "170", "15"],
        ["1", "260", "160", "15"],
        ["1", "260", "160", "15"],
        ["2", "170", "130", "15"],
        ["1", "170", "130", "15"],
        ["2", "170", "30", "15"],
    ]
    # The driver is 40 mm above the middle of a front 160 by 260 mm.
    assert "hole for wide: round 70, 80 from left, 170 up" in flat(told)
    assert "A cabinet weighs" in told
    assert "its drivers" in flat(told)


def test_the_bevels_of_a_pyramid_are_told(tmp_path, found):
    case = small_case(tmp_path, cabinet=PYRAMID)
    told = flat(structure_text(case, replace(found, cut_list=cut_list(case))))
    # Toward the front, the smaller face, sides lean in: the board of the front is bevelled alike.
    assert re.search(r"edges toward right and left: [\d.]+° from square, inside longer", told)
    # The front leans in on all sides: no side of the cabinet is a rectangle.
    assert re.search(r"corners of \w+ \(right, up\): [\d.]+, 0", told)


def test_what_a_builder_stumbles_over_is_said(tmp_path, found):
    case = small_case(tmp_path, cabinet=PYRAMID, structure='joint = "mitre"\n')
    told = flat(structure_text(case, replace(found, cut_list=cut_list(case))))
    # Plywood has a grain; the back's corners are less than square, so their halves are steep.
    assert "The length is meant to be along the grain" in told
    assert "Saws tilt to 45°" in told
    lining = replace(found, proposal=(advice("left", kind="lining", what="wool"),))
    assert "What is proposed is not among them" in flat(structure_text(case, found))
    assert "What is proposed is not among them" not in flat(structure_text(case, lining))


def test_long_names_keep_within_the_width(case, found):
    long = "a name as long as a name may be in a case"[:40]
    effect = replace(found.brace_effects[0], brace=long, wall=long)
    option = replace(found.brace_options["left"][0], blocked=(long,))
    first = found.cut_list.rows[0]
    row = replace(first, names=(*first.names, long, long), material=long)
    text = structure_text(
        case,
        replace(
            found,
            brace_effects=(effect,),
            brace_options={"left": (option,)},
            cut_list=replace(found.cut_list, rows=(row, *found.cut_list.rows[1:])),
        ),
    )
    for title in ("What each brace does", "What other braces would do", HEADINGS[7]):
        assert max(map(len, section(text, title).splitlines())) <= 88


def test_the_table_of_boards_is_safe_for_spreadsheets(case, found):
    cut = found.cut_list
    board = replace(cut.boards[0], name="=1+1")
    row = replace(cut.rows[0], names=("=1+1",), material="@home")
    bad = replace(cut, rows=(row,), boards=(board,))
    (names, row) = csv.reader(io.StringIO(boards_csv(bad)))
    assert names[:5] == ["row", "count", "length mm", "width mm", "thickness mm"]
    assert row[:7] == ["1", "2", "260", "170", "15", "'@home", "'=1+1"]


def test_usual_cautions_are_there(case, found):
    told = flat(section(structure_text(case, found), "Before you saw and glue"))
    for words in (
        "dust mask",
        "extraction",
        "guards on",
        "eyes and ears",
        "solvents",
        "Mineral and glass wool: gloves",
        "two people",
        "must not tip",
        "fixings",
        "local codes",
    ):
        assert words in told
