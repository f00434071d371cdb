"""`roundover verify` writes what it promises, and refuses in words what it cannot use."""

from __future__ import annotations

import shutil

import numpy as np
import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.report.cautions import OF_CHECKING
from acoustics.storage import open_prediction
from acoustics.studies.verification import study
from support.cases import CASES, shipped_text
from support.verifications import PART, verification

FREQUENCY = np.geomspace(300.0, 15_000.0, 120)

ANSWER = {"verification.nc", "summary.txt", "causes.csv"}


def table(path, head, *columns, frequency=FREQUENCY):
    rows = [
        head,
        *(", ".join(f"{v:.4f}" for v in row) for row in zip(frequency, *columns, strict=True)),
    ]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def response(path, **changes):
    level = 80 + np.sin(5 * np.log(FREQUENCY))
    return table(path, "frequency (Hz), level (dB)", level, **changes)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with a design that names no measurement, worked in."""
    text = shipped_text("compact-passive")
    start, end = text.index("[verification]"), text.index("# Usual cautions: wear")
    (tmp_path / "case.toml").write_text(text[:start] + text[end:], encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def answered(monkeypatch):
    """The study answers at once: a part off in value."""
    asked = []

    def verify_design(case, readings, **_):
        asked.append(readings)
        return verification("fault", healthy=0.0, unknown=0.03, causes=[(0.97, [PART])])

    monkeypatch.setattr(study, "verify_design", verify_design)
    return asked


@pytest.fixture
def no_figures(monkeypatch):
    monkeypatch.setattr("acoustics.figures.save.save_sheets", lambda sheets, *_: len(sheets))


def run(*arguments):
    return CliRunner().invoke(main, ["verify", *map(str, arguments)])


def refused(result, *parts):
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit)
    said = " ".join(result.stderr.split())
    assert "Traceback" not in said
    for part in parts:
        assert part in said
    return said


def written(folder):
    return {path.name for path in folder.iterdir() if path.is_file()}


@pytest.mark.usefixtures("no_figures")
def test_it_writes_dataset_summary_and_table_and_a_fault_is_no_error(folder, answered):
    response(folder / "axis.txt")
    shutil.copy(CASES / "compact-passive" / "finished" / "terminals.txt", folder)
    result = run("case.toml", "--response", "axis.txt", "--impedance", "terminals.txt",
                 "--out", "out")  # fmt: skip
    assert result.exit_code == 0, result.output
    (readings,) = answered
    assert [each.name for each in readings.responses] == ["axis"]
    assert [each.name for each in readings.impedances] == ["terminals"]
    assert written(folder / "out") == ANSWER
    text = (folder / "out" / "summary.txt").read_text(encoding="utf-8")
    assert text in result.stdout
    assert "Most likely (97 %): C1 of the tweeter is about 14 µF" in " ".join(text.split())
    assert OF_CHECKING[0][:40] in text
    assert "Written to out: verification.nc, summary.txt, causes.csv, " in result.stdout
    assert open_prediction(folder / "out" / "verification.nc").attrs["verdict"] == "fault"
    assert (folder / "out" / "causes.csv").read_text(encoding="utf-8").startswith("rank,")


@pytest.mark.usefixtures("answered", "no_figures")
def test_without_out_it_writes_to_a_folder_named_after_the_case(folder):
    response(folder / "axis.txt")
    assert run("case.toml", "--response", "axis.txt").exit_code == 0
    (out,) = (folder / "roundover-out").iterdir()
    assert out.name.endswith("-verification")
    assert written(out) == ANSWER


@pytest.mark.usefixtures("no_figures")
def test_each_driver_has_its_file(folder, answered):
    response(folder / "w.txt")
    response(folder / "t.txt", frequency=FREQUENCY * 1.01)
    level = np.sin(FREQUENCY)
    table(folder / "t.txt", "frequency (Hz), level (dB)", 80 + level)
    result = run("case.toml", "--response", "woofer=w.txt", "--response", "tweeter=t.txt")
    assert result.exit_code == 0, result.output
    assert [each.playing for each in answered[0].responses] == [(1,), (0,)]


def test_nothing_given_says_what_to_give(folder):
    said = refused(run("case.toml"), "no measurement of the finished loudspeaker is given")
    assert "--response FILE" in said
    assert not (folder / "roundover-out").exists()


def test_a_file_that_is_not_there_is_named(folder):
    refused(run("case.toml", "--response", "nowhere.txt"), "nowhere.txt")
    assert not (folder / "roundover-out").exists()


def test_an_empty_or_broken_file_is_named(folder):
    (folder / "empty.txt").write_text("", encoding="utf-8")
    refused(run("case.toml", "--response", "empty.txt"), "empty.txt")
    (folder / "noise.txt").write_bytes(bytes(range(256)) * 4)
    refused(run("case.toml", "--impedance", "noise.txt"), "noise.txt")


def test_an_impedance_given_as_a_response_is_told_and_the_other_way_round(folder):
    table(folder / "z.txt", "frequency (Hz), impedance (ohm)", 8 + np.sin(FREQUENCY))
    refused(run("case.toml", "--response", "z.txt"), "z.txt", "give it as an impedance")
    table(folder / "r.txt", "frequency (Hz), level (dB SPL)", 80 + np.sin(FREQUENCY))
    refused(run("case.toml", "--impedance", "r.txt"), "r.txt", "give it as a response")


def test_a_response_beyond_all_that_is_predicted_is_told(folder):
    response(folder / "far.txt", frequency=np.linspace(60_000.0, 90_000.0, FREQUENCY.size))
    refused(run("case.toml", "--response", "far.txt"), "far.txt")


def test_a_driver_that_is_not_there_is_told(folder):
    response(folder / "w.txt")
    refused(run("case.toml", "--response", "wofer=w.txt"), "wofer", "woofer")


def test_the_same_file_twice_under_two_names_is_told(folder):
    response(folder / "a.txt")
    shutil.copy(folder / "a.txt", folder / "b.txt")
    refused(run("case.toml", "--response", "a.txt", "--response", "b.txt"), "holds the same")


@pytest.mark.usefixtures("answered")
def test_no_measurement_is_written_over(folder):
    (folder / "out").mkdir()
    given = response(folder / "out" / "summary.txt")
    before = given.read_bytes()
    said = refused(run("case.toml", "--response", "out/summary.txt", "--out", "out"), "summary.txt")
    assert "choose another --out" in said
    assert given.read_bytes() == before


@pytest.mark.usefixtures("answered")
def test_a_folder_that_cannot_be_made_is_told_before_any_work(folder):
    response(folder / "axis.txt")
    (folder / "file").write_text("", encoding="utf-8")
    refused(run("case.toml", "--response", "axis.txt", "--out", "file/out"), "file")


@pytest.mark.slow
def test_the_shipped_measurements_are_answered_whole(tmp_path):
    result = run(CASES / "compact-passive", "--out", tmp_path)
    assert result.exit_code == 0, result.output
    assert written(tmp_path) == ANSWER
    figures = {path.name for path in (tmp_path / "figures").glob("*.png")}
    pages = {f"response-{page}.png" for page in range(1, 5)}
    assert figures == {"causes.png", "crossover.png", "impedance-1.png", *pages}
    found = open_prediction(tmp_path / "verification.nc")
    # What went wrong is that these changed places; see finished/README.md.
    assert "C1 and C2 of the tweeter are swapped" in str(found.cause_words.values[0, 0])
    # A wall that rings at 609 Hz.
    assert found.attrs["verdict"] == "fault"
    assert float(found.cause_probability[0]) > 0.9
    assert float(found.wrinkle_frequency[0]) == pytest.approx(609.0, rel=0.01)
    assert "C1 and C2 of the tweeter are swapped" in " ".join(result.stdout.split())


@pytest.mark.slow
def test_a_response_without_phase_is_answered_and_its_limits_are_told(folder):
    shipped = np.loadtxt(
        CASES / "compact-passive" / "finished" / "axis.txt", delimiter=",", skiprows=1
    )
    kept = shipped[::6]
    table(folder / "axis.txt", "frequency (Hz), level (dB)", kept[:, 1], frequency=kept[:, 0])
    result = run("case.toml", "--response", "axis.txt", "--out", "out")
    assert result.exit_code == 0, result.output
    said = " ".join(result.stdout.split())
    assert "No response has phase" in said
    assert "No impedance was given" in said
