"""Drivers measured on their cabinet: what the case says of it, and what is wrong with that."""

from __future__ import annotations

import pickle
from pathlib import Path

import numpy as np
import pytest
from bench_text import GOOD

from acoustics.case import Case, read_case
from acoustics.case.varied import varied_case
from acoustics.conventions import CaseError, Fault

C = 343.2
HEAD = "frequency (Hz), level (dB), phase (deg)\n"
MEASURED = """
[drivers.woofer.measured]
response = "woofer.txt"
distance = "1 m"
"""
SWEEP = """
[sweep]
[[sweep.over]]
key = "crossover.tweeter.gain"
values = [-5.0, -3.0]
"""


def table(
    low: float = 15.0,
    high: float = 25_000.0,
    level: float = 88.0,
    late: float = 1 / C,
    head: str = HEAD,
    per_octave: int = 48,
) -> str:
    """A level that does not depend on frequency, some time after the signal."""
    frequency = np.geomspace(low, high, int(per_octave * np.log2(high / low)))
    rows = zip(frequency, -360 * frequency * late, strict=True)
    return head + "".join(f"{f:.5f}, {level:.4f}, {phase:.5f}\n" for f, phase in rows)


def text_of(keys: str = "", rest: str = "", model: bool = True) -> str:
    text = GOOD if model else GOOD.replace("sensitivity = 88.0\n", "")
    return text + MEASURED + keys + rest


def write(folder: Path, text: str, content: str | None) -> Path:
    folder.mkdir(exist_ok=True)
    if content is not None:
        (folder / "woofer.txt").write_text(content, encoding="utf-8")
    file = folder / "case.toml"
    file.write_text(text, encoding="utf-8")
    return file


def faults(folder: Path, text: str, content: str | None = None) -> tuple[Fault, ...]:
    file = write(folder, text, table() if content is None else content)
    with pytest.raises(CaseError) as caught:
        read_case(file)
    return caught.value.faults


def read(folder: Path, text: str, content: str | None = None) -> Case:
    return read_case(write(folder, text, table() if content is None else content))


def test_a_table_is_what_was_heard(tmp_path: Path) -> None:
    case = read(tmp_path, text_of())
    found = case.driver("woofer").measured
    assert found is not None
    assert (found.source, found.at, found.point) == ("woofer.txt", "driver", None)
    assert (found.distance, found.removed_delay, found.unknown_delay) == (1.0, 0.0, False)
    assert found.band == (pytest.approx(15.0), pytest.approx(25_000.0))
    assert (found.uncertainty, found.noise, found.modelled) == (0.0, 0.0, True)
    # 88 dB re 20 uPa for 2.83 V.
    size = 20e-6 * 10 ** (88 / 20) / 2.83
    np.testing.assert_allclose(np.hypot(found.real, found.imaginary), size, rtol=1e-4)
    assert case.driver("tweeter").measured is None
    assert not any("woofer.txt" in warning for warning in case.warnings)


@pytest.mark.parametrize(
    ("unit", "level"), [("dB re 20 uPa", 88.0), ("dB re 1 Pa", 88.0 - 93.9794), ("Pa", 0.502377)]
)
def test_levels_in_any_unit(tmp_path: Path, unit: str, level: float) -> None:
    keys = f'unit = "{unit}"\nvoltage = "2 V"\n'
    content = table(level=level, head="frequency (Hz), level, phase (deg)\n")
    found = read(tmp_path, text_of(keys), content).driver("woofer").measured
    assert found is not None
    np.testing.assert_allclose(np.hypot(found.real, found.imaginary), 0.502377 / 2, rtol=1e-4)


def test_everything_that_can_be_said(tmp_path: Path) -> None:
    keys = """\
point = ["10 mm", "-20 mm"]
removed_delay = "0.1 ms"
lowest = "200 Hz"
highest = "9 kHz"
uncertainty = 0.4
noise = 30.0
"""
    found = read(tmp_path, text_of(keys), table(late=1 / C - 1e-4)).driver("woofer").measured
    assert found is not None
    assert (found.at, found.point) == ("point", (0.01, -0.02))
    assert found.removed_delay == pytest.approx(1e-4)
    assert (found.band, found.uncertainty) == ((200.0, 9000.0), 0.4)
    assert found.noise == pytest.approx(20e-6 * 10**1.5 / 2.83)
    axis = read(tmp_path, text_of('at = "reference axis"\n')).driver("woofer").measured
    assert axis is not None
    assert axis.at == "reference axis"


