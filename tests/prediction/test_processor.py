"""A processor in a prediction, and its numbers written out and read back."""

from __future__ import annotations

import csv
from dataclasses import asdict, replace
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from scipy import signal

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import (
    AllPass,
    Biquad,
    Branch,
    Fir,
    FrequencyGrid,
    ParametricSection,
    PassFilter,
    Processor,
)
from acoustics.case.design.network_model import Element
from acoustics.conventions import COORDINATES, DRIVE_VOLTAGE, VARIABLES, RoundoverError
from acoustics.listening.loudest import limit_inputs
from acoustics.listening.reach import unreached
from acoustics.prediction import predict
from acoustics.report.coefficients import CHANNELS, FILTERS, write_coefficients
from acoustics.report.passive_crossover import part_demands, passive_crossover
from acoustics.report.processor import processor_points
from acoustics.report.summary import summary
from acoustics.storage import open_prediction, save
from support.boxes import FS, boxed, parameters
from support.cases import make_case, make_driver, pass_branch
from support.free_field import solve_free_field

RATE = 48_000.0
QUICK = {"frequencies": FrequencyGrid(20.0, 20_000.0, 12), "arc_step": 10.0, "accuracy": 1.0}
HIGH = PassFilter("high-pass", "butterworth", 3, 1800.0, None)


def predicted(case):
    return predict(replace(case, **QUICK), solve=solve_free_field)


def written(case, prediction, folder):
    """Every channel's transfer function, from the files alone and by a general library.

    Returns:
        By channel: its drivers, and the function, complex (frequency,).
    """
    names = write_coefficients(case, prediction, folder)
    assert sorted(names) == sorted(path.name for path in Path(folder).iterdir())
    frequency = prediction.frequency.values
    rows, head = rows_of(Path(folder) / FILTERS)
    assert "# sampling rate 48 kHz" in head
    assert any("y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]" in h for h in head)
    channels, _ = rows_of(Path(folder) / CHANNELS)
    answer = {}
    for channel in channels:
        turn = np.exp(-2j * np.pi * frequency * int(channel["delay"]) / RATE)
        response = 10 ** (float(channel["gain"]) / 20) * turn
        if channel["polarity"] == "inverted":
            response = -response
        own = [row for row in rows if row["driver"] == channel["channel"]]
        assert [int(row["number"]) for row in own] == list(range(1, int(channel["sections"]) + 1))
        for row in own:
            b = [float(row[key]) for key in ("b0", "b1", "b2")]
            a = [1.0, float(row["a1"]), float(row["a2"])]
            response = response * signal.freqz(b, a, frequency, fs=RATE)[1]
        for name in channel["taps"].split("; ") if channel["taps"] else ():
            taps = np.loadtxt(Path(folder) / name, ndmin=1)
            response = response * signal.freqz(taps, 1, frequency, fs=RATE)[1]
        answer[channel["channel"]] = channel["drivers"].split("; "), response
    return answer


