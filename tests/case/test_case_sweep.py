"""What a case file may say of a sweep, and what it hears where that cannot be."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD, SWEEP, line_with

from acoustics.case import read_case
from acoustics.case.varied import varied_case
from acoustics.conventions import CaseError, Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


def with_sweep(tmp_path: Path, sweep: str) -> Path:
    file = tmp_path / "case.toml"
    file.write_text(GOOD + sweep, encoding="utf-8")
    return file


def over(text: str) -> str:
    return f"\n[sweep]\n[[sweep.over]]\n{text}\n"


def test_lists_ranges_and_samples_come_out_in_base_units(tmp_path: Path) -> None:
    sweep = read_case(with_sweep(tmp_path, SWEEP)).sweep
    assert sweep is not None
    width, corner, place, order = sweep.over
    assert width.values == (0.22, 0.225, 0.254)  # 1 in = 25.4 mm exactly (1959 agreement)
    assert (width.name, width.unit) == ("cabinet_width", "m")
    assert corner.values[::2] == (1600.0, 3200.0)
    assert corner.values[1] == pytest.approx(1600 * 2**0.5, rel=1e-12)
    assert corner.name == "corner"
    # Steps are counted exactly: what is written as 0.12 m is the same number as "120 mm".
    assert place.values == (0.1, 0.11, 0.12, 0.13)
    assert place.keys == ("drivers.tweeter.position.2", "drivers.woofer.acoustic_depth")
    assert (order.values, order.unit, order.whole) == ((2.0, 4.0), "", True)
    assert sweep.sample is not None
    assert (sweep.sample.points, sweep.sample.seed) == (5, 7)
    assert sweep.sample.over[0].values == (273.15, 303.15)  # 0 °C = 273.15 K (SI brochure)


def test_a_step_of_temperature_is_an_interval(tmp_path: Path) -> None:
    text = over('key = "air.temperature"\nstart = "32 degF"\nstop = "50 degF"\nstep = "9 degF"')
    sweep = read_case(with_sweep(tmp_path, text)).sweep
    assert sweep is not None
    # 9 °F are 5 K; 32 °F is 0 °C (NIST SP 811, B.8).
    assert sweep.over[0].values == (273.15, 278.15, 283.15)


def test_a_sweep_does_not_change_what_the_design_is(tmp_path: Path) -> None:
    with_one = read_case(with_sweep(tmp_path, SWEEP))
    without = read_case(with_sweep(tmp_path, ""))
    assert with_one.digest == without.digest
    assert without.sweep is None


def test_a_changed_key_gives_the_case_of_a_file_with_that_value(tmp_path: Path) -> None:
    case = read_case(with_sweep(tmp_path, SWEEP))
    changes = {"cabinet.width": "0.254 m", "crossover.tweeter.sections.1.order": 2}
    varied = varied_case(case, changes)
    text = GOOD.replace('width = "220 mm"', 'width = "10 in"').replace("order = 4", "order = 2")
    (tmp_path / "by-hand.toml").write_text(text, encoding="utf-8")
    assert varied.digest == read_case(tmp_path / "by-hand.toml").digest


def test_a_changed_key_goes_through_every_check(tmp_path: Path) -> None:
    case = read_case(with_sweep(tmp_path, SWEEP))
    with pytest.raises(CaseError, match=r"the frame .* right edge") as caught:
        varied_case(case, {"drivers.tweeter.position.1": "90 mm"})
    (fault,) = caught.value.faults
    assert fault.line == line_with(GOOD, 'position = ["0 mm", "125 mm"]')
    with pytest.raises(CaseError, match="is no order"):
        varied_case(case, {"crossover.tweeter.sections.1.order": 3})


@pytest.mark.parametrize(
    ("text", "at", "says"),
    [
        ('key = "cabinet.widht"', "key", "did you mean 'width'?"),
        ('key = "drivers.twetter.position.1"', "key", "use tweeter or woofer; did you mean"),
        ('key = "drivers.tweeter.position.3"', "key", "it has 2, counted from 1"),
        ('key = "drivers.tweeter.position.0"', "key", "counted from 1"),
        ('key = "cabinet.rounds.1.radius"', "key", "the file has no such list"),
        ('key = "drivers.tweeter"', "key", "such as drivers.tweeter.piston_diameter"),
        ('key = "drivers.tweeter.polarity"', "key", "does not hold a number"),
        ('key = "aims.1.at_most"', "key", "there is no 'aims' to vary"),
        ('key = "solver.memory"', "key", "no prediction rests on"),
        ('key = "cabinet.width.more"', "key", "nothing below cabinet.width"),
        ('key = "crossover.tweeter.sections.3.order"', "key", "there is no 'order'"),
        ('key = "cabinet.width"\nalso = ["cabinet.width"]', "also.1", "swept twice"),
        ('key = "cabinet.width"\nname = "two words"', "name", "cannot name a dimension"),
        ('key = "cabinet.width"\nname = "sample"', "name", "is taken"),
    ],
)
def test_a_key_that_is_none_is_told_with_its_line(
    faults_of: FaultsOf, text: str, at: str, says: str
) -> None:
    content = GOOD + over(f'{text}\nvalues = ["200 mm"]')
    faults = {fault.key: fault for fault in faults_of(content)}
    fault = faults[f"sweep.over.1.{at}"]
    assert says in fault.message
    if at != "name" or "name =" in text:
        word = at.split(".")[0]
        assert content.splitlines()[(fault.line or 0) - 1].startswith(f"{word} = ")


@pytest.mark.parametrize(
    ("text", "at", "says"),
    [
        ("values = []", "values", "wrong length"),
        ("values = [220]", "values.1", "220.0 has no unit"),
        ('values = ["220 mm", "3 Hz"]', "values", "not of one kind"),
        ('values = ["220 Hz"]', "values.1", "is not a length"),
        ('values = ["220 mm", "1 mm"]', "values.2", "out of range"),
        ('values = ["22,5 cm"]', "values.1", "write 22.5 with a point"),
        ('start = "1 m"\nstop = "0.5 m"\nnumber = 3', "stop", "the range is empty"),
        ('start = "0.1 m"\nstop = "0.5 m"\nstep = "0 m"', "step", "the range is empty"),
        ('start = "0.1 m"\nstop = "0.5 m"\nnumber = 0', "number", "out of range"),
        ('start = "0.1 m"\nstop = "0.5 m"\nstep = "1e-30 m"', "step", "widen the step"),
        ('start = "0.1 m"\nstop = "0.5 m"', "step", "either number or step"),
        ('start = "0.1 m"\nnumber = 3', "step", "neither values nor a whole range"),
        ('start = "0.1 m"\nstop = "0.5 m"\nnumber = 1', "step", "write values instead"),
        ('start = "0.1 m"\nstop = "0.5 m"\nstep = "3 Hz"', "step", "not of the kind"),
        (
            'start = "0.1 m"\nstop = "0.5 m"\nstep = "0.1 m"\nspacing = "logarithmic"',
            "step",
            "write number in its place",
        ),
        (
            'start = "0 m"\nstop = "0.5 m"\nnumber = 3\nspacing = "logarithmic"',
            "stop",
            "equal ratios start above 0",
        ),
        ('values = ["220 mm"]\nstep = "1 mm"', "step", "leave step out"),
        ('start = "0.1 m"\nstop = "2 Hz"\nnumber = 3', "stop", "not of one kind"),
        ('start = "0.1 m"\nstop = "9 m"\nnumber = 3', "stop", "out of range"),
        ('values = ["1 m"]\nnumber = 3', "number", "has values or a range"),
        ("values = [nan]", "values.1", "not a finite number"),
        (f"values = [1, 1{400 * '0'}]", "values.2", "not a finite number"),
    ],
)
def test_values_that_are_none_are_told(faults_of: FaultsOf, text: str, at: str, says: str) -> None:
    (fault,) = faults_of(GOOD + over(f'key = "cabinet.width"\n{text}'))
    assert fault.key == f"sweep.over.1.{at}"
    assert says in fault.message


def test_a_sweep_without_keys_is_told(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(f"{GOOD}\n[sweep]\n")
    assert (fault.key, fault.line) == ("sweep", line_with(f"{GOOD}\n[sweep]\n", "[sweep]"))
    assert "add them in tables [[sweep.over]]" in fault.message


def test_keys_that_change_what_fields_are_over_are_refused_with_fields(
    faults_of: FaultsOf,
) -> None:
    text = '\n[sweep]\nkeep = "fields"\n[[sweep.over]]\nkey = "arcs.step"\nvalues = ["5 deg"]\n'
    (fault,) = faults_of(GOOD + text)
    assert 'keep = "figures"' in fault.message