def test_it_stands_for_the_sensitivity(tmp_path: Path) -> None:
    woofer = read(tmp_path, text_of(model=False)).driver("woofer")
    assert woofer.sensitivity == pytest.approx(88.0, abs=1e-3)
    assert woofer.measured is not None
    assert not woofer.measured.modelled


def test_the_digest_counts_what_the_table_says_not_its_name(tmp_path: Path) -> None:
    plain = read(tmp_path, text_of())
    assert read(tmp_path, text_of(), table(level=88.1)).digest != plain.digest
    assert read(tmp_path, text_of('voltage = "2 V"\n')).digest != plain.digest
    (tmp_path / "renamed.txt").write_text(table())
    renamed = read(tmp_path, text_of().replace("woofer.txt", "renamed.txt"))
    assert renamed.digest == plain.digest


def test_a_sweep_takes_the_table_along(tmp_path: Path) -> None:
    case = read(tmp_path, text_of(rest=SWEEP))
    (tmp_path / "woofer.txt").unlink()
    case = pickle.loads(pickle.dumps(case))
    varied = varied_case(case, {"crossover.tweeter.gain": -3.0})
    assert varied.driver("woofer").measured == case.driver("woofer").measured
    assert varied.crossover[0].gain == -3.0


def test_it_belongs_to_the_case_not_to_a_driver_file(tmp_path: Path) -> None:
    (tmp_path / "woofer.toml").write_text('[measured]\nresponse = "woofer.txt"\ndistance = "1 m"\n')
    text = GOOD.replace("[drivers.woofer]\n", '[drivers.woofer]\nfile = "woofer.toml"\n')
    (fault,) = faults(tmp_path, text)
    assert fault.file.endswith("woofer.toml")
    assert "a driver file does not say this" in fault.message


@pytest.mark.parametrize(
    ("keys", "key", "said"),
    [
        ('unit = "dBm"\n', "unit", "dB re 20 uPa"),
        ('voltage = "2.83"\n', "voltage", "2.83 V"),
        ('voltage = "0 V"\n', "voltage", "1 mV to 1000 V"),
        ('at = "ear"\n', "at", "reference axis"),
        ('point = ["0 mm"]\n', "point", "2"),
        ('point = ["200 mm", "0 mm"]\n', "point.1", "off the front face"),
        ('at = "driver"\npoint = ["0 mm", "0 mm"]\n', "point", "keep one of the two"),
        ('removed_delay = "3 m"\n', "removed_delay", "time"),
        ('removed_delay = "2 ms"\nunknown_delay = true\n', "unknown_delay", "nothing can be put"),
        ('unknown_delay = "yes"\n', "unknown_delay", "neither true nor false"),
        ('lowest = "10 Hz"\n', "lowest", "is not in"),
        ('highest = "30 kHz"\n', "highest", "is not in"),
        ('lowest = "2 kHz"\nhighest = "1 kHz"\n', "highest", "is not above lowest"),
        ('lowest = "2 kHz"\nhighest = "3 kHz"\n', "response", "less than an octave"),
        ("uncertainty = -1.0\n", "uncertainty", "0 to 20 dB"),
        ('noise = "20 dB"\n', "noise", "without quotes"),
        ("extrapolate = true\n", "extrapolate", "leave out extrapolate, or sensitivity"),
        ("extrapolate = 1\n", "extrapolate", "neither true nor false"),
        ("gate = 3\n", "gate", "unknown key"),
    ],
)
def test_a_bad_value_of_every_key(tmp_path: Path, keys: str, key: str, said: str) -> None:
    (fault,) = faults(tmp_path, text_of(keys))
    assert fault.key == f"drivers.woofer.measured.{key}"
    assert fault.line is not None
    assert said in fault.message