def rows_of(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    head = [line for line in lines if line.startswith("#")]
    return list(csv.DictReader(lines[len(head) :])), head


@pytest.fixture(scope="module")
def active():
    """Electrical slopes with every kind of section; a delay that is no whole number of samples."""
    woofer = (
        PassFilter("low-pass", "linkwitz-riley", 4, None, 2500.0),
        ParametricSection("low-shelf", 120.0, 3.0, 0.7),
        AllPass(1, 600.0),
        Biquad((0.9, -0.2, 0.1), (1.0, -0.3, 0.1)),
    )
    tweeter = (
        PassFilter("band-pass", "bessel", 5, 2000.0, 15_000.0),
        AllPass(2, 3000.0, 0.8),
        Fir((0.6, 0.3, 0.1)),
        Fir((0.9, -0.1)),
    )
    return replace(
        make_case(),
        crossover=(
            Branch("woofer", woofer, gain=-1.25),
            Branch("tweeter", tweeter, gain=-4.0, delay=0.11e-3, inverted=True),
        ),
        processor=Processor(RATE),
    )


@pytest.fixture(scope="module")
def acoustic():
    """Computed filters beside each other, the woofer deeper than the tweeter."""
    given = {"slopes": "acoustic", "level": 80.0}
    drivers = (make_driver("woofer", -0.05, acoustic_depth=0.03), make_driver("tweeter", 0.1))
    branches = (
        pass_branch("woofer", "low-pass", 2500.0, **given),
        pass_branch("tweeter", "high-pass", 2500.0, delay=0.3e-3, **given),
    )
    return make_case(drivers, crossover=branches)


@pytest.fixture(scope="module")
def mixed():
    """A woofer by itself, a mid and a tweeter on a passive crossover behind an active high-pass."""
    drivers = (
        make_driver("woofer", -0.1),
        make_driver("mid", 0.0, rated_impedance=8.0, power=50.0),
        make_driver("tweeter", 0.1, rated_impedance=6.0),
    )
    before = Amplifier(
        power=40.0, resistance=0.1, sections=(HIGH,), gain=-3.0, delay=0.1e-3, inverted=True
    )
    return make_case(
        drivers,
        amplifier=before,
        crossover=(
            pass_branch("woofer", "low-pass", 1800.0),
            Branch("mid", slopes="passive", elements=(Element("series", inductor=0.4e-3),)),
            Branch("tweeter", slopes="passive", elements=(Element("series", capacitor=4e-6),)),
        ),
        processor=Processor(RATE),
    )


def test_what_is_written_is_what_is_predicted(active, tmp_path):
    prediction = predicted(active)
    for drivers, response in written(active, prediction, tmp_path / "new").values():
        (name,) = drivers
        expected = prediction["filter"].sel(driver=name).values
        assert np.abs(response - expected).max() < 1e-10
    assert prediction.attrs["sampling_rate"] == RATE
    assert not {"taps", "needed_filter", "amplifier_filter"} & set(prediction.variables)


def test_at_half_the_rate_filters_part_from_the_analogue_ones(active):
    plain = tuple(
        replace(b, sections=tuple(s for s in b.sections if not isinstance(s, Biquad | Fir)))
        for b in active.crossover
    )
    digital = predicted(replace(active, crossover=plain))["filter"]
    analogue = predicted(replace(active, crossover=plain, processor=None))["filter"]
    apart = np.abs(20 * np.log10(np.abs(digital / analogue)))
    assert apart.sel(frequency=slice(20.0, 500.0), driver="woofer").max() < 0.02
    assert apart.sel(frequency=slice(19_000.0, None), driver="woofer").min() > 10.0


def test_without_a_processor_nothing_changes(make_case):
    """To the bit: analogue filters are evaluated as they always were."""
    sections = (ParametricSection("high-shelf", 900.0, -4.0, 0.9),)
    case = make_case(crossover=(Branch("woofer", sections),))
    found = predicted(case)["filter"].sel(driver="woofer").values
    s, A = 1j * QUICK["frequencies"].values() / 900.0, 10 ** (-4.0 / 40)
    slope = np.sqrt(A) / 0.9
    expected = A * (A * s**2 + slope * s + 1) / (s**2 + slope * s + A)
    np.testing.assert_array_equal(found, expected)
    assert "sampling_rate" not in predicted(case).attrs


@pytest.fixture(scope="module")
def realised(acoustic):
    case = replace(acoustic, processor=Processor(RATE, 511))
    return case, predicted(case)


def test_computed_filters_are_those_of_the_taps(realised, acoustic, tmp_path):
    case, prediction = realised
    for drivers, response in written(case, prediction, tmp_path).values():
        (name,) = drivers
        expected = prediction["filter"].sel(driver=name).values
        assert np.abs(response - expected).max() < 1e-10
    # They are near what is needed, which is what it was without taps, all of it later.
    ideal = predicted(acoustic)
    late = np.exp(-2j * np.pi * prediction.frequency.values * prediction.attrs["latency"])
    np.testing.assert_allclose(prediction.needed_filter, ideal["filter"] * late, rtol=1e-9)
    np.testing.assert_allclose(prediction.target, ideal.target * late, rtol=1e-9)
    near = abs(prediction["filter"] - prediction.needed_filter) / abs(prediction.needed_filter)
    loud = abs(prediction.needed_filter) > 0.1 * abs(prediction.needed_filter).max("frequency")
    assert float(near.where(loud).max()) < 0.03
    # 0.3 ms of delay are whole samples beside the taps: 14, and what of the woofer's depth waits.
    assert prediction.tap_delay.values.tolist()[1] >= 14


def test_the_product_and_the_names_hold_with_taps(realised, tmp_path):
    _, prediction = realised
    product = prediction["filter"] * prediction.source * prediction.arc_field * DRIVE_VOLTAGE
    expected = prediction.arc_pressure.transpose(*product.dims)
    np.testing.assert_allclose(product.values, expected.values, rtol=1e-12)
    for name in ("taps", "needed_filter", "tap", "tap_delay"):
        meaning = {**VARIABLES, **COORDINATES}[name]
        assert prediction[name].dims == meaning.dims
        assert prediction[name].attrs["units"] == meaning.units
    save(prediction, tmp_path / "prediction.nc")
    xr.testing.assert_identical(open_prediction(tmp_path / "prediction.nc"), prediction)


def test_an_all_pass_in_a_target_is_one_in_the_filter(acoustic):
    turn = AllPass(2, 500.0, 0.6)
    woofer, tweeter = acoustic.crossover
    turned = replace(woofer, sections=(*woofer.sections, turn))
    found = predicted(replace(acoustic, crossover=(turned, tweeter)))["filter"]
    plain = predicted(acoustic)["filter"]
    x = 1j * found.frequency.values / 500.0
    factor = (x**2 - x / 0.6 + 1) / (x**2 + x / 0.6 + 1)
    expected = plain.sel(driver="woofer") * factor
    np.testing.assert_allclose(found.sel(driver="woofer"), expected, rtol=1e-9)


def test_drivers_with_other_slopes_wait_as_long(acoustic, tmp_path):
    """Relative timing stays: the whole sound is later, and nothing else."""
    branches = (pass_branch("woofer", "low-pass", 2500.0, delay=1e-4), acoustic.crossover[1])
    case = replace(acoustic, crossover=branches, processor=Processor(RATE, 511))
    prediction = predicted(case)
    plain = predicted(replace(case, processor=Processor(RATE)))
    late = np.exp(-2j * np.pi * prediction.frequency.values * prediction.attrs["latency"])
    woofer = {"driver": "woofer"}
    np.testing.assert_allclose(
        prediction["filter"].sel(woofer), plain["filter"].sel(woofer) * late, rtol=1e-9
    )
    assert prediction.taps.sel(woofer).isnull().all()
    # 0.1 ms are 4.8 samples.
    samples = round(prediction.attrs["latency"] * RATE) + 5
    channels, _ = (written(case, prediction, tmp_path), None)
    turned = channels["woofer"][1] / prediction["filter"].sel(woofer).values
    assert np.abs(turned - 1).max() < 1e-9
    delays = {row["channel"]: int(row["delay"]) for row in rows_of(tmp_path / CHANNELS)[0]}
    assert delays["woofer"] == samples


def test_few_taps_are_no_fault_of_the_driver(acoustic):
    """A filter that its taps miss is told as that, not as a driver that lacks level."""
    low = PassFilter("high-pass", "butterworth", 2, 60.0, None)
    first = acoustic.crossover[0]
    branches = (replace(first, sections=(*first.sections, low)), acoustic.crossover[1])
    case = replace(acoustic, crossover=branches, processor=Processor(RATE, 31))
    prediction = predicted(case)
    axis = prediction.arc_pressure.sel(plane="horizontal", angle=0.0, driver="woofer")
    lack = 20 * np.log10(abs(prediction.target.sel(driver="woofer")) / abs(axis))
    assert np.abs(lack.sel(frequency=slice(40.0, 200.0))).max() > 1.0
    assert unreached(case, prediction) == []
    (_, said) = processor_points(case, prediction)
    assert "impulse responses of 31 taps" in said
    assert "They resolve 1.55 kHz: low frequencies take more taps" in said


def test_before_a_passive_crossover(mixed):
    """Filter, currents and parts have it, the input impedance has not."""
    prediction = predicted(mixed)
    plain = predicted(replace(mixed, amplifier=Amplifier(power=40.0, resistance=0.1)))
    frequency = prediction.frequency.values
    sos = signal.butter(3, 1800.0, "high", fs=RATE, output="sos")
    # 0.1 ms are 5 samples, rounded.
    before = -(10 ** (-3 / 20)) * np.exp(-2j * np.pi * frequency * 5 / RATE)
    before = before * signal.sosfreqz(sos, frequency, fs=RATE)[1]
    assert np.abs(prediction.amplifier_filter.values - before).max() < 1e-12
    for name in ("driver_current", "part_voltage", "part_current"):
        np.testing.assert_allclose(prediction[name], plain[name] * before, rtol=1e-6, atol=1e-15)
    passive = {"driver": ["mid", "tweeter"]}
    expected = plain["filter"].sel(passive) * before
    np.testing.assert_allclose(prediction["filter"].sel(passive), expected, rtol=1e-6, atol=1e-15)
    np.testing.assert_array_equal(
        prediction["filter"].sel(driver="woofer"), plain["filter"].sel(driver="woofer")
    )
    np.testing.assert_array_equal(prediction.input_impedance, plain.input_impedance)
    meaning = VARIABLES["amplifier_filter"]
    assert prediction.amplifier_filter.dims == meaning.dims


def test_the_passive_channel_is_written_with_its_drivers(mixed, tmp_path):
    prediction = predicted(mixed)
    drivers, response = written(mixed, prediction, tmp_path)["passive crossover"]
    assert drivers == ["mid", "tweeter"]
    assert np.abs(response - prediction.amplifier_filter.values).max() < 1e-10


def test_an_active_filter_needs_no_processor(mixed):
    prediction = predicted(replace(mixed, processor=None))
    b, a = signal.butter(3, 2 * np.pi * 1800.0, "high", analog=True)
    frequency = prediction.frequency.values
    turned = -(10 ** (-3 / 20)) * np.exp(-2j * np.pi * frequency * 0.1e-3)
    expected = turned * signal.freqs(b, a, 2 * np.pi * frequency)[1]
    assert np.abs(prediction.amplifier_filter.values - expected).max() < 1e-12


def test_powers_are_told_for_the_amplifiers_highest_voltage_behind_what_is_before_it(mixed):
    """A plain gain before the amplifier leaves what it can give, and what that asks of parts."""
    gain = replace(mixed, amplifier=Amplifier(power=40.0, resistance=0.1, gain=-9.0))
    plain = replace(mixed, amplifier=Amplifier(power=40.0, resistance=0.1))
    with_gain, without = (passive_crossover(case, predicted(case)) for case in (gain, plain))
    assert with_gain[1] == without[1]
    assert "behind what is active before the amplifier" in with_gain[0][1]
    assert "behind what is active" not in without[0][1]
    for one, other in zip(*(part_demands(c, predicted(c)) for c in (gain, plain)), strict=True):
        assert asdict(one) == pytest.approx(asdict(other), rel=1e-9)


def test_a_sine_may_have_the_amplifiers_full_voltage_whatever_is_before_it(mixed):
    """The programme's part is filtered; what a capacitor must stand of a sine is not."""
    plain = replace(mixed, amplifier=Amplifier(power=40.0, resistance=0.1))
    for one, other in zip(*(part_demands(c, predicted(c)) for c in (mixed, plain)), strict=True):
        assert one.sine_voltage == pytest.approx(other.sine_voltage, rel=1e-9)
        assert one.voltage != pytest.approx(other.voltage, rel=0.05)


def test_the_amplifiers_limit_at_the_input_is_behind_what_is_before_it():
    """√(40 W · 8 ohm) at the amplifier is 9 dB more at the input of a gain of −9 dB."""
    case = replace(
        boxed(parameters(FS, 0.4), 2.0),
        crossover=(Branch("driver", slopes="passive"),),
        amplifier=Amplifier(power=40.0, gain=-9.0),
    )
    found = limit_inputs(predicted(case)).sel(limit="amplifier", driver="driver")
    np.testing.assert_allclose(found, np.sqrt(320.0) * 10 ** (9 / 20))


def test_file_names_are_safe_and_each_its_own(tmp_path):
    names = ("a/b", "A b", "a b", "Höhe")
    drivers = tuple(make_driver(name, 0.05 * n - 0.1) for n, name in enumerate(names))
    branches = tuple(Branch(name, (Fir((1.0, 0.5)), Fir((0.5,)))) for name in names)
    case = make_case(drivers, crossover=branches, processor=Processor(RATE))
    found = write_coefficients(case, predicted(case), tmp_path / "out")
    assert len({name.lower() for name in found}) == len(found) == 2 + 8
    assert not set("".join(found)) & set('/\\:*?"<>| ')
    assert any("höhe" in name for name in found)
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(found)


def test_what_cannot_be_written_says_what_is_lacking(acoustic, active, tmp_path):
    case = replace(active, processor=None, crossover=())
    with pytest.raises(RoundoverError, match=r"add \[processor\] with sampling_rate"):
        write_coefficients(case, predicted(case), tmp_path)
    case = replace(acoustic, processor=Processor(RATE))
    with pytest.raises(RoundoverError, match=r"woofer and tweeter are computed .* add taps = 1023"):
        write_coefficients(case, predicted(case), tmp_path)
    with pytest.raises(RoundoverError, match="belongs to another design"):
        write_coefficients(replace(active, digest="1" * 64), predicted(active), tmp_path)
    assert not list(tmp_path.iterdir())


def test_the_summary_has_a_line_of_the_rate_and_one_of_the_taps(realised, active):
    case, prediction = realised
    text = " ".join(summary(case, prediction).split())
    assert "It works at 48 kHz, and delays are whole samples of 20.8 µs." in text
    assert "impulse responses of 511 taps" in text
    assert "and so stay in step" in text
    (said,) = processor_points(active, predicted(active))
    # 0.11 ms are 5.28 samples; 5 are 104.17 µs.
    assert said.endswith("rounded: tweeter 5 samples, 5.8 µs too early.")
