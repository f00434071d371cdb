"""Impedances of drivers from tables: where they are looked for, and what is wrong with them."""

from __future__ import annotations

import pickle
from pathlib import Path

import numpy as np
import pytest
from bench_text import with_parts

from acoustics.case import Case, read_case
from acoustics.case.varied import varied_case
from acoustics.conventions import CaseError, Fault

NAMED = 'impedance = "tweeter.csv"\n'
SWEEP = """
[[sweep.over]]
key = "crossover.tweeter.parts.1.capacitor"
values = ["4.7 uF", "5.6 uF"]
"""
HEAD = "frequency (Hz), impedance (ohm), phase (deg)\n"


def table(low: float = 10.0, high: float = 25_000.0, head: str = HEAD, ohm: float = 5.6) -> str:
    """A resistor and a coil of 0.05 mH."""
    frequency = np.geomspace(low, high, 60)
    values = ohm + 2j * np.pi * frequency * 5e-5
    columns = zip(frequency, np.abs(values), np.degrees(np.angle(values)), strict=True)
    return head + "".join(f"{f:.6f}, {z:.9f}, {phase:.9f}\n" for f, z, phase in columns)


def case_text(keys: str = NAMED, rest: str = "") -> str:
    text = with_parts().replace('rated_impedance = "8 ohm"\n', keys)
    assert "rated_impedance" not in text
    return text + rest


def write(folder: Path, text: str, content: str | None) -> Path:
    folder.mkdir(exist_ok=True)
    if content is not None:
        (folder / "tweeter.csv").write_text(content, encoding="utf-8")
    file = folder / "case.toml"
    file.write_text(text, encoding="utf-8")
    return file


def faults(folder: Path, text: str, content: str | None) -> tuple[Fault, ...]:
    file = write(folder, text, content)
    with pytest.raises(CaseError) as caught:
        read_case(file)
    return caught.value.faults


def read(folder: Path, text: str, content: str) -> Case:
    return read_case(write(folder, text, content))


def test_a_table_is_the_impedance_of_its_driver(tmp_path: Path) -> None:
    case = read(tmp_path, case_text(), table())
    found = case.driver("tweeter").impedance
    assert found is not None
    assert (found.source, found.beyond) == ("tweeter.csv", False)
    assert len(found.frequency) == 60
    np.testing.assert_allclose(found.resistance, 5.6, rtol=1e-7)
    expected = 2 * np.pi * np.array(found.frequency) * 5e-5
    np.testing.assert_allclose(found.reactance, expected, rtol=1e-5)
    assert case.driver("woofer").impedance is None
    assert not any("tweeter.csv" in warning for warning in case.warnings)


def test_paths_are_counted_from_the_file_in_which_they_stand(tmp_path: Path) -> None:
    own, parts = tmp_path / "own", tmp_path / "parts"
    for folder, ohm in ((own, 4.0), (parts, 7.0)):
        folder.mkdir()
        (folder / "tweeter.csv").write_text(table(ohm=ohm))
    (parts / "tweeter.toml").write_text(NAMED)
    named = 'file = "../parts/tweeter.toml"\n'
    for keys, ohm in ((named, 7.0), (named + NAMED, 4.0)):
        (own / "case.toml").write_text(case_text(keys))
        found = read_case(own).driver("tweeter").impedance
        assert found is not None
        assert found.resistance[0] == pytest.approx(ohm, rel=1e-6)


def test_the_digest_counts_what_a_table_says_not_its_name(tmp_path: Path) -> None:
    plain = read(tmp_path, case_text(), table())
    other = read(tmp_path, case_text(), table(ohm=5.61))
    assert other.digest != plain.digest
    (tmp_path / "renamed.csv").write_text(table())
    renamed = read(tmp_path, case_text(NAMED.replace("tweeter.csv", "renamed.csv")), table())
    assert renamed.digest == plain.digest


