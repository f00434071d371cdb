"""`roundover measure` writes what it promises, writes test sweeps, and refuses in words."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.curves import read_curve
from acoustics.measurement.sweep import make_sweep
from acoustics.measurement.wav import read_wav
from acoustics.report.cautions import OF_SWEEPS
from acoustics.report.measured_tables import level_of, trusted
from acoustics.storage import open_prediction
from acoustics.studies.measure import against
from support.free_field import solve_free_field
from support.measured_bench import CASE, Bench, bench_case, recorded, write
from support.unrendered import without_pictures

DOME = """
[drivers.tweeter.small_signal]
resonance = "900 Hz"
mechanical_q = 2.5
dc_resistance = "5.6 ohm"
force_factor = "3.3 T m"
moving_mass = "0.25 g"
"""


def invoke(*arguments):
    return CliRunner().invoke(main, ["measure", *map(str, arguments)])


def one_line(text):
    return " ".join(text.split())


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bench")
    bench_case(folder, bench=Bench(polynomial=(0.01, 0.0)))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(against, "solve_field", solve_free_field)
        without_pictures(patch)
        result = invoke(folder, "--out", folder / "out")
    assert result.exit_code == 0, result.output
    return folder, result.stdout


def test_it_writes_tables_dataset_summary_lines_and_figures(written):
    folder, said = written
    out = folder / "out"
    names = ["phase", *(f"{kind}-{driver}" for kind in ("response", "impulse", "distortion")
                        for driver in ("tweeter", "woofer"))]  # fmt: skip
    sheets = {f"figures/{name}.{end}" for name in names for end in ("png", "svg")}
    tables = {"tweeter-response.txt", "woofer-response.txt"}
    there = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert there == {"measurement.nc", "summary.txt", "measured.toml", *tables, *sheets}
    text = (out / "summary.txt").read_text(encoding="utf-8")
    assert text in said
    # Cautions stand before any advice to measure again.
    assert text.index(OF_SWEEPS[0][:40]) < text.index("What to look at")


@pytest.mark.parametrize("name", ["tweeter", "woofer"])
def test_tables_hold_what_was_measured_and_need_no_guess(written, name):
    folder, _ = written
    study = open_prediction(folder / "out" / "measurement.nc")
    curve = read_curve(folder / "out" / f"{name}-response.txt", "level")
    assert curve.guesses == ()
    assert curve.has_phase
    inside = trusted(study, name)
    frequency = study.frequency.values[inside]
    assert curve.frequency == pytest.approx(frequency, rel=1e-6)
    one = study.sel(driver=name)
    wanted = one.response.values[inside]
    assert 20 * np.log10(np.abs(curve.values)) == pytest.approx(level_of(study, wanted), abs=6e-4)
    back = curve.values * np.exp(-2j * np.pi * frequency * float(one.removed_delay))
    assert np.degrees(np.abs(np.angle(back / wanted))).max() < 0.1


def test_lines_for_the_case_are_the_tables_place_and_delay(written):
    folder, said = written
    text = (folder / "out" / "measured.toml").read_text(encoding="utf-8")
    assert text.rstrip() in said
    table = tomllib.loads(text)["drivers"]["woofer"]["measured"]
    assert table["response"] == "out/woofer-response.txt"
    assert (table["distance"], table["at"], table["voltage"]) == ("1 m", "reference axis", "2.83 V")
    # 1 m at 343.2 m/s (ISO 9613-1, 20 °C)
    assert table["removed_delay"] == f"{1e3 / 343.2:.6f} ms"


def test_without_level_or_loopback_the_lines_say_so(tmp_path, monkeypatch):
    monkeypatch.setattr(against, "solve_field", solve_free_field)
    monkeypatch.setattr("acoustics.figures.save.save_sheets", lambda *_: 0)
    text = CASE.replace("loopback = 2\n", "").replace("level_of_full_scale = 120.0\n", "")
    result = invoke(bench_case(tmp_path, text), "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    lines = (tmp_path / "out" / "measured.toml").read_text(encoding="utf-8")
    assert tomllib.loads(lines) == {}  # all are comments
    assert "# unknown_delay = true" in lines
    assert "State measurement.level_of_full_scale" in lines
    assert "which sound pressure that is, is not known" in one_line(result.stdout)


def test_files_that_are_missing_or_damaged_are_told_with_their_lines(tmp_path):
    text = CASE.replace("loopback = 2\n", 'loopback = 3\ncalibration = "mic.txt"\n')
    file = bench_case(tmp_path, text)
    (tmp_path / "tweeter.wav").unlink()
    (tmp_path / "mic.txt").write_text("flat\n")
    result = invoke(file, "--out", tmp_path / "out")
    assert result.exit_code == 2
    lines = text.splitlines()
    for start, key, words in (
        ('far = "tweeter.wav"', "measurement.drivers.tweeter.far", "there is no such file"),
        ('far = "woofer.wav"', "measurement.drivers.woofer.far", "measurement.loopback (3)"),
        ("calibration", "measurement.calibration", "has no rows of numbers"),
    ):
        number = next(n for n, line in enumerate(lines, 1) if line.startswith(start))
        place = f"{file}:{number}: {key}: "
        assert any(line.startswith(place) and words in line for line in result.stderr.splitlines())
    assert not (tmp_path / "out").exists()


def test_tables_that_are_still_to_be_written_are_told_apart(tmp_path):
    more = '[drivers.woofer.measured]\nresponse = "woofer-response.txt"\ndistance = "1 m"\n'
    file = bench_case(tmp_path, CASE.replace("[seat]", more + "\n[seat]"))
    result = invoke(file)
    assert result.exit_code == 2
    assert "drivers.woofer.measured.response" in result.stderr
    assert "out until what they name is written" in result.stderr


def test_cut_off_recordings_and_other_rates_are_refused(tmp_path):
    file = bench_case(tmp_path, CASE.replace('sampling_rate = "48 kHz"\n', ""))
    whole = (tmp_path / "tweeter.wav").read_bytes()
    (tmp_path / "tweeter.wav").write_bytes(whole[: len(whole) // 2])
    result = invoke(file)
    assert result.exit_code == 2
    assert "measurement.drivers.tweeter.far" in result.stderr
    assert "is cut off" in result.stderr
    write(tmp_path / "tweeter.wav", recorded("tweeter", Bench()), rate=44_100)
    result = invoke(file)
    assert result.exit_code == 2
    assert "record all with the same" in result.stderr
    short = recorded("tweeter", Bench())[:20_000]
    write(tmp_path / "tweeter.wav", short)
    result = invoke(file)
    assert result.exit_code == 2
    assert "record until the room is silent again" in result.stderr


def test_the_test_sweep_begins_at_the_tweeters_resonance(tmp_path):
    file = bench_case(tmp_path, CASE.replace("[seat]", DOME + "\n[seat]"))
    result = invoke(file, "--sweep", tmp_path / "t.wav", "--driver", "tweeter")
    assert result.exit_code == 0, result.output
    said = one_line(result.stdout)
    assert said.index("Before any sweep") < said.index("Written to")
    for words in ("A capacitor in series", "Hearing", "Quiet first", "resonance, 900 Hz"):
        assert words in said
    heard = read_wav(tmp_path / "t.wav")
    assert heard.sampling_rate == 48_000
    first, second = heard.samples
    assert np.array_equal(first, second)
    sweep = make_sweep(900.0, 23_000.0, 0.6, 48_000.0).samples
    lead = 24_000
    assert not first[:lead].any()
    assert not first[lead + sweep.size :].any()
    # −20 dB of full scale, to half a step of 24 bits.
    assert np.abs(first[lead : lead + sweep.size] - 0.1 * sweep).max() < 2.0**-23
    lines = result.stdout[result.stdout.index("[measurement") :]
    table = tomllib.loads(lines[: lines.index("Written")])["measurement"]["drivers"]["tweeter"]
    assert table["sweep"] == {"lowest": "900 Hz", "highest": "23000 Hz", "duration": "0.6 s"}


def test_whoever_asks_for_a_lower_beginning_gets_it(tmp_path):
    file = bench_case(tmp_path, CASE.replace("[seat]", DOME + "\n[seat]"))
    more = ("--sweep", tmp_path / "t.wav", "--driver", "tweeter", "--from", "500 Hz", "--level=-40")
    result = invoke(file, *more)
    assert result.exit_code == 0, result.output
    assert "where you asked for" in one_line(result.stdout)
    assert np.abs(read_wav(tmp_path / "t.wav").samples).max() == pytest.approx(0.01, rel=0.01)


def test_a_sweep_for_a_case_that_was_not_measured_yet(tmp_path):
    file = bench_case(tmp_path, CASE[: CASE.index("[measurement]")])
    assert invoke(file, "--sweep", tmp_path / "w.wav", "--driver", "woofer").exit_code == 0
    result = invoke(file, "--sweep", tmp_path / "t.wav", "--driver", "tweeter")
    assert "small driver of unknown resonance" in one_line(result.stdout)
    for wrong, words in ((("--driver", "tweter"), "did you mean 'tweeter'"), ((), "name one with")):
        refused = invoke(file, "--sweep", tmp_path / "x.wav", *wrong)
        assert refused.exit_code == 2
        assert words in refused.stderr
    assert not (tmp_path / "x.wav").exists()


@pytest.mark.parametrize(
    "options", [("--driver", "tweeter"), ("--level", "-10"), ("--sweep", "a.wav", "--out", "b")]
)
def test_options_that_do_not_go_together(tmp_path, options):
    result = invoke(bench_case(tmp_path), *options)
    assert result.exit_code == 2
    assert "go with --sweep" in result.stderr or "leave one away" in result.stderr


def test_no_recording_is_written_over(tmp_path, monkeypatch):
    monkeypatch.setattr(against, "solve_field", solve_free_field)
    text = CASE.replace("loopback = 2\n", 'loopback = 2\ncalibration = "summary.txt"\n')
    file = bench_case(tmp_path, text)
    table = "20 0.1\n1000 0\n24000 -0.1\n"
    (tmp_path / "summary.txt").write_text(table)
    result = invoke(file, "--out", tmp_path)
    assert result.exit_code == 2
    assert "choose another --out" in one_line(result.stderr)
    assert (tmp_path / "summary.txt").read_text() == table
    before = (tmp_path / "tweeter.wav").read_bytes()
    for name, words in (("tweeter.wav", "would be written over"), ("sweep.txt", "ending .wav")):
        result = invoke(file, "--sweep", tmp_path / name, "--driver", "woofer")
        assert result.exit_code == 2
        assert words in one_line(result.stderr)
    assert (tmp_path / "tweeter.wav").read_bytes() == before
    assert not (tmp_path / "sweep.txt").exists()


@pytest.mark.parametrize("copied", [False, True])
def test_one_recording_for_two_drivers_is_refused(tmp_path, copied):
    text = CASE if copied else CASE.replace('far = "woofer.wav"', 'far = "tweeter.wav"')
    file = bench_case(tmp_path, text)
    if copied:
        (tmp_path / "woofer.wav").write_bytes((tmp_path / "tweeter.wav").read_bytes())
    result = invoke(file)
    assert result.exit_code == 2
    assert "measurement.drivers.woofer.far" in result.stderr
    assert ("is a copy of" if copied else "tweeter.far already") in result.stderr


def test_a_loopback_that_was_not_recorded_names_its_key(tmp_path):
    file = bench_case(tmp_path)
    write(tmp_path / "tweeter.wav", recorded("tweeter", Bench())[:, :1])
    result = invoke(file)
    assert result.exit_code == 2
    assert "has 1 channel and none that is measurement.loopback (2)" in result.stderr


def test_what_something_stands_against_is_not_called_trusted(tmp_path, monkeypatch):
    monkeypatch.setattr(against, "solve_field", solve_free_field)
    monkeypatch.setattr("acoustics.figures.save.save_sheets", lambda *_: 0)
    text = CASE[: CASE.index("[measurement.drivers.tweeter]")]
    text += '[measurement.drivers.woofer]\nfar = "woofer.wav"\n'
    result = invoke(bench_case(tmp_path, text, Bench(sign=-1)), "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    said = one_line(result.stdout)
    assert "To be trusted only when" in said
    assert "Can be trusted" not in said
    assert "Not measured: tweeter" in said
