"""Drivers in files of their own: what counts, where faults are, and sweeping what stands there."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
from bench_text import GOOD, SOURCE, line_with
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from acoustics.case import Case, read_case
from acoustics.case.varied import varied_case
from acoustics.conventions import CaseError, Fault, air_at

CASES = Path(__file__).parents[2] / "cases"
SHIPPED = sorted((CASES / "drivers").glob("*.toml"))

FILE = """\
# A driver for tests.
model = "Invented woofer"
piston_diameter = "120 mm"
frame_diameter = "165 mm"
acoustic_depth = "18 mm"
sensitivity = 88.0
price = 42

[small_signal]
resonance = "40 Hz"
mechanical_q = 4.0
electrical_q = 0.43
equivalent_volume = "19 l"
dc_resistance = "5.7 ohm"

[voice_coil]
inductance = "0.08 mH"
semi_inductance = "0.025 sH"
"""
OWN = """\
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
sensitivity = 88.0
"""
NAMED = 'file = "../parts/woofer.toml"\nposition = ["0 mm", "-20 mm"]\n'
CASE = GOOD.replace(OWN, NAMED)


def write(tmp_path: Path, case: str, driver: str | bytes | None) -> Path:
    """A case in a folder and its driver file in another."""
    for folder in ("design", "parts"):
        (tmp_path / folder).mkdir(exist_ok=True)
    if driver is not None:
        content = driver.encode() if isinstance(driver, str) else driver
        (tmp_path / "parts" / "woofer.toml").write_bytes(content)
    file = tmp_path / "design" / "case.toml"
    file.write_text(case, encoding="utf-8")
    return file


def read(tmp_path: Path, case: str, driver: str) -> Case:
    return read_case(write(tmp_path, case, driver))


def faults(tmp_path: Path, case: str, driver: str | bytes | None) -> tuple[Fault, ...]:
    file = write(tmp_path, case, driver)
    with pytest.raises(CaseError) as caught:
        read_case(file)
    return caught.value.faults


def in_file(fault: Fault) -> bool:
    return fault.file.endswith("woofer.toml")


def test_a_driver_of_a_file_is_the_one_written_out(tmp_path: Path) -> None:
    from_file = read(tmp_path, CASE, FILE)
    keys, tables = FILE.split("[small_signal]")
    tables = tables.replace("[voice_coil]", "[drivers.woofer.voice_coil]")
    inside = f'position = ["0 mm", "-20 mm"]\n{keys}\n[drivers.woofer.small_signal]{tables}'
    (tmp_path / "case.toml").write_text(GOOD.replace(OWN, inside), encoding="utf-8")
    written_out = read_case(tmp_path / "case.toml")
    assert from_file.drivers == written_out.drivers
    assert from_file.digest == written_out.digest
    assert from_file.driver("woofer").model == "Invented woofer"
    assert from_file.driver("woofer").acoustic_depth == 0.018


def test_keys_of_the_case_win_and_tables_merge_key_by_key(tmp_path: Path) -> None:
    plain = read(tmp_path, CASE, FILE).driver("woofer")
    own = NAMED + "acoustic_depth = '20 mm'\nvoice_coil = { semi_inductance = '0.03 sH' }\n"
    own += "[drivers.woofer.small_signal]\nmechanical_q = 8.0\n"
    mixed = read(tmp_path, GOOD.replace(OWN, own), FILE).driver("woofer")
    assert mixed.acoustic_depth == 0.02
    assert (mixed.voice_coil.inductance, mixed.voice_coil.semi_inductance) == (8e-5, 0.03)
    assert plain.small_signal is not None
    assert mixed.small_signal is not None
    # R_ms = √(M/C)/Q_ms (Small 1972).
    halved = plain.small_signal.mechanical_resistance / 2
    assert mixed.small_signal.mechanical_resistance == pytest.approx(halved)
    assert mixed.small_signal.moving_mass == plain.small_signal.moving_mass


def test_a_profile_of_the_case_replaces_that_of_the_file(tmp_path: Path) -> None:
    rows = "profile = [{ radius = '0 mm', velocity = 1 }, { radius = '60 mm', velocity = 1 }]\n"
    ring = "profile = [{ radius = '9 mm', velocity = 1 }, { radius = '60 mm', velocity = 1 }]\n"
    case = GOOD.replace(OWN, NAMED + rows)
    assert read(tmp_path, case, ring + FILE).driver("woofer").profile.radii[0] == 0
    # A row's missing key is told where the row stands.
    broken = case.replace("{ radius = '0 mm', velocity = 1 }", "{ radius = '0 mm' }")
    (fault,) = faults(tmp_path, broken, ring + FILE)
    assert fault.key == "drivers.woofer.profile.1.velocity"
    assert fault.line == line_with(broken, "profile")


def test_an_absolute_path_and_a_file_for_two(tmp_path: Path) -> None:
    file = tmp_path / "elsewhere.toml"
    file.write_text(FILE, encoding="utf-8")
    text = CASE.replace("../parts/woofer.toml", str(file))
    text += f'[drivers.second]\nfile = "{file}"\nposition = ["0 mm", "0 mm"]\nface = "back"\n'
    case = read(tmp_path, text, "")
    assert case.driver("second").small_signal == case.driver("woofer").small_signal
    # A fault of the file is told once.
    file.write_text(FILE.replace('"40 Hz"', "40"), encoding="utf-8")
    (fault,) = faults(tmp_path, text, "")
    assert (fault.file, fault.line) == (str(file), line_with(FILE, "resonance"))


@pytest.mark.parametrize(
    ("old", "new", "key", "said"),
    [
        ('"165 mm"', '"100 mm"', "frame_diameter", "smaller than the piston"),
        ('"18 mm"', '"18 kg"', "acoustic_depth", "is not a length"),
        ("price = 42", "prize = 42", "prize", "did you mean 'price'?"),
        ("price = 42", "something = 42", "something", "the keys here are piston_diameter,"),
        ("price = 42", 'force_factor = "6 T m"', "force_factor", "belongs below [small_signal]"),
        ("price = 42", 'inductance = "1 mH"', "inductance", "belongs below [voice_coil]"),
        ('"40 Hz"', '"40"', "small_signal.resonance", "has no unit"),
        ("electrical_q = 0.43", "total_q = 5.0", "small_signal.total_q", "is not below"),
        ("electrical_q = 0.43", 'electrical_q = "0.43"', "small_signal.electrical_q", "is text"),
        ('"0.08 mH"', '"0.08 sH"', "voice_coil.inductance", "is not an inductance"),
        ("price = 42", 'position = ["0 mm", "0 mm"]', "position", "write it into the case"),
        ("price = 42", 'face = "top"', "face", "does not say this"),
        ("price = 42", "both_sides = true", "both_sides", "[drivers.woofer]"),
        ("price = 42", 'polarity = "inverted"', "polarity", "does not say this"),
        ("price = 42", 'file = "other.toml"', "file", "does not say this"),
    ],
)
def test_a_fault_of_the_file_names_it_and_its_line(
    tmp_path: Path, old: str, new: str, key: str, said: str
) -> None:
    assert FILE.count(old) == 1
    text = FILE.replace(old, new)
    (fault,) = faults(tmp_path, CASE, text)
    assert in_file(fault)
    assert fault.key == key
    assert said in fault.message
    assert text.splitlines()[(fault.line or 0) - 1].startswith(key.split(".")[-1])
    assert str(fault).startswith(f"{fault.file}:{fault.line}: {key}: ")


def test_a_table_that_is_none_is_told_as_it_would_stand_in_the_file(tmp_path: Path) -> None:
    text = "small_signal = 3\n" + FILE[: FILE.index("[small_signal]")]
    (fault,) = faults(tmp_path, CASE, text)
    assert in_file(fault)
    assert fault.message == "3 is not a table; write [small_signal] and its keys below"
    (fault,) = faults(tmp_path, CASE.replace(NAMED, f"{NAMED}voice_coil = 3\n"), FILE)
    assert not in_file(fault)
    assert "write [drivers.woofer.voice_coil] and its keys below" in fault.message


def test_a_missing_key_is_told_at_the_case(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, CASE, FILE.replace('frame_diameter = "165 mm"\n', ""))
    assert not in_file(fault)
    assert (fault.key, fault.line) == (
        "drivers.woofer.frame_diameter",
        line_with(CASE, "[drivers.woofer]"),
    )
    # Where it sits is missing in the case, whatever the file says.
    text = CASE.replace('position = ["0 mm", "-20 mm"]\n', "")
    told = faults(tmp_path, text, 'position = ["0 mm", "0 mm"]\n' + FILE)
    assert {(fault.key, in_file(fault)) for fault in told} == {
        ("drivers.woofer.position", False),
        ("position", True),
    }


def test_too_few_parameters_are_told_where_the_table_stands(tmp_path: Path) -> None:
    few = FILE.replace("mechanical_q = 4.0\n", "")
    (fault,) = faults(tmp_path, CASE, few)
    assert in_file(fault)
    assert (fault.key, fault.line) == ("small_signal", line_with(few, "[small_signal]"))
    own = CASE + "[drivers.woofer.small_signal]\nmeasured = 'baffle'\n"
    (fault,) = faults(tmp_path, own, few)
    assert not in_file(fault)
    assert fault.key == "drivers.woofer.small_signal"


def test_keys_of_a_table_that_both_have_are_told_where_they_stand(tmp_path: Path) -> None:
    own = CASE + "[drivers.woofer.small_signal]\ndc_resistance = '5.7'\n"
    told = faults(tmp_path, own, FILE.replace('"40 Hz"', '"40"'))
    assert [(fault.key, in_file(fault)) for fault in told] == [
        ("drivers.woofer.small_signal.dc_resistance", False),
        ("small_signal.resonance", True),
    ]


def test_faults_of_both_files_come_together_the_case_first(tmp_path: Path) -> None:
    told = faults(tmp_path, CASE.replace('"220 mm"', '"220"'), FILE.replace("42", "-42"))
    assert [fault.key for fault in told] == ["cabinet.width", "price"]
    assert [in_file(fault) for fault in told] == [False, True]


def test_a_warning_names_the_driver_file(tmp_path: Path) -> None:
    text = FILE.replace("electrical_q = 0.43", "electrical_q = 0.43\ntotal_q = 0.36")
    (warning,) = read(tmp_path, CASE, text).warnings
    path = tmp_path / "design" / "../parts/woofer.toml"
    assert warning.startswith(f"{path}:{line_with(text, 'total_q')}: small_signal.total_q: ")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "there is no such file; give a driver file (TOML text), its path counted from"),
        (b"\0\1\2", "is a binary file"),
        ("", "the file is empty; write a driver's keys into it"),
        ("# nothing\n", "the file is empty"),
        ("a = " + "[" * 30 + "]" * 30, "nested more than 20 deep"),
        ("x" * 1_000_001, "is larger than any driver file"),
    ],
)
def test_a_file_that_is_none_is_told_at_the_case(
    tmp_path: Path, content: str | bytes | None, said: str
) -> None:
    (fault,) = faults(tmp_path, CASE, content)
    assert fault.key == "drivers.woofer.file"
    assert fault.line == line_with(CASE, "file =")
    assert "parts/woofer.toml" in fault.message
    assert said in fault.message


def test_a_folder_is_no_driver_file(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, CASE.replace("/woofer.toml", ""), None)
    assert (fault.key, fault.line) == ("drivers.woofer.file", line_with(CASE, "file ="))
    assert "is not a regular file" in fault.message


@pytest.mark.parametrize(
    "name", ["3", '""', "[]", '"a\\u0000b"', f'"{"x" * 999}"', '"two\\nlines"']
)
def test_a_name_that_is_none_is_told(tmp_path: Path, name: str) -> None:
    text = CASE.replace('"../parts/woofer.toml"', name)
    told = {fault.key: fault for fault in faults(tmp_path, text, None)}
    assert told["drivers.woofer.file"].line == line_with(CASE, "file =")


@pytest.mark.parametrize(
    ("content", "line", "said"),
    [
        ('model = "a"\nprice = 4 2\n', 2, "not valid TOML in `price = 4 2`"),
        ('price = 1\nmodel = "a"\nprice = 2\n', 3, "is there twice, first on line 1"),
        (b'model = "a"\nprice = \xff\n', 2, "is not UTF-8 text"),
        ("\nprice = " + "9" * 5000, 2, "thousands of digits"),
    ],
)
def test_text_that_is_no_toml_is_told_at_its_line(
    tmp_path: Path, content: str | bytes, line: int, said: str
) -> None:
    (fault,) = faults(tmp_path, CASE, content)
    assert in_file(fault)
    assert fault.line == line
    assert said in fault.message


SWEEP = """
[sweep]
[[sweep.over]]
key = "drivers.woofer.small_signal.equivalent_volume"
values = ["16 l", "22 l"]
[[sweep.over]]
key = "drivers.woofer.frame_diameter"
values = ["170 mm"]
"""


def test_what_stands_only_in_the_file_can_be_swept_without_it(tmp_path: Path) -> None:
    case = read(tmp_path, CASE + SWEEP, FILE)
    assert case.sweep is not None
    assert case.sweep.over[0].values == (0.016, 0.022)
    sent = pickle.dumps(case)
    for path in (tmp_path / "parts" / "woofer.toml", tmp_path / "design" / "case.toml"):
        path.unlink()
    there = pickle.loads(sent)
    assert there == case
    assert hash(there) == hash(case)
    key = "drivers.woofer.small_signal.equivalent_volume"
    varied = varied_case(there, {key: "22 l", "drivers.woofer.frame_diameter": "170 mm"})
    by_hand = FILE.replace('"19 l"', '"22 l"').replace('"165 mm"', '"170 mm"')
    assert varied.digest == read(tmp_path, CASE, by_hand).digest
    parameters = varied.driver("woofer").small_signal
    assert parameters is not None
    assert parameters.equivalent_volume(air_at(293.15)) == pytest.approx(0.022)
    # Nothing that one point changes is left for the next.
    assert varied_case(there, {}).digest == case.digest


def test_a_swept_value_that_cannot_be_is_told_before_and_at_the_point(tmp_path: Path) -> None:
    text = CASE + SWEEP.replace('"170 mm"', '"110 mm"')
    (fault,) = faults(tmp_path, text, FILE)
    assert (fault.key, in_file(fault)) == ("sweep.over.2.values.1", False)
    assert "smaller than the piston" in fault.message
    case = read(tmp_path, CASE + SWEEP, FILE)
    with pytest.raises(CaseError, match="smaller than the piston") as caught:
        varied_case(case, {"drivers.woofer.frame_diameter": "110 mm"})
    (fault,) = caught.value.faults
    assert (in_file(fault), fault.line) == (True, line_with(FILE, "frame_diameter"))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_drivers_are_invented_and_give_the_level_they_state(
    tmp_path: Path, path: Path
) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.splitlines()[0].startswith("# An invented driver")
    case = f'file = "{path}"\nposition = ["0 mm", "-80 mm"]\n'
    read_back = read(tmp_path, GOOD.replace(OWN, case).replace("380 mm", "500 mm"), "")
    assert read_back.warnings == ()
    driver = read_back.driver("woofer")
    assert driver.model.startswith("Invented ")
    assert driver.small_signal is not None
    assert driver.small_signal.sensitivity(air_at(293.15)) == pytest.approx(
        driver.sensitivity, abs=0.3
    )
    # The lowest impedance is at least 0.8 of the rated one (IEC 60268-5), and it is not below R_e.
    assert driver.rated_impedance is not None
    assert driver.small_signal.dc_resistance >= 0.8 * driver.rated_impedance


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.data())
def test_no_driver_file_makes_it_stumble(tmp_path: Path, data: st.DataObject) -> None:
    lines = FILE.splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(lines) - 1))
        junk = st.sampled_from(
            ["", "x", "small_signal = 3", "[[voice_coil]]", "price = []", "[a.b]"]
        )
        key = lines[at].split(" = ")[0]
        values = st.sampled_from(["0", "-1", "'1 g'", "'0 mm'", "{}", "[{}]", "nan", "1979-01-01"])
        lines[at] = data.draw(junk | values.map(lambda value, key=key: f"{key} = {value}"))
    case = CASE + data.draw(st.sampled_from(["", SOURCE, SWEEP]))
    try:
        read(tmp_path, case, "\n".join(lines))
    except CaseError as error:
        for fault in error.faults:
            assert fault.line is not None
            assert "Input should" not in fault.message
