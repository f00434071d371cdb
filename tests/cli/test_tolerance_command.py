"""`roundover tolerance` writes what it promises, goes on where it was, and says what is wrong."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.conventions import GeometryError, RoundoverError
from acoustics.figures import TOLERANCE_SHEETS
from acoustics.storage import open_prediction
from acoustics.studies.sweeps.size import free_memory
from acoustics.studies.tolerance import run as study
from acoustics.studies.tolerance import size, work
from support.sweeps import DESIGN, Counted

SMALL = DESIGN.replace("[sweep]\n", "")
TOLERANCE = """
[tolerance]
builds = 5
levels = 0.5
ear_height = "30 mm"
"""


@pytest.fixture
def solver(monkeypatch):
    """The free-field stand-in, all work in this process."""
    counted = Counted()
    monkeypatch.setattr(
        "acoustics.field.solve_field", lambda *what, threads=None, **how: counted(*what, **how)
    )
    monkeypatch.setattr(study, "usable_cores", lambda: 0)
    return counted


@pytest.fixture
def few_figures(monkeypatch):
    """Only the one that is drawn soonest: all of them take as long as all else together."""
    some = {name: TOLERANCE_SHEETS[name] for name in ("ear-height", "impedance")}
    monkeypatch.setattr("acoustics.figures.TOLERANCE_SHEETS", some)


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bench").mkdir()

    def go(text, *more):
        (tmp_path / "bench" / "case.toml").write_text(text, encoding="utf-8")
        return CliRunner().invoke(main, ["tolerance", "bench", *more])

    return go


@pytest.mark.usefixtures("solver", "few_figures")
def test_it_goes_on_where_it_was_and_writes_everything(run, tmp_path, monkeypatch):
    done = []

    def broken_off(asked):
        if len(done) == 4:
            raise KeyboardInterrupt
        done.append(asked)
        return work.work_on(asked)

    monkeypatch.setattr(study, "BLOCK", 3)
    monkeypatch.setattr(study, "work_on", broken_off)
    assert run(SMALL + TOLERANCE).exit_code == 130
    folder = tmp_path / "roundover-out" / "bench-tolerance"
    assert not (folder / "tolerance.nc").exists()
    kept = len(list((folder / "work").glob("*.npz")))
    assert kept == 4  # three checks and a block
    result = run(SMALL + TOLERANCE)
    assert result.exit_code == 130  # the last block is still to do, nothing else
    done.clear()
    result = run(SMALL + TOLERANCE)
    assert result.exit_code == 0, result.output
    assert result.stderr == ""  # no progress where nobody watches
    assert len(done) == 1
    found = open_prediction(folder / "tolerance.nc")
    assert dict(found.sizes)["build"] == 5
    summary = (folder / "summary.txt").read_text(encoding="utf-8")
    assert summary in result.stdout
    assert "Does it matter?" in summary
    assert (folder / "table.csv").read_text(encoding="utf-8").startswith("figure,")
    drawn = {path.stem for path in (folder / "figures").glob("*.png")}
    assert drawn == {"ear-height"}
    assert "1 figure (PNG and SVG)" in result.stdout


@pytest.mark.parametrize(
    ("table", "key", "words"),
    [
        ("positions = 1", "positions", "1 has no unit"),
        ("parts = \"5 %\"", "parts", "no driver has a passive crossover"),
        ("builds = 1", "builds", "a whole number from 2 to 100000"),
        ("drivers = { compliance = \"5 %\" }", "drivers.compliance", "small-signal parameters"),
        (
            '[[tolerance.spreads]]\nkey = "cabinet.depth"\nwithin = "5 Hz"',
            "spreads.1.within",
            "'5 Hz' is not a length",
        ),
    ],
)  # fmt: skip
def test_faults_of_the_table_are_told_with_file_line_and_key(run, tmp_path, table, key, words):
    text = f"{SMALL}\n[tolerance]\n{table}\n"
    result = run(text)
    assert result.exit_code == 2
    line = text.count("\n")
    assert result.stderr.startswith(f"bench/case.toml:{line}: tolerance.{key}: ")
    assert words in result.stderr
    assert not (tmp_path / "roundover-out").exists()


def test_a_folder_that_cannot_be_written_is_told_before_the_work(run, tmp_path, solver):
    (tmp_path / "file").write_text("")
    result = run(SMALL + TOLERANCE, "--out", "file/there")
    assert result.exit_code == 2
    assert "files cannot be written there" in result.stderr
    assert solver.calls == 0


def test_more_builds_than_memory_are_refused_before_the_work(run, solver, monkeypatch):
    monkeypatch.setattr(size, "free_memory", lambda: 900.0)
    result = run(SMALL + TOLERANCE)
    assert result.exit_code == 2
    assert "5 builds of " in result.stderr
    assert "of memory, of which 900 B are free" in result.stderr
    assert "ask for fewer builds" in result.stderr
    assert solver.calls == 0
    assert free_memory() > 1e6  # what is refused here is not refused of a usual machine


def test_builds_that_all_fail_are_a_message(run, solver, monkeypatch):
    def nothing(*_):
        raise RoundoverError("the port is longer than the box")

    monkeypatch.setattr(work, "built", nothing)
    result = run(SMALL + TOLERANCE)
    assert result.exit_code == 2
    assert "not one of 5 builds can be: the port is longer than the box" in result.stderr
    assert solver.calls > 0


@pytest.mark.usefixtures("solver")
def test_places_that_stray_off_the_face_are_a_message(run, monkeypatch):
    def nowhere(*_, **__):
        raise GeometryError("the piston does not lie on a face of the body")

    monkeypatch.setattr("acoustics.field.solve_field", nowhere)
    result = run(SMALL + TOLERANCE + 'positions = "90 mm"\n')
    assert result.exit_code == 2
    assert "case.toml: tolerance: places stray so far that the piston does not" in result.stderr
    assert "state smaller spreads of positions" in result.stderr


@pytest.mark.usefixtures("solver", "few_figures")
def test_frequencies_that_cover_no_figure_are_not_known(run):
    cut = SMALL[: SMALL.index("[crossover.tweeter]")] + SMALL[SMALL.index("[seat]") :]
    cut = cut.replace('"4 kHz"', '"250 Hz"').replace("at_most = 8.0", "at_most = 8.0\nband = []")
    start, end = cut.index("[[aims]]"), cut.index("[frequencies]")
    result = run(cut[:start] + cut[end:] + TOLERANCE)
    assert result.exit_code == 0, result.output
    told = " ".join(result.stdout.split())
    assert "Not known: the case's frequencies do not reach into 300 Hz to 10 kHz" in told
    assert "Not known of any build: ripple on the axis" in told
