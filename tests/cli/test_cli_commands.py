"""The commands write what they promise and end as they should."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.figures import COMPARISON_SHEETS, SHEETS
from acoustics.storage import open_prediction
from support.cases import shipped_text
from support.unrendered import without_pictures

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(autouse=True)
def quick_solver(monkeypatch, solve_free_field):
    monkeypatch.setattr("acoustics.field.solve_field", solve_free_field)


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def invoke(*arguments):
        return CliRunner().invoke(main, [str(argument) for argument in arguments])

    return invoke


@pytest.fixture
def no_figures(monkeypatch):
    monkeypatch.setattr("acoustics.figures.save_sheets", lambda *_: 0)


@pytest.fixture
def unrendered(monkeypatch):
    without_pictures(monkeypatch)


def names(folder):
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


@pytest.mark.usefixtures("unrendered")
def test_predict_writes_dataset_figures_and_summary(run, tmp_path):
    result = run("predict", CASES / "compact-centred", "--out", "there")
    assert result.exit_code == 0, result.output
    assert result.stderr == ""  # no progress where nobody watches
    drawn = [name for name in SHEETS if name != "input-impedance"]  # nothing is passive here
    figures = {f"figures/{name}.{ending}" for name in drawn for ending in ("png", "svg")}
    assert names(tmp_path / "there") == {"prediction.nc", "summary.txt", *figures}
    summary = (tmp_path / "there" / "summary.txt").read_text(encoding="utf-8")
    assert summary in result.stdout
    assert "Is it good?" in summary.splitlines()[3]
    assert open_prediction(tmp_path / "there" / "prediction.nc").attrs["title"] in summary
    assert f"{len(drawn)} figures" in result.stdout


@pytest.mark.usefixtures("no_figures")
def test_equal_input_gives_equal_files_in_any_folder(run, tmp_path):
    """In that of the case's name where none is given. Figures have a test of their own."""
    for folder in (("--out", "there"), ()):
        assert run("predict", CASES / "compact-offset" / "case.toml", *folder).exit_code == 0
    there, default = tmp_path / "there", tmp_path / "roundover-out" / "compact-offset"
    assert (default / "prediction.nc").is_file()
    assert names(there) == names(default)
    for name in names(there):
        assert (there / name).read_bytes() == (default / name).read_bytes(), name


@pytest.mark.usefixtures("unrendered")
def test_compare_writes_table_figures_and_sentences(run, tmp_path):
    result = run("compare", CASES / "compact-centred", CASES / "compact-offset")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "roundover-out" / "compact-centred-against-compact-offset"
    figures = {f"figures/{name}.{e}" for name in COMPARISON_SHEETS for e in ("png", "svg")}
    files = {"comparison.txt", "table.csv", "compact-centred.nc", "compact-offset.nc"}
    assert names(folder) == files | figures
    assert (folder / "comparison.txt").read_text(encoding="utf-8") in result.stdout


@pytest.mark.slow
@pytest.mark.usefixtures("no_figures")
def test_folders_of_one_name_keep_apart(run, tmp_path):
    for kind in ("centred", "offset"):
        shutil.copytree(CASES / f"compact-{kind}", tmp_path / kind / "design")
        shutil.copytree(CASES / "drivers", tmp_path / kind / "drivers")
    result = run("compare", "centred/design", "offset/design", CASES / "compact-offset")
    assert result.exit_code == 2  # the last two are the same
    assert "describe the same design" in result.stderr
    result = run("compare", "centred/design", "offset/design", CASES / "floorstander")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "roundover-out" / "1-design-against-2-design-against-3-floorstander"
    predictions = {"1-design.nc", "2-design.nc", "3-floorstander.nc"}
    assert names(folder) == {"comparison.txt", "table.csv"} | predictions
    titles = [open_prediction(folder / name).attrs["title"] for name in sorted(predictions)]
    assert len(set(titles)) == 3
    assert "1: design" in result.stdout


