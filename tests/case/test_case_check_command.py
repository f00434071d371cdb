from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from acoustics.case import schema_text
from acoustics.cli.main import main

CASES = Path(__file__).parents[2] / "cases"


@pytest.mark.parametrize("name", ["compact-centred", "compact-centred/case.toml"])
def test_it_says_what_the_design_is(name: str) -> None:
    result = CliRunner().invoke(main, ["check", str(CASES / name)])
    assert result.exit_code == 0
    assert result.stderr == ""
    lines = result.stdout.splitlines()
    assert lines[0] == "Compact two-way, tweeter centred"
    assert "220 mm wide, 380 mm high, 300 mm deep, base 635 mm above the floor" in lines[1]
    assert "25 mm piston at 0 mm right, 125 mm up; 90 dB; high-pass linkwitz-riley" in lines[2]
    assert "low-shelf +3 dB at 350 Hz" in lines[3]
    assert "2 m away" in lines[4]
    assert "2.5 m away, ears at 0.85 m, 0.95 m, 1.05 m; floor reflects 0.9" in lines[5]
    # 1000·2^(n/24) Hz from 20 Hz to 20 kHz: n from -135 to 103.
    assert "239 frequencies, 20 Hz to 20 kHz" in lines[6]
    assert lines[-1] == "no faults"


def test_every_fault_is_a_line_and_there_is_no_traceback(tmp_path: Path) -> None:
    text = (CASES / "compact-centred" / "case.toml").read_text(encoding="utf-8")
    width, depth = (text[: text.index(key)].count("\n") + 1 for key in ("width =", "depth ="))
    file = tmp_path / "case.toml"
    file.write_text(text.replace("width =", "widht =").replace('"300 mm"', '"3 kg"'))
    result = CliRunner().invoke(main, ["check", str(file)])
    assert result.exit_code == 2
    assert result.stdout == ""
    first, second = result.stderr.splitlines()
    assert first.startswith(f"{file}:{width}: cabinet.widht: unknown key 'widht'")
    assert second.startswith(f"{file}:{depth}: cabinet.depth: '3 kg' is not a length")
    assert isinstance(result.exception, SystemExit)


def test_a_missing_file_is_a_fault() -> None:
    result = CliRunner().invoke(main, ["check", "no-such-folder/case.toml"])
    assert result.exit_code == 2
    assert "no-such-folder/case.toml: there is no such file" in result.stderr


def test_the_schema_needs_no_case() -> None:
    result = CliRunner().invoke(main, ["check", "--schema"])
    assert result.exit_code == 0
    assert result.stdout == schema_text()


def test_neither_case_nor_schema_is_a_usage_error() -> None:
    result = CliRunner().invoke(main, ["check"])
    assert result.exit_code == 2
    assert "Missing argument 'CASE'" in result.stderr
