"""A bench says of the design, and of builds of it, what a prediction of them says.

The prediction is worked out apart from it: one call of the field solver for every case, with all
its receivers, where the bench has one for all builds.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics import predict, read_case, solve_field
from acoustics.case.design.model import Case, FrequencyGrid, Placement
from acoustics.case.varied import varied_case
from acoustics.conventions import DRIVE_VOLTAGE, RoundoverError
from acoustics.prediction.passive import passive_of
from acoustics.source.drive import drive_of
from acoustics.studies.verification.bench.bench import DesignBench, bench_of
from acoustics.studies.verification.bench.built import Built
from support.bench_readings import impedance, on_arc, readings, response
from support.cases import CASES

BAND = (200.0, 1600.0)
"""Hz: of most tests, because the field is costly high up."""


class Solved:
    """The field solver, which solves the same only once: fields do not change with the build."""

    def __init__(self) -> None:
        self._known: dict[tuple, object] = {}

    def __call__(self, body, pistons, receivers, frequency, **how):
        how.pop("progress", None)
        asked = tuple(sorted((key, repr(value)) for key, value in how.items()))
        key = (body, tuple(pistons), receivers.tobytes(), frequency.tobytes(), asked)
        if key not in self._known:
            self._known[key] = solve_field(body, pistons, receivers, frequency, **how)
        return self._known[key]


def small(case: Case) -> Case:
    """The case alone in the open with few receivers, at the frequencies of a bench."""
    return replace(
        case,
        accuracy=1.0,
        frequencies=FrequencyGrid(*BAND, 12),
        arc_step=10.0,
        surfaces=(),
        placement=Placement(),
        seat=replace(case.seat, places=case.seat.places[:1], ear_heights=(1.0,)),
    )


def shipped(name: str) -> Case:
    return small(read_case(CASES / name / "case.toml"))


def heard(prediction, degrees: float, plane: str = "horizontal", driver: str | None = None):
    """Pa/V on an arc."""
    pressure = (
        prediction.arc_total if driver is None else prediction.arc_pressure.sel(driver=driver)
    )
    return pressure.sel(plane=plane, angle=degrees).values / DRIVE_VOLTAGE


def off(found: np.ndarray, expected: np.ndarray) -> float:
    """The largest difference as a share of the largest value."""
    return float(np.abs(found - expected).max() / np.abs(expected).max())


@pytest.fixture(scope="module")
def passive() -> Case:
    return shipped("compact-passive")


@pytest.fixture(scope="module")
def solved() -> Solved:
    return Solved()


@pytest.fixture(scope="module")
def bench(passive: Case) -> DesignBench:
    axis = on_arc(passive, 0.0)
    return bench_of(
        passive,
        readings(
            [
                response(passive, axis, BAND, name="axis"),
                response(passive, on_arc(passive, 30.0), BAND, name="right"),
                response(passive, on_arc(passive, -30.0, "vertical"), BAND, name="below"),
                response(passive, axis, BAND, playing=[1], name="woofer"),
                response(passive, axis, BAND, reversed=[0], name="reversed"),
            ],
            [impedance(), impedance(1, name="woofer impedance")],
        ),
    )


def test_design_is_heard_as_predicted(passive, bench, solved):
    found = bench.answers(bench.design).responses
    prediction = predict(passive, solve=solved)
    np.testing.assert_allclose(bench.frequencies.responses[0], prediction.frequency)
    assert off(found[0], heard(prediction, 0.0)) < 1e-6
    assert off(found[1], heard(prediction, 30.0)) < 1e-6
    assert off(found[2], heard(prediction, -30.0, "vertical")) < 1e-6
    assert off(found[3], heard(prediction, 0.0, driver="woofer")) < 1e-6
    woofer, tweeter = (heard(prediction, 0.0, driver=name) for name in ("woofer", "tweeter"))
    assert off(found[4], woofer - tweeter) < 1e-6


def test_impedance_is_seen_without_what_lies_before_the_terminals(passive, bench):
    whole, woofer = bench.answers(bench.design).impedances
    frequency = bench.frequencies.impedances[0]
    # 1e-6 and not less because the air load is solved at other frequencies.
    for resistance in (0.0, 3.0):
        other = replace(passive, amplifier=replace(passive.amplifier, resistance=resistance))
        drive = drive_of(other, frequency)
        found = passive_of(other, drive.motion, frequency)
        assert off(whole, found.network.input_impedance) < 1e-6
        assert off(bench.answers(Built(other)).impedances[0], whole) < 1e-9
    assert off(woofer, drive_of(passive, frequency).motion.impedance[1]) < 1e-6


CHANGES = {
    "capacitor": {"crossover.tweeter.parts.2.capacitor": "15 uF"},
    "leak": {"enclosures.bass.leakage_q": 3.0},
    "woofer inverted": {"drivers.woofer.polarity": "inverted"},
    "tweeter inverted in the crossover": {"crossover.tweeter.polarity": "inverted"},
    "voice coil": {"drivers.woofer.voice_coil.inductance": "1 mH"},
    "amplifier": {"amplifier.resistance": "1 ohm"},
}


@pytest.mark.parametrize("name", CHANGES)
def test_builds_are_heard_as_predicted(passive, bench, solved, name):
    """Each is the prediction of the case file with other values, through the reading of text."""
    varied = small(varied_case(passive, CHANGES[name]))
    design = small(varied_case(passive, {}))
    # Only what is meant may differ: a port's length follows from the tuning and is built already.
    built = replace(varied, enclosures=_with_ports_of(varied, design))
    expected = predict(built, solve=solved)
    answers = bench.answers(Built(built))
    assert off(answers.responses[0], heard(expected, 0.0)) < 1e-6
    assert off(answers.responses[1], heard(expected, 30.0)) < 1e-6
    assert off(answers.responses[0], bench.answers(bench.design).responses[0]) > 1e-3
    at = bench.frequencies.impedances[0]
    common = np.isin(at.round(6), expected.frequency.values.round(6))
    seen = expected.input_impedance.values
    assert off(answers.impedances[0][common], seen) < 1e-6


def _with_ports_of(varied: Case, design: Case):
    return tuple(
        replace(one, ports=other.ports)
        for one, other in zip(varied.enclosures, design.enclosures, strict=True)
    )


def test_builds_do_not_depend_on_what_was_asked_before(bench, passive):
    design = bench.answers(bench.design)
    louder = Built(passive, levels=(1.0, 0.0), delays=(0.0, 1e-4), gain=2.0)
    changed = bench.answers(louder)
    again = bench.answers(bench.design)
    for one, other in zip(design.responses, again.responses, strict=True):
        assert np.array_equal(one, other)
    frequency = bench.frequencies.responses[0]
    woofer = design.responses[3]
    tweeter = design.responses[0] - woofer
    late = np.exp(-2j * np.pi * frequency * 1e-4)
    expected = 10 ** (2 / 20) * (10 ** (1 / 20) * tweeter + late * woofer)
    assert off(changed.responses[0], expected) < 1e-9
    assert off(changed.impedances[0], design.impedances[0]) < 1e-12


def test_wrong_twice_is_right(bench, passive):
    drivers = (replace(passive.drivers[0], inverted=True), passive.drivers[1])
    wrong = bench.answers(Built(replace(passive, drivers=drivers))).responses
    right = bench.answers(bench.design).responses
    assert off(wrong[4], right[0]) < 1e-12
    assert off(wrong[0], right[4]) < 1e-12


def test_box_without_air_is_refused(bench, passive):
    (box,) = passive.enclosures
    with pytest.raises(RoundoverError, match="bass"):
        bench.answers(Built(replace(passive, enclosures=(replace(box, gross=1e-4),))))


def test_shut_port_moves_no_more(bench, passive):
    """1e-2, because the prediction solves a cabinet without the port's disc."""
    (box,) = passive.enclosures
    shut = replace(passive, enclosures=(replace(box, kind="closed", ports=()),))
    assert off(bench.answers(Built(shut)).responses[0], heard(predict(shut), 0.0)) < 1e-2


@pytest.mark.parametrize(
    "name",
    ["compact-centred", "compact-measured", pytest.param("floorstander", marks=pytest.mark.slow)],
)
def test_other_designs_are_heard_as_predicted(name):
    case = shipped(name)
    bench = bench_of(
        case,
        readings(
            [
                response(case, on_arc(case, 0.0), BAND, name="axis"),
                response(case, on_arc(case, 30.0), BAND, name="right"),
            ],
            [impedance(len(case.drivers) - 1, BAND)],
        ),
    )
    prediction = predict(case)
    found = bench.answers(bench.design)
    assert off(found.responses[0], heard(prediction, 0.0)) < 1e-6
    assert off(found.responses[1], heard(prediction, 30.0)) < 1e-6
    at = np.isin(bench.frequencies.impedances[0].round(6), prediction.frequency.values.round(6))
    assert off(found.impedances[0][at], prediction.impedance.values[-1]) < 1e-6