def test_the_same_design_twice_is_refused_before_solving(run, tmp_path, monkeypatch):
    def never(*_, **__):
        raise AssertionError("solved a comparison of a design with itself")

    monkeypatch.setattr("acoustics.field.solve_field", never)
    result = run("compare", CASES / "compact-centred", CASES / "compact-centred" / "case.toml")
    assert result.exit_code == 2
    assert "name each design once" in result.stderr
    assert not (tmp_path / "roundover-out").exists()


def test_a_failing_figure_does_not_lose_the_prediction(run, tmp_path, monkeypatch):
    def fail(*_):
        raise ZeroDivisionError

    monkeypatch.setattr("acoustics.figures.save_sheets", fail)
    assert run("predict", CASES / "compact-centred", "--out", "there").exit_code != 0
    assert open_prediction(tmp_path / "there" / "prediction.nc").sizes["driver"] == 2


@pytest.mark.parametrize("command", ["predict", "compare"])
def test_unwritable_folder_is_found_before_solving(run, tmp_path, monkeypatch, command):
    def never(*_, **__):
        raise AssertionError("solved before the folder was tried")

    monkeypatch.setattr("acoustics.field.solve_field", never)
    (tmp_path / "file").write_text("")
    cases = [CASES / "compact-centred", CASES / "compact-offset"][: 1 + (command == "compare")]
    result = run(command, *cases, "--out", tmp_path / "file" / "sub")
    assert result.exit_code == 2
    assert "files cannot be written there" in result.stderr
    assert "--out" in result.stderr
    assert "Traceback" not in result.output


@pytest.mark.parametrize("command", ["predict", "compare"])
def test_every_fault_of_a_bad_case_is_reported(run, tmp_path, command):
    bad = tmp_path / "bad"
    shutil.copytree(CASES / "compact-centred", bad)
    text = shipped_text("compact-centred")
    text = text.replace('width = "220 mm"', 'width = "3 kg"')
    text = text.replace('distance = "2.5 m"', 'distence = "2.5 m"')
    (bad / "case.toml").write_text(text, encoding="utf-8")
    cases = [bad, CASES / "compact-centred"][: 1 + (command == "compare")]
    result = run(command, *cases, "--out", "there")
    assert result.exit_code == 2
    assert "3 kg" in result.stderr
    assert "distence" in result.stderr
    assert "case.toml:" in result.stderr
    assert result.stdout == ""
    assert not (tmp_path / "there").exists()


@pytest.mark.usefixtures("no_figures")
@pytest.mark.slow
def test_compare_holds_differences_against_builds(run, tmp_path, monkeypatch):
    builds = "acoustics.studies.build_pairs.pairs"
    monkeypatch.setattr(f"{builds}.enough", lambda _: 1)
    monkeypatch.setattr(f"{builds}.usable_cores", lambda: 0)  # in this process
    pair = CASES / "compact-centred", CASES / "compact-offset"
    result = run("compare", *pair, "--tolerance", "--out", "there")
    assert result.exit_code == 0, result.output
    said = re.sub(r"\s+", " ", result.stdout)
    assert "held against 1 builds of each design" in said
    assert "(the usual spreads, as no table [tolerance] states any)" in said
    assert "builds from,builds to" in (tmp_path / "there" / "table.csv").read_text()
    told = re.sub(r"\s+", " ", run("compare", "--help").output)
    assert "Hold differences against what builds stray by" in told


def test_compare_reports_the_faults_of_all_cases(run):
    result = run("compare", "missing-one", "missing-two")
    assert result.exit_code == 2
    assert "missing-one" in result.stderr
    assert "missing-two" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("predict", "nowhere"), "nowhere"),
        (("predict",), "Missing argument"),
        (("compare", str(CASES / "floorstander")), "at least two cases"),
        (("predcit", "x"), "No such command"),
    ],
)
def test_wrong_use_exits_with_2_and_no_traceback(run, arguments, says):
    result = run(*arguments)
    assert result.exit_code == 2
    assert says in result.stderr
    assert isinstance(result.exception, SystemExit)


