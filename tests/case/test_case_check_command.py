from __future__ import annotations

from pathlib import Path

import pytest
from bench_text import FURNISHED, GOOD, unwrapped
from click.testing import CliRunner

from acoustics.case import schema_text
from acoustics.cli.main import main
from support.cases import shipped_text

CASES = Path(__file__).parents[2] / "cases"


@pytest.mark.parametrize("name", ["compact-centred", "compact-centred/case.toml"])
def test_it_says_what_the_design_is(name: str) -> None:
    result = CliRunner().invoke(main, ["check", str(CASES / name)])
    assert result.exit_code == 0
    assert result.stderr == ""
    lines = result.stdout.splitlines()
    assert lines[0] == "Compact two-way, tweeter centred"
    assert lines[-1] == "no faults"


def described(text: str, folder: Path) -> list[str]:
    (folder / "case.toml").write_text(text)
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert (result.exit_code, result.stderr) == (0, "")
    return unwrapped(result.stdout)


def test_a_single_cabinet_on_a_floor(tmp_path: Path) -> None:
    lines = described(GOOD, tmp_path)
    assert lines[0] == "Two-way on a test bench"
    assert "220 mm wide, 380 mm high, 300 mm deep, base 600 mm above the floor" in lines[1]
    assert "25 mm piston, 125 mm up; 90 dB; high-pass linkwitz-riley" in lines[2]
    assert "peak -2 dB at 3 kHz" in lines[2]
    assert lines[3].endswith("88 dB; full range")
    assert lines[4:8] == [
        "  reference  from 125 mm up; 2 m away",
        "  placement  one cabinet, facing straight ahead",
        "  seat       2.5 m away, ears at 0.85 m, 0.95 m",
        "  surfaces   floor reflects 0.9",
    ]
    # 1000·2^(n/24) Hz from 20 Hz to 20 kHz: n from -135 to 103.
    assert lines[8] == "  predicts   239 frequencies, 20 Hz to 20 kHz; 3 aims"
    assert lines[9:] == ["no faults"]


def test_a_pair_in_a_room_with_acoustic_slopes(tmp_path: Path) -> None:
    text = FURNISHED.replace("gain = -5.0", 'slopes = "acoustic"\nlevel = 84.5')
    text = text.replace("sensitivity = 88.0", 'sensitivity = 88.0\nbreakup = "3.5 kHz"')
    lines = described(text, tmp_path)
    assert "; 90 dB; acoustic slopes about 84.5 dB: high-pass" in lines[2]
    assert lines[3].endswith("full range; breaks up at 3.5 kHz")
    assert lines[5:10] == [
        "  placement  mirrored pair, 2 m apart, turned 10 deg inward",
        "  seat       2.5 m away, ears at 0.85 m, 0.95 m",
        "  seat       left-end: 2.7 m away, 0.7 m to the left",
        "  seat       next: 2.5 m away, 0.6 m to the right",
        "  surfaces   floor reflects 0.9; ceiling at 2.4 m reflects 1; "
        "front wall at 0.8 m reflects 0.8; rear wall at 4.2 m reflects 1; "
        "left wall at 1.7 m reflects 1; right wall at 1.9 m has 50 mm of 12 kPa s/m2",
    ]


def test_no_surface_at_all(tmp_path: Path) -> None:
    text = GOOD.replace("[floor]\nreflection = 0.9\n", "").replace("floor dip", "ripple")
    assert "  surfaces   none" in described(text, tmp_path)


def test_shapes_and_faces(tmp_path: Path) -> None:
    text = GOOD.replace('base_height = "600 mm"', 'rounds = [{ radius = "9 mm" }]')
    text = text.replace("[drivers.woofer]", '[drivers.woofer]\nface = "left"')
    text = text.replace("reflection = 0.9", "reflection = 1")
    lines = described(text, tmp_path)
    assert (
        "  cabinet    220 mm wide, 380 mm high, 300 mm deep, 4 edges rounded, "
        "base 0 mm above the floor"
    ) in lines
    assert any("20 mm down on the left face; 88 dB" in line for line in lines)
    lines = described(shipped_text("open-baffle"), tmp_path)
    assert lines[1] == (
        "  cabinet    plate, 320 mm wide, 500 mm high, 0 mm thick, base 600 mm above the floor"
    )
    assert any("60 mm down, radiates from both sides; 88 dB" in line for line in lines)
    sloped = text.replace("[cabinet]", '[cabinet]\nshape = "sloped front"\nlean = "8 deg"')
    sloped = sloped.replace('rounds = [{ radius = "9 mm" }]', "")
    sloped = sloped.replace("reflection = 1", "mirrors_cabinet = true")
    lines = described(sloped, tmp_path)
    assert "sloped front, 220 mm wide" in lines[1]
    assert "leaning back 8 deg, base 0 mm" in lines[1]
    assert "  surfaces   floor reflects 1 and mirrors the cabinet" in lines


def test_every_fault_is_a_line_and_there_is_no_traceback(tmp_path: Path) -> None:
    text = shipped_text("compact-centred")
    width, depth = (text[: text.index(key)].count("\n") + 1 for key in ("width =", "depth ="))
    file = tmp_path / "case.toml"
    file.write_text(text.replace("width =", "widht =", 1).replace('"300 mm"', '"3 kg"'))
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
