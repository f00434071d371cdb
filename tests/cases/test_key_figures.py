"""What a builder would quote of every shipped case is what it was, to a stated tolerance."""

from __future__ import annotations

import shutil

import pytest

import acoustics as ac
from support.free_field import solve_free_field
from support.key_figures import CASES, FILE, cases, decimals, line, read_figures, renewed
from support.key_readings import Scene

LEAST = 12
"""figures of a case"""

ENTRY = """# said in the file
[figures."low corner"]
read = "reach"
value = 39.1  # Hz
unit = "Hz"
tolerance = 0.3
reason = "a tenth of a decibel on the slope"
"""


@pytest.mark.parametrize("case", cases())
def test_every_case_has_figures_with_reasons(case):
    figures = read_figures(CASES / case / FILE)
    assert len(figures) >= LEAST
    # A tolerance that takes in zero, or a fifth of a figure, would let anything pass; a tilt and a
    # filter's gain may well be nothing.
    for figure in figures:
        if figure.read not in ("tilt", "filter's highest gain"):
            assert figure.tolerance < 0.2 * abs(figure.value), figure.name


@pytest.mark.slow
@pytest.mark.parametrize("case", cases())
def test_key_figures(case):
    scene = Scene(ac.read_case(CASES / case))
    off = [
        line(case, figure, got)
        for figure in read_figures(CASES / case / FILE)
        if not figure.holds(got := figure.got(scene))
    ]
    assert not off, "\n".join(["figures have moved; see tests/support/key_figures.py", *off])


def entry(tmp_path, old="", new=""):
    """A file with one figure, changed."""
    file = tmp_path / "some-case" / FILE
    file.parent.mkdir()
    file.write_text(ENTRY.replace(old, new), encoding="utf-8")
    return file


def test_a_figure_that_moved_is_told(tmp_path):
    (figure,) = read_figures(entry(tmp_path))
    assert figure.holds(39.35)
    assert not figure.holds(39.45)
    assert not figure.holds(float("nan"))
    assert line("some-case", figure, 39.452) == (
        "some-case: low corner: got 39.45 Hz, expected 39.10 ± 0.3 Hz (+0.35)"
    )


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('unit = "Hz"\n', "", "lacks unit"),
        ('"Hz"', '"kHz"', "'reach' is read in Hz"),
        ('"reach"', '"depth"', "no reading 'depth'"),
        ("0.3", "0.0", "above 0"),
        ("a tenth of a decibel on the slope", "why not", "say why"),
        ("value =", "other = 1\nvalue =", "unknown other"),
    ],
)
def test_slips_are_told(tmp_path, old, new, told):
    with pytest.raises(ValueError, match=f"some-case/{FILE}: 'low corner'.*{told}"):
        read_figures(entry(tmp_path, old, new))


def test_renewing_changes_values_alone():
    assert renewed(ENTRY, {"low corner": 40.123456}) == ENTRY.replace("39.1 ", "40.12 ")
    assert [decimals(tolerance) for tolerance in (20.0, 0.3, 0.1, 0.02)] == [0, 2, 2, 3]


def test_figures_follow_the_case(tmp_path):
    # A woofer that sits 5 cm lower is nearer to the floor, and its dip lies higher.
    shutil.copytree(CASES / "drivers", tmp_path / "drivers")
    text = (CASES / "compact-sweep" / "case.toml").read_text(encoding="utf-8")
    figures = read_figures(CASES / "compact-sweep" / FILE)
    (figure,) = (each for each in figures if each.name == "floor dip, ears upright")
    found = []
    for number, place in enumerate(('"-20 mm"', '"-70 mm"')):
        file = tmp_path / f"woofer-{number}" / "case.toml"
        file.parent.mkdir()
        file.write_text(text.replace('"-20 mm"', place), encoding="utf-8")
        found.append(figure.got(Scene(ac.read_case(file), solve_free_field)))
    assert found[1] - found[0] > figure.tolerance
