"""The table [tolerance]: what it says, what is usual, and what it may not say."""

from __future__ import annotations

import pickle
from dataclasses import replace

import pytest
from bench_text import GOOD

from acoustics.case import read_case
from acoustics.case.design.network_parts import pieces_of
from acoustics.case.design.tolerance_model import Spread
from acoustics.case.objects.usual_tolerance import usual_tolerance
from acoustics.case.text.units import SHARE, UnitError, parse, spread
from acoustics.case.text.written import with_unit
from acoustics.case.varied import varied_case
from acoustics.conventions import CaseError
from acoustics.crossover.connections import ladders_of
from support.cases import CASES, shipped_text

PASSIVE = shipped_text("compact-passive").partition("\n[tolerance]")[0]

FULL = """
[tolerance]
builds = 500
seed = 4
band = 80
shape = "uniform"
positions = "1 mm"
ear_height = "5 cm"
distance = "10 cm"
temperature = "9 degF"
levels = 0.5
delays = "10 us"
parts = "5 %"
parts_shape = "normal"

[tolerance.drivers]
compliance = "15 %"

[[tolerance.spreads]]
key = "cabinet.depth"
also = ["cabinet.height"]
within = "1 mm"
shape = "normal"
name = "the box"

[[tolerance.spreads]]
key = "floor.reflection"
within = "10%"
"""


def case_with(folder, table, text=PASSIVE):
    path = folder / "case.toml"
    path.write_text(text.replace('"../', f'"{CASES}/') + table, encoding="utf-8")
    return read_case(path)


def faults_of(folder, table, text=PASSIVE):
    with pytest.raises(CaseError) as error:
        case_with(folder, f"\n{table}\n", text)
    return error.value.faults


def of_kind(tolerance, kind):
    return [each for each in tolerance.spreads if each.kind == kind]


def test_everything_comes_out_in_base_units(tmp_path):
    tolerance = case_with(tmp_path, FULL).tolerance
    assert (tolerance.builds, tolerance.seed, tolerance.band) == (500, 4, 0.8)
    assert not tolerance.usual
    assert [each.name for each in of_kind(tolerance, "position")] == [
        "tweeter right",
        "tweeter up",
        "woofer right",
        "woofer up",
    ]
    up = of_kind(tolerance, "position")[1]
    assert (up.keys, up.values) == (("drivers.tweeter.position.2",), (0.125,))
    assert (up.within, up.relative, up.shape, up.unit) == (1e-3, False, "uniform", "m")
    (ears,) = of_kind(tolerance, "ear height")
    assert ears.keys == tuple(f"seat.ear_heights.{i}" for i in (1, 2, 3))
    assert (ears.values, ears.within) == ((0.85, 0.95, 1.05), 0.05)
    (distance,) = of_kind(tolerance, "distance")
    assert (distance.values, distance.within) == ((2.5,), 0.1)
    (air,) = of_kind(tolerance, "temperature")
    # 9 °F are 5 K; 20 °C are 293.15 K (NIST SP 811, B.8).
    assert (air.values, air.within, air.unit) == ((293.15,), 5.0, "K")
    assert [each.keys for each in of_kind(tolerance, "level")] == [("tweeter",), ("woofer",)]
    assert {(each.values, each.within) for each in of_kind(tolerance, "delay")} == {((0.0,), 1e-5)}
    compliance = of_kind(tolerance, "driver parameter")[1]
    assert (compliance.keys, compliance.relative) == (("woofer.compliance",), True)
    assert (compliance.within, compliance.unit) == (0.15, "m/N")
    box, floor = of_kind(tolerance, "key")
    assert box == Spread(
        "the box",
        "key",
        ("cabinet.depth", "cabinet.height"),
        (0.3, 0.38),
        1e-3,
        unit="m",
    )
    assert (floor.name, floor.relative, floor.shape) == ("floor.reflection", True, "uniform")
    assert (floor.values, floor.within, floor.unit) == ((0.9,), 0.1, "")


def test_a_difference_of_temperatures_counts_no_zero(tmp_path):
    for text in ("5 K", "5 degC", "9 degF"):
        table = f'\n[tolerance]\ntemperature = "{text}"\n'
        (air,) = case_with(tmp_path, table).tolerance.spreads
        assert air.within == 5.0
    table = '\n[[tolerance.spreads]]\nkey = "air.temperature"\nwithin = "5 degC"\n'
    (air,) = case_with(tmp_path, table).tolerance.spreads
    assert (air.values, air.within, air.relative) == ((293.15,), 5.0, False)


