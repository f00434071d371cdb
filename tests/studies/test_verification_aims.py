"""Aims judged from readings, held against the same aims judged on the prediction itself."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.design.brief_model import Brief
from acoustics.case.design.model import Aim, FrequencyGrid
from acoustics.listening.aims import judge
from acoustics.listening.brief import reach
from acoustics.studies.verification.aims.aim_measured import AIMS_MEASURED, aims_dataset
from acoustics.studies.verification.aims.aims_measured import aims_measured
from acoustics.studies.verification.aims.as_predicted import direction_of
from acoustics.studies.verification.bench.answers import Answers
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.readings.readings import Readings, ResponseReading
from support.cases import make_case

BAND = (500.0, 8000.0)
AXIS, WINDOW = "reference axis", "listening window"
AIMS = (
    Aim("smooth", "ripple", AXIS, BAND, 6, None, 6.0),
    Aim("level", "level", AXIS, BAND, None, 60.0, None),
    Aim("tilt", "tilt", AXIS, BAND, 6, -2.0, 2.0),
    Aim("smooth around", "ripple", WINDOW, BAND, 6, None, 6.0),
    Aim("wide", "beamwidth", AXIS, (1000.0, 4000.0), 6, 60.0, None),
    Aim("slouch", "lobe window", "seat", None, None, 0.3, None),
    Aim("seat", "ripple", "seat", BAND, 6, None, 6.0),
)
CASE = make_case(
    aims=AIMS,
    frequencies=FrequencyGrid(200.0, 16000.0, 12),
    arc_step=10.0,
    accuracy=1.0,
    brief=Brief(level=70.0, tilt=(-1.0, 1.0), reach=400.0),
)
ON_AXIS_ONLY = replace(CASE, aims=AIMS[:3], brief=None)
AROUND = tuple(("horizontal", 10.0 * n) for n in range(-17, 19))


@dataclass(frozen=True)
class PredictedBench:
    """A bench that would read the prediction itself in some directions."""

    design: Built
    readings: Readings
    frequencies: Answers
    measured: Answers
    designed: Answers

    def answers(self, built):
        """The prediction, whatever is built: nothing but the design is asked for here."""
        return self.designed


@pytest.fixture(scope="module")
def prediction():
    return ac.predict(CASE)


def bench_of(prediction, directions, excess=0.0, **changes):
    """Readings of the prediction with an excess (dB, a number or by frequency in Hz)."""
    frequency = prediction.frequency.values
    turn = np.deg2rad([angle for _, angle in directions])
    responses, designed, measured = [], [], []
    for (plane, angle), t in zip(directions, turn, strict=True):
        x, y = CASE.reference.point
        along = 2.0 * np.sin(t)
        place = (x + along, y) if plane == "horizontal" else (x, y + along)
        values = prediction.arc_total.sel(plane=plane, angle=angle).values
        decibels = excess(frequency) if callable(excess) else excess
        band = changes.get("band", (200.0, 16000.0))
        inside = (frequency >= band[0]) & (frequency <= band[1])
        designed.append(values[inside])
        measured.append((values * 10 ** (decibels / 20))[inside])
        reading = ResponseReading(
            name=f"{plane} {angle:g}",
            source="axis.txt",
            playing=(0, 1),
            reversed=(),
            place=(*place, 2.0 * np.cos(t)),
            frequency=frequency[inside],
            pressure=measured[-1],
            has_phase=False,
            calibrated=True,
            clock="",
            band=band,
            uncertainty=0.1,
        )
        responses.append(replace(reading, **changes))
    grid = Answers(tuple(each.frequency for each in responses), ())
    return PredictedBench(
        Built(CASE),
        Readings(tuple(responses), (), 0.005, 0.5),
        grid,
        Answers(tuple(measured), ()),
        Answers(tuple(designed), ()),
    )


def by_name(found):
    return {each.name: each for each in found}


@pytest.mark.slow
def test_the_prediction_read_is_judged_as_predicted(prediction):
    """What reads the prediction meets with the figures of `judge`, to 0.01 of their units."""
    bench = bench_of(prediction, (*AROUND, ("vertical", 10.0), ("vertical", -10.0)))
    found = by_name(aims_measured(CASE, prediction, bench))
    for aim in AIMS[:5]:
        figure = judge(aim, prediction, doubted=False).value
        assert found[aim.name].measured == pytest.approx(figure, abs=0.01), aim.name
        assert found[aim.name].predicted == pytest.approx(figure, abs=1e-9)
    assert found["reach wanted"].measured == pytest.approx(reach(prediction).value, rel=1e-3)
    assert found["level wanted"].measured == pytest.approx(
        judge(Aim("", "level", WINDOW, (300.0, 10e3), None, 0.0, None), prediction).value
        + 20 * np.log10(2.0),
        abs=0.01,
    )


@pytest.mark.slow
def test_a_known_excess(prediction):
    """3 dB more everywhere raise the level by 3 dB; 1 dB per octave more tilt by that."""
    found = by_name(
        aims_measured(ON_AXIS_ONLY, prediction, bench_of(prediction, [AROUND[17]], 3.0))
    )
    assert found["level"].measured - found["level"].predicted == pytest.approx(3.0, abs=1e-6)

    def steeper(frequency):
        return np.log2(frequency / 1000.0)

    found = by_name(
        aims_measured(ON_AXIS_ONLY, prediction, bench_of(prediction, [AROUND[17]], steeper))
    )
    assert found["tilt"].measured - found["tilt"].predicted == pytest.approx(1.0, abs=0.03)


def test_what_was_not_measured_says_so(prediction):
    """With the axis alone the window, the beam and the seat have a prediction and a way to tell."""
    found = by_name(aims_measured(CASE, prediction, bench_of(prediction, [AROUND[17]])))
    for name in ("smooth around", "wide", "slouch", "seat", "level wanted"):
        assert found[name].state == "not measured"
        assert found[name].measured is None
        assert found[name].predicted is not None
        assert "tell" in found[name].tell
    assert f"{CASE.seat.main.distance:.2f} m before" in found["seat"].tell
    assert "every 5 cm" in found["slouch"].tell
    assert found["smooth"].state == "met"


def test_doubt_decides(prediction):
    """A limit within the doubt of a figure is too close to call; farther off it is not."""
    bench = bench_of(prediction, [AROUND[17]])
    level = judge(AIMS[1], prediction, doubted=False).value
    states = []
    for limit in (level - 1.0, level - 0.2, level + 0.2, level + 1.0):
        case = replace(CASE, aims=(replace(AIMS[1], at_least=limit),), brief=None)
        states.append(aims_measured(case, prediction, bench)[0].state)
    assert states == ["met", "too close to call", "too close to call", "missed"]
    doubt = aims_measured(case, prediction, bench)[0].uncertainty
    # The calibration may be off by 0.5 dB, the noise of some 50 values averages to 0.03 dB.
    assert doubt == pytest.approx(0.5, abs=0.02)


def test_part_of_a_band(prediction):
    """A reading of part of the band is judged there and says so; of too little, not at all.

    Of 12 frequencies per octave about 1 kHz the first above 800 Hz is 2^(−3/12) kHz = 841 Hz.
    """
    some = bench_of(prediction, [AROUND[17]], band=(800.0, 12000.0))
    found = by_name(aims_measured(ON_AXIS_ONLY, prediction, some))
    assert "judged over 841 to 8000 Hz" in found["smooth"].note
    little = bench_of(prediction, [AROUND[17]], band=(4000.0, 12000.0))
    assert by_name(aims_measured(ON_AXIS_ONLY, prediction, little))["smooth"].state == "not known"


def test_without_calibration_no_level(prediction):
    """A level of unknown reference is no level; the ripple is what it was."""
    bench = bench_of(prediction, [AROUND[17]], calibrated=False)
    found = by_name(aims_measured(ON_AXIS_ONLY, prediction, bench))
    assert found["level"].state == "not measured"
    assert found["smooth"].measured == pytest.approx(found["smooth"].predicted, abs=0.01)


def test_directions(prediction):
    """A microphone's place says its plane and angle; one too near says nothing."""
    reading = bench_of(prediction, [AROUND[17]]).readings.responses[0]
    x, y = CASE.reference.point
    for place, expected in (
        ((x, y, 1.0), ("horizontal", 0.0)),
        ((x + 1.0, y, 1.0), ("horizontal", 45.0)),
        ((x, y - 0.5, np.sqrt(0.75)), ("vertical", -30.0)),
        ((x + 0.5, y + 0.5, 1.0), None),
        ((x, y, 0.2), None),
    ):
        found = direction_of(CASE, replace(reading, place=place))
        if expected is None:
            assert found is None
        else:
            assert found[0] == expected[0]
            assert found[1] == pytest.approx(expected[1])


def test_dataset_explains_itself(prediction):
    """Every variable has a unit and a meaning; words tell figure, limit and state."""
    found = aims_measured(ON_AXIS_ONLY, prediction, bench_of(prediction, [AROUND[17]]))
    data = aims_dataset(found)
    for name in (*data.data_vars, *data.coords):
        assert data[name].attrs["units"]
        assert data[name].attrs["long_name"]
        assert name in AIMS_MEASURED
    assert "at most 6 dB" in found[0].words
    assert "met" in found[0].words
