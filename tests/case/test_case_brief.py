"""What a case file may say of the amplifier and of what is wanted."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD, line_with, replaced, unwrapped
from click.testing import CliRunner
from enclosure_text import AMPLIFIER, BRIEF

from acoustics.case import read_case
from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier
from acoustics.cli.main import main
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


def test_without_the_tables_there_is_neither(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(GOOD, encoding="utf-8")
    case = read_case(tmp_path)
    assert (case.amplifier, case.brief) == (None, None)


def test_both_come_out_in_si_units(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(GOOD + AMPLIFIER + BRIEF, encoding="utf-8")
    case = read_case(tmp_path)
    assert case.amplifier == Amplifier(60.0, 8.0, 4.0, 0.1)
    # √(60 W · 8 ohm)
    assert case.amplifier.voltage == pytest.approx(21.9089, rel=1e-5)
    assert case.brief == Brief(
        level=82.0,
        tilt=(-1.0, 0.3),
        reach=45.0,
        seat_level=96.0,
        width=0.23,
        height=0.4,
        depth=0.32,
        distance=2.5,
        ear_height=0.95,
        surfaces=("floor", "front wall"),
        budget=400.0,
    )


def test_what_is_left_out_is_not_asked_for(tmp_path: Path) -> None:
    text = GOOD + '[brief]\nreach = "45 Hz"\n[amplifier]\n'
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    case = read_case(tmp_path)
    assert case.brief == Brief(reach=45.0)
    assert case.amplifier == Amplifier(None, 8.0, None, 0.0)
    assert case.amplifier.voltage is None


ONE_FAULT = [
    (BRIEF, "level = 82.0", "level = 820", "brief.level", "write a number from 40 to 140 dB"),
    (BRIEF, "level = 82.0", "levl = 82.0", "brief.levl", "did you mean 'level'?"),
    (BRIEF, "level = 82.0", 'level = "82 dB"', "brief.level", "without quotes or unit"),
    (BRIEF, "[-1.0, 0.3]", "[0.3, -1.0]", "brief.tilt", "the least slope (0.3) comes first"),
    (BRIEF, "[-1.0, 0.3]", "[0.3]", "brief.tilt", "has the wrong length, not 2"),
    (BRIEF, '"45 Hz"', '"45 m"', "brief.reach", "is not a frequency"),
    (BRIEF, '"230 mm"', "230", "brief.width", "230 has no unit"),
    (BRIEF, '"front wall"', '"wall"', "brief.surfaces.2", "use floor, ceiling, front wall"),
    (BRIEF, '"front wall"', '"floor"', "brief.surfaces", "'floor' is there twice"),
    (BRIEF, '["floor", "front wall"]', "[]", "brief.surfaces", "has the wrong length, not 1 to 6"),
    (BRIEF, "budget = 400", "budget = -1", "brief.budget", "write a number from 0"),
    (AMPLIFIER, '"60 W"', "60", "amplifier.power", "60 has no unit; write it in quotes with W"),
    (AMPLIFIER, '"8 ohm"', '"8 W"', "amplifier.into", "is not a resistance"),
    (
        AMPLIFIER,
        '"4 ohm"',
        '"16 ohm"',
        "amplifier.lowest_impedance",
        "stated into 8 ohm, and the lowest load is said to be 16 ohm",
    ),
    (AMPLIFIER, '"0.1 ohm"', '"-1 ohm"', "amplifier.resistance", "write a value from 0 ohm"),
]


@pytest.mark.parametrize(("text", "old", "new", "key", "words"), ONE_FAULT)
def test_one_fault(
    faults_of: FaultsOf, text: str, old: str, new: str, key: str, words: str
) -> None:
    changed = GOOD + replaced(text, old, new)
    (fault,) = faults_of(changed)
    assert (fault.key, words in fault.message) == (key, True), fault.message
    assert fault.line == changed[: changed.rindex(new)].count("\n") + 1


def test_a_brief_asks_for_something(faults_of: FaultsOf) -> None:
    text = GOOD + "[brief]\n"
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("brief", line_with(text, "[brief]"))
    assert "the brief asks for nothing; add a key, for example level = 82.0" in fault.message


def test_check_says_what_is_wanted(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(GOOD + BRIEF, encoding="utf-8")
    lines = unwrapped(CliRunner().invoke(main, ["check", str(tmp_path)]).stdout)
    assert (
        "  brief      at least 82 dB in the listening window; tilt -1 to 0.3 dB per octave; "
        "down to 45 Hz; at least 96 dB at the main seat; at most 230 mm wide, 400 mm high and "
        "320 mm deep; heard at 2.5 m; ears at 0.95 m; with floor and front wall; drivers for at "
        "most 400"
    ) in lines