@pytest.mark.parametrize(
    ("old", "new", "key", "said"),
    [
        ('distance = "1 m"\n', "", "distance", "missing"),
        ('distance = "1 m"', 'distance = "1 mm"', "distance", "touch the microphone"),
        ('response = "woofer.txt"\n', "", "response", "missing"),
        ('"woofer.txt"', '"other.txt"', "response", "there is no such file"),
        ('"woofer.txt"', "3", "response", "not text"),
    ],
)
def test_what_must_be_there(tmp_path: Path, old: str, new: str, key: str, said: str) -> None:
    (fault,) = faults(tmp_path, text_of().replace(old, new))
    assert fault.key == f"drivers.woofer.measured.{key}"
    assert said in fault.message


def test_a_table_that_is_none_is_told_with_its_own_line(tmp_path: Path) -> None:
    rows = table().splitlines()
    rows[20] = "200, 88, many"
    (fault,) = faults(tmp_path, text_of(), "\n".join(rows))
    assert (fault.file, fault.line) == (str(tmp_path / "woofer.txt"), 21)


def test_without_phase_nobody_knows_when_it_comes(tmp_path: Path) -> None:
    content = "\n".join(line.rpartition(",")[0] for line in table().splitlines())
    (fault,) = faults(tmp_path, text_of(), content)
    assert "has no phase" in fault.message
    assert "unknown_delay = true" in fault.message
    case = read(tmp_path, text_of("unknown_delay = true\n"), content)
    assert any("is a guess" in warning for warning in case.warnings)


def test_frequencies_that_nothing_tells_of(tmp_path: Path) -> None:
    short = table(30.0, 15_000.0)
    (fault,) = faults(tmp_path, text_of(model=False), short)
    assert fault.key == "drivers.woofer.measured.response"
    assert "holds from 30 Hz to 15 kHz, and the case goes from 20 Hz to 20 kHz" in fault.message
    assert "extrapolate = true" in fault.message
    assert read(tmp_path, text_of("extrapolate = true\n", model=False), short)
    assert read(tmp_path, text_of(), short)


def test_a_table_of_other_frequencies(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, text_of(), table(1.0, 25.0, late=0.0))
    assert "less than an octave in common" in fault.message


def test_a_microphone_inside_a_leaning_front(tmp_path: Path) -> None:
    leaning = GOOD.replace("[cabinet]\n", '[cabinet]\nshape = "sloped front"\nlean = "20 deg"\n')
    near = MEASURED.replace('"1 m"', '"6 mm"') + 'point = ["0 mm", "-120 mm"]\n'
    (fault,) = faults(tmp_path, leaning + near, table(level=130.0, late=0.0))
    assert fault.key == "drivers.woofer.measured.distance"
    assert "this point is inside the cabinet" in fault.message


def test_a_prediction_of_few_frequencies(tmp_path: Path) -> None:
    coarse = GOOD.replace("per_octave = 24", "per_octave = 1")
    assert coarse != GOOD
    keys = 'lowest = "900 Hz"\nhighest = "2.2 kHz"\n'
    (fault,) = faults(tmp_path, coarse + MEASURED + keys)
    assert "only 2 of the case's frequencies lie within the table's" in fault.message


def test_levels_that_are_relative_to_something_else(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, text_of(), table(level=-3.0))
    assert fault.key == "drivers.woofer.measured.response"
    assert "above -3 dB at 1 m for 2.83 V, which is no driver's" in fault.message


@pytest.mark.parametrize("per_octave", [24, 48, 96])
def test_a_flight_that_was_taken_out_unsaid(tmp_path: Path, per_octave: int) -> None:
    case = read(tmp_path, text_of(), table(late=0.0, per_octave=per_octave))
    (told,) = (warning for warning in case.warnings if "woofer.txt" not in warning)
    assert "drivers.woofer.measured.response" in told
    assert "by its phase the sound comes 0 ms after" in told
    assert "by the distance 2.91 ms" in told
    said = read(tmp_path, text_of(f'removed_delay = "{1000 / C} ms"\n'), table(late=0.0))
    assert not any("by its phase" in warning for warning in said.warnings)