def test_a_sweep_takes_the_table_along(tmp_path: Path) -> None:
    case = read(tmp_path, case_text(rest=SWEEP), table())
    (tmp_path / "tweeter.csv").unlink()
    case = pickle.loads(pickle.dumps(case))
    varied = varied_case(case, {"crossover.tweeter.parts.1.capacitor": "4.7 uF"})
    assert varied.driver("tweeter").impedance == case.driver("tweeter").impedance
    assert varied.crossover[0].elements[0].capacitor == 4.7e-6


def test_a_table_that_is_not_there(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, case_text(), None)
    assert fault.key == "drivers.tweeter.impedance"
    assert fault.line is not None
    assert "tweeter.csv: there is no such file" in fault.message


def test_a_table_that_is_none_is_told_with_its_own_line(tmp_path: Path) -> None:
    broken = table().splitlines()
    broken[20] = "100, -3, 5"
    (fault,) = faults(tmp_path, case_text(), "\n".join(broken))
    assert fault.file == str(tmp_path / "tweeter.csv")
    assert fault.line == 21


def test_without_phase_it_is_refused(tmp_path: Path) -> None:
    rows = (line.rpartition(",")[0] for line in table().splitlines())
    (fault,) = faults(tmp_path, case_text(), "\n".join(rows))
    assert fault.key == "drivers.tweeter.impedance"
    assert "tweeter.csv has no phase" in fault.message
    assert "a third column in degrees" in fault.message


def test_no_driver_gives_power(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, case_text(), HEAD + "10, 6, 10\n100, 6, 135\n30000, 9, 20\n")
    assert "at 100 Hz its phase is 135 degrees, which no driver has" in fault.message


@pytest.mark.parametrize("ohm", [5.6e-3, 5.6e3])
def test_no_driver_has_so_much_or_so_little(tmp_path: Path, ohm: float) -> None:
    """kilohm or milliohm taken for ohm; 4 to 16 ohm is common practice."""
    (fault,) = faults(tmp_path, case_text(), HEAD + f"10,{ohm},0\n100,{ohm},9\n30000,{ohm},9\n")
    assert fault.key == "drivers.tweeter.impedance"
    assert "drivers have 0.5 to 1000 ohm; check the unit" in fault.message


def test_a_table_too_short_for_the_prediction(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, case_text(), table(30.0, 15_000.0))
    assert fault.key == "drivers.tweeter.impedance"
    assert "tweeter.csv goes from 30 Hz to 15 kHz, and the case from 20 Hz to 20 kHz" in (
        fault.message
    )
    assert "extrapolate_impedance = true" in fault.message
    carried = case_text(NAMED + "extrapolate_impedance = true\n")
    found = read(tmp_path, carried, table(30.0, 15_000.0)).driver("tweeter").impedance
    assert found is not None
    assert found.beyond


def test_a_table_that_just_reaches(tmp_path: Path) -> None:
    assert read(tmp_path, case_text(), table(20.0, 20_000.0)).driver("tweeter").impedance


def test_nothing_is_carried_on_without_a_table(tmp_path: Path) -> None:
    keys = 'rated_impedance = "8 ohm"\nextrapolate_impedance = true\n'
    text = with_parts().replace('rated_impedance = "8 ohm"\n', keys)
    (fault,) = faults(tmp_path, text, None)
    assert fault.key == "drivers.tweeter.extrapolate_impedance"
    assert "there is no table to be carried on" in fault.message


def test_what_was_guessed_is_a_warning(tmp_path: Path) -> None:
    case = read(tmp_path, case_text(), table(head=""))
    warnings = [warning for warning in case.warnings if "tweeter.csv" in warning]
    # All of it in one: four warnings of one good table would hide others.
    (warning,) = warnings
    assert "drivers.tweeter.impedance" in warning
    assert "no heads" in warning
    assert "taken to be in degrees" in warning
    assert case.driver("tweeter").impedance is not None


def test_without_any_impedance_a_passive_branch_stays_a_fault(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, case_text(keys=""), None)
    assert fault.key == "crossover.tweeter.slopes"
    assert "or impedance, the file of a measured one" in fault.message