def test_a_key_left_to_its_default_strays_from_that(tmp_path):
    table = '\n[[tolerance.spreads]]\nkey = "rear_wall.distance"\nwithin = "1 cm"\n'
    wall = '\n[rear_wall]\ndistance = "3 m"\n'
    (found,) = case_with(tmp_path, wall + table).tolerance.spreads
    assert found.values == (3.0,)
    table = table.replace("rear_wall.distance", "reference.distance")
    text = PASSIVE.replace('driver = "tweeter"\ndistance = "2 m"', 'driver = "tweeter"')
    (found,) = case_with(tmp_path, table, text).tolerance.spreads
    assert found.values == (2.0,)  # as the schema says


def test_parts_are_called_as_papers_call_them(tmp_path):
    second = PASSIVE.replace('capacitor = "10 uF"', 'capacitor = "8 uF", second_capacitor = "2 uF"')
    case = case_with(tmp_path, '\n[tolerance]\nparts = "5 %"\n', second)
    parts = [
        (f"{ladder.driver.name} {piece.name}", piece.value)
        for ladder in ladders_of(case)
        for rung in ladder.rungs
        for part in rung.parts
        for piece in pieces_of(part)
    ]
    spreads = case.tolerance.spreads
    assert [(each.name, each.values[0]) for each in spreads] == parts
    assert {each.shape for each in spreads} == {"uniform"}
    keys = {each.name: each.keys for each in spreads}
    assert keys["tweeter C1 (b)"] == ("crossover.tweeter.parts.2.second_capacitor",)
    assert keys["tweeter R pad"] == ("crossover.tweeter.parts.1.resistor",)


def test_every_spread_of_a_key_varies_the_case_as_a_file_would(tmp_path):
    case = pickle.loads(pickle.dumps(case_with(tmp_path, FULL)))
    assert case.sweep is None
    by_text = [
        each
        for each in case.tolerance.spreads
        if each.kind not in ("level", "delay", "driver parameter")
    ]
    same = {key: value for each in by_text for key, value in moved(each, 0.0).items()}
    assert varied_case(case, same).digest == case.digest
    first = {each.kind: each for each in reversed(by_text)}
    assert len(first) == 6
    for each in first.values():
        step = each.within * each.values[0] if each.relative else each.within
        varied = varied_case(case, moved(each, step))
        assert varied.digest != case.digest, each
        assert varied.tolerance is None


def moved(each, step):
    pairs = zip(each.keys, each.values, strict=True)
    return {key: with_unit(value + step, each.unit) for key, value in pairs}


def test_a_variation_can_be_varied_further(tmp_path):
    case = case_with(tmp_path, "")
    once = varied_case(case, {"cabinet.width": "230 mm", "cabinet.depth": "310 mm"})
    twice = varied_case(pickle.loads(pickle.dumps(once)), {"cabinet.width": "225 mm"})
    assert (twice.cabinet.width, twice.cabinet.depth) == (0.225, 0.31)
    both = {"cabinet.width": "225 mm", "cabinet.depth": "310 mm"}
    assert twice == varied_case(case, both)
    assert "text" not in repr(case)


def test_a_further_variation_knows_where_drivers_were_measured():
    case = read_case(CASES / "compact-measured")
    once = varied_case(case, {"drivers.tweeter.position.1": "10 mm"})
    twice = varied_case(once, {"drivers.tweeter.position.2": "124 mm"})
    assert twice.driver("tweeter").position == (0.01, 0.124)
    assert twice.measured_in.driver("tweeter").position == case.driver("tweeter").position
    assert varied_case(once, {"drivers.tweeter.position.1": "0 mm"}).digest == case.digest


def test_a_worked_design_states_what_is_usual():
    case = read_case(CASES / "compact-passive")
    assert not case.tolerance.usual
    assert replace(case.tolerance, usual=True) == usual_tolerance(case)


def test_no_prediction_rests_on_it(tmp_path):
    assert case_with(tmp_path, FULL).digest == case_with(tmp_path, "").digest
    assert case_with(tmp_path, "").tolerance is None


def test_an_empty_table_is_the_usual(tmp_path):
    case = case_with(tmp_path, "\n[tolerance]\n")
    assert case.tolerance == usual_tolerance(case)
    assert case.tolerance.usual
    few = case_with(tmp_path, "\n[tolerance]\nbuilds = 9\n").tolerance
    assert (few.builds, few.spreads, few.usual) == (9, case.tolerance.spreads, True)