def test_interruption_is_quiet(run, monkeypatch):
    def interrupt(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("acoustics.field.solve_field", interrupt)
    result = run("predict", CASES / "compact-centred", "--out", "there")
    assert result.exit_code == 130
    assert result.output == ""


def test_geometry_error_of_the_solver_is_a_message(run, monkeypatch):
    from acoustics.conventions import GeometryError

    def refuse(*_, **__):
        raise GeometryError("receiver 3 is inside the body")

    monkeypatch.setattr("acoustics.field.solve_field", refuse)
    result = run("predict", CASES / "compact-centred", "--out", "there")
    assert result.exit_code == 2
    assert result.stderr == "receiver 3 is inside the body\n"


def test_a_folder_in_the_place_of_a_file_is_found_before_solving(run, tmp_path, monkeypatch):
    def must_not_solve(*_, **__):
        raise AssertionError("solved before the folder was tried")

    monkeypatch.setattr("acoustics.field.solve_field", must_not_solve)
    (tmp_path / "there" / "summary.txt").mkdir(parents=True)
    result = run("predict", CASES / "compact-centred", "--out", "there")
    assert result.exit_code == 2
    assert "a folder stands where a file is to be written" in result.stderr
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "figures").write_text("in the way")
    result = run("predict", CASES / "compact-centred", "--out", "other")
    assert result.exit_code == 2
    assert "files cannot be written there" in result.stderr


def test_an_empty_folder_name_is_refused(run):
    result = run("predict", CASES / "compact-centred", "--out", "")
    assert result.exit_code == 2
    assert "give the name of a folder" in result.stderr


def test_a_full_disk_behind_standard_output_is_a_message(run, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("acoustics.case.read_case", full)
    result = run("check", CASES / "compact-centred")
    assert result.exit_code == 2
    assert result.stderr == "cannot read or write: No space left on device\n"


def test_version(run):
    result = run("--version")
    assert result.exit_code == 0
    assert result.stdout.startswith("roundover ")


@pytest.fixture
def out_of_reach(tmp_path):
    """The centred two-way, a woofer of constant sensitivity asked for more than it has."""
    plain = (
        '[drivers.woofer]\npiston_diameter = "120 mm"\nframe_diameter = "165 mm"\n'
        'acoustic_depth = "18 mm"\nsensitivity = 88.0\nposition'
    )
    text = re.sub(r"\[drivers.woofer\]\nfile.*\nposition", plain, shipped_text("compact-centred"))
    text = re.sub(r"\[enclosures(.|\n)*(?=\[amplifier\])", "", text)
    head, woofer = text.split("[crossover.woofer]")
    folder = tmp_path / "loud"
    folder.mkdir()
    loud = f"{head}[crossover.woofer]\nmost_gain = 0.0{woofer.replace('82.0', '90.0', 1)}"
    (folder / "case.toml").write_text(loud, encoding="utf-8")
    return folder


@pytest.mark.usefixtures("no_figures")
@pytest.mark.parametrize("command", ["predict", "compare"])
def test_a_target_out_of_reach_is_told_after_everything_is_written(
    run, tmp_path, out_of_reach, command
):
    others = [] if command == "predict" else [CASES / "compact-offset"]
    result = run(command, out_of_reach, *others, "--out", "there")
    assert result.exit_code == 2
    # 88 dB into half space is 82 dB into free space, in which the stand-in solver has it.
    assert "case.toml: crossover.woofer.level: woofer does not reach" in result.stderr
    assert "it lacks 8.0 dB at" in result.stderr
    file = "prediction.nc" if command == "predict" else "loud.nc"
    assert open_prediction(tmp_path / "there" / file).sizes["driver"] == 2
    assert {"predict": "summary.txt", "compare": "comparison.txt"}[command] in result.stdout