def test_what_is_usual():
    """Common practice, no source."""
    usual = usual_tolerance(read_case(CASES / "compact-passive"))
    within = {(each.kind, each.within, each.relative, each.shape) for each in usual.spreads}
    assert within == {
        ("position", 1e-3, False, "normal"),
        ("ear height", 0.05, False, "normal"),
        ("distance", 0.1, False, "normal"),
        ("temperature", 5.0, False, "normal"),
        ("level", 0.5, False, "normal"),
        ("part", 0.05, True, "uniform"),
        ("driver parameter", 0.15, True, "normal"),
        ("driver parameter", 0.05, True, "normal"),
    }
    assert len({each.name for each in usual.spreads}) == len(usual.spreads)
    assert not of_kind(usual_tolerance(read_case(CASES / "compact-centred")), "part")


def one(key, within):
    return f'[[tolerance.spreads]]\nkey = "{key}"\nwithin = {within}'


@pytest.mark.parametrize(
    ("table", "key", "words"),
    [
        (one("cabinet.depth", "1"), "spreads.1.within", "1 has no unit; write it in quotes"),
        (one("cabinet.depth", '"1 Hz"'), "spreads.1.within", "is not a length; use mm, cm"),
        (one("cabinet.depth", '"0 mm"'), "spreads.1.within", "is no spread; write one above 0"),
        (one("cabinet.depth", '"-1 mm"'), "spreads.1.within", "is no spread; write one above 0"),
        (one("cabinet.depth", '"0 %"'), "spreads.1.within", "is no spread; write one above 0"),
        (one("cabinet.depth", '"95 %"'), "spreads.1.within", "from 0.001 % to 90 %"),
        (one("cabinet.depth", '"five"'), "spreads.1.within", "is not a number with a unit"),
        (one("cabinet.depth", '"1,5 %"'), "spreads.1.within", "write 1.5 with a point"),
        (one("cabinet.depth", '"290 mm"'), "spreads.1.within", "'0.01 m' is out of range"),
        (one("cabinet.dept", '"1 mm"'), "spreads.1.key", "did you mean 'depth'?"),
        (one("cabinet", '"1 mm"'), "spreads.1.key", "does not hold a number"),
        (one("title", '"1 mm"'), "spreads.1.key", "there is no 'title' to vary"),
        (one("crossover.tweeter.parts.9.resistor", '"5 %"'), "spreads.1.key", "it has 4"),
        (one("arcs.step", '"1 deg"'), "spreads.1.key", "is nothing that is built"),
        (one("solver.accuracy", "0.05"), "spreads.1.key", "is nothing that is built"),
        (one("placement.toe_in", '"5 mm"'), "spreads.1.within", "is not an angle"),
        (
            one("drivers.tweeter.position.1", '"5 %"'),
            "spreads.1.within",
            "is 0, and '5 %' of that is nothing; write a number with mm, cm, m or in",
        ),
        (
            one("crossover.tweeter.gain", "0.5"),
            "spreads.1.key",
            "has no value in this design",
        ),
        (one("air.temperature", '"5 %"'), "spreads.1.within", 'per cent mean nothing; write "5 K"'),
        (one("floor.reflection", '"5 mm"'), "spreads.1.within", "is a bare number"),
        (
            f"{one('floor.reflection', 0.05)}\n{one('floor.reflection', 0.01)}",
            "spreads.2.key",
            "strays already",
        ),
        (
            '[tolerance]\npositions = "1 mm"\n' + one("drivers.tweeter.position.2", '"1 mm"'),
            "spreads.1.key",
            "strays already, by tolerance.positions",
        ),
        (
            '[tolerance]\nparts = "5 %"\n' + one("crossover.woofer.parts.1.inductor", '"1 %"'),
            "spreads.1.key",
            "strays already, by tolerance.parts",
        ),
        (
            '[tolerance.drivers]\nmoving_mass = "5 %"\n'
            + one("drivers.woofer.small_signal.moving_mass", '"1 %"'),
            "spreads.1.key",
            "strays already, by tolerance.drivers.moving_mass",
        ),
        ("[tolerance]\nlevels = 0", "levels", "out of range; write a number from 0.001 to 20 dB"),
        ('[tolerance]\nlevels = "5 %"', "levels", "is text; write a number from 0.001 to 20 dB"),
        ("[tolerance]\npositions = 1", "positions", "1 has no unit"),
        ('[tolerance]\npositions = "5 %"', "positions", "is not a length"),
        (
            '[tolerance]\near_height = "1 m"',
            "ear_height",
            "some builds would have a 'seat.ear_heights.1' that cannot be",
        ),
        ('[tolerance]\ntemperature = "45 K"', "temperature", "'338.15 K' is out of range"),
        ("[tolerance]\ntemperature = 5", "temperature", 'degC, K or degF, for example "5 K"'),
        ('[tolerance]\ntemperature = "-5 K"', "temperature", "write a difference from 0.01 K"),
        (
            "[tolerance]\nparts = 5",
            "parts",
            '5 has no unit; write it in quotes with %, for example "5 %"',
        ),
        ('[tolerance]\nparts = "5 percent"', "parts", 'did you mean "5 %"?'),
        ("[tolerance]\nbuilds = 0", "builds", "a whole number from 2 to 100000"),
        ("[tolerance]\nband = 100", "band", "a number from 50 to 99 per cent"),
        ('[tolerance]\nshape = "flat"', "shape", "is none of the choices"),
        ('[tolerance.drivers]\ncompliances = "5 %"', "drivers.compliances", "did you mean"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(tmp_path, table, key, words):
    faults = faults_of(tmp_path, table)
    assert [fault.key for fault in faults] == [f"tolerance.{key}"]
    assert words in faults[0].message
    assert faults[0].line > PASSIVE.count("\n")


def test_decibels_have_no_per_cent(tmp_path):
    (fault,) = faults_of(tmp_path, one("crossover.tweeter.gain", '"5 %"'), GOOD)
    assert "is in dB, of which per cent mean nothing; write a bare number" in fault.message
    (fault,) = faults_of(tmp_path, one("crossover.tweeter.sections.1.order", 1), GOOD)
    assert "is a count and cannot stray" in fault.message
    found = case_with(tmp_path, f"\n{one('crossover.tweeter.gain', 0.5)}\n", GOOD).tolerance
    assert (found.spreads[0].values, found.spreads[0].within) == ((-5.0,), 0.5)


def test_there_must_be_something_to_stray(tmp_path):
    (fault,) = faults_of(tmp_path, '[tolerance]\nparts = "5 %"', GOOD)
    assert fault.key == "tolerance.parts"
    assert "use levels for drivers with amplifiers of their own" in fault.message
    (fault,) = faults_of(tmp_path, '[tolerance.drivers]\ncompliance = "5 %"', GOOD)
    assert fault.key == "tolerance.drivers.compliance"
    assert "[drivers.tweeter.small_signal]" in fault.message


@pytest.mark.parametrize(
    "broken",
    [
        "tolerance = 3",
        "[tolerance]\ndrivers = 3",
        "[tolerance]\nspreads = 3",
        "[tolerance]\nspreads = [3]",
        "[tolerance]\nspreads = [{ within = 1 }]",
        "[tolerance]\nspreads = [{ key = 1, within = 1 }]",
        '[[tolerance.spreads]]\nkey = ""\nwithin = "1 mm"',
        '[[tolerance.spreads]]\nkey = "cabinet..depth"\nwithin = "1 mm"',
        f'[[tolerance.spreads]]\nkey = "cabinet.depth"\nwithin = 1{400 * "0"}',
    ],
)
def test_nonsense_is_told_too(tmp_path, broken):
    top = broken.startswith("tolerance")
    faults = faults_of(tmp_path, "" if top else broken, f"{broken}\n{GOOD}" if top else GOOD)
    assert all(fault.key.startswith("tolerance") for fault in faults)


def test_a_fault_elsewhere_hides_none_here(tmp_path):
    text = GOOD.replace('depth = "300 mm"', "depth = 300").replace('"0.85 m"', "1")
    table = f'[tolerance]\near_height = "5 mm"\n{one("cabinet.depth", 3)}\n{one("cabinet.wid", 3)}'
    keys = [fault.key for fault in faults_of(tmp_path, table, text)]
    assert keys == ["cabinet.depth", "seat.ear_heights.1", "tolerance.spreads.2.key"]


def test_per_cent_are_shares():
    assert parse("5 %", SHARE) == 0.05
    assert (float(spread("12.5%").interval), spread("12.5%").dimension) == (0.125, SHARE)
    for wrong in ("%", "five %", "1e99999 %", "nan %", "5 % %"):
        with pytest.raises(UnitError):
            spread(wrong)
