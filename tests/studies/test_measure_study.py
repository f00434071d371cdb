"""From recordings to trusted curves: drivers whose responses a general library knows."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case import read_case
from acoustics.conventions import CaseError, RoundoverError
from acoustics.storage import open_prediction, save
from acoustics.studies.measure import against, measure_study
from acoustics.studies.measure.driver import between_both
from acoustics.studies.measure.place import place_of
from support.free_field import solve_free_field
from support.measured_bench import (
    CASE,
    SWEEP,
    Bench,
    bench_case,
    expected,
    flight,
    recorded,
    write,
)

POLYNOMIAL = (0.02, 0.03)


def measured(tmp_path, text=CASE, bench=None):
    return measure_study(read_case(bench_case(tmp_path, text, bench)))


def deviation(study, name, bench):
    """dB and degrees off the truth over the stated band, and the band."""
    one = study.sel(driver=name)
    frequency = study.frequency.values
    inside = (frequency >= float(one.valid_low)) & (frequency <= float(one.valid_high))
    ratio = one.response.values[inside] / expected(name, frequency[inside], bench)
    return 20 * np.log10(np.abs(ratio)), np.degrees(np.angle(ratio)), frequency[inside]


def findings(study):
    return " ".join(study.finding_text.values.tolist())


@pytest.fixture(autouse=True, scope="module")
def free_field():
    """Point sources in place of the solver: what drivers are held against is not tried here."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(against, "solve_field", solve_free_field)
        yield


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    return measured(tmp_path_factory.mktemp("bench"), bench=Bench(polynomial=POLYNOMIAL))


# A gate of two periods and a half of 410 Hz cuts off some of what a woofer's 120 Hz ring on for.
@pytest.mark.parametrize(("name", "most"), [("tweeter", 0.1), ("woofer", 0.2)])
def test_the_response_is_the_drivers_over_the_stated_band(study, name, most):
    # Level absolute, phase from the loopback on; the cubic adds ¾·a₃ to the fundamental.
    level, phase, band = deviation(study, name, Bench(level=0.05 * (1 + 0.75 * POLYNOMIAL[1])))
    assert np.abs(level).max() < most
    assert np.abs(phase).max() < 3
    # The floor is 2.1 m further away, so 6.1 ms and two periods and a half of 410 Hz fit the gate.
    assert band[0] < 500
    assert band[-1] > 19_000


def test_the_arrival_is_the_flight(study):
    late = study.arrival.values - [flight("tweeter"), flight("woofer")]
    assert abs(late[0]) < 2e-6
    assert np.all(np.abs(late) < study.arrival_uncertainty.values)


def test_the_gate_ends_with_the_floors_reflection(study):
    extra = np.hypot(1.0, 2 * 1.515) - 1.0  # image of the microphone under the floor
    assert float(study.gate_stop[0] - study.arrival[0]) == pytest.approx(extra / 343.2)
    assert study.seen_surface.values.tolist() == ["floor", "floor"]


@pytest.mark.parametrize("name", ["tweeter", "woofer"])
def test_distortion_is_that_of_the_polynomial(study, name):
    # sin² = ½ − ½ cos 2φ, sin³ = ¾ sin φ − ¼ sin 3φ; each goes through the driver at its own
    # frequency.
    one = study.sel(driver=name)
    frequency = study.frequency.values
    for order, amplitude in ((2, POLYNOMIAL[0] / 2), (3, POLYNOMIAL[1] / 4)):
        level = one.harmonic.sel(order=order).values
        told = np.isfinite(level) & (frequency > 700) & (order * frequency < 18_000)
        assert np.count_nonzero(told) > 20
        fundamental = (1 + 0.75 * POLYNOMIAL[1]) * expected(name, frequency[told], Bench())
        harmonic = amplitude * expected(name, order * frequency[told], Bench())
        wanted = 20 * np.log10(np.abs(harmonic / fundamental))
        assert np.abs(level[told] - wanted).max() < 0.5


def test_delays_between_drivers_fit_the_drawing(study):
    late = float(study.relative_delay[0]) - float(study.relative_delay_expected[0])
    assert abs(late) < float(study.relative_delay_uncertainty[0])
    names = study.pair_first.values[0], study.pair_second.values[0]
    assert set(names) == {"tweeter", "woofer"}
    apart = flight(names[1]) - flight(names[0])
    assert float(study.relative_delay_expected[0]) == pytest.approx(apart)


def test_it_is_the_same_from_disk(study, tmp_path):
    assert open_prediction(save(study, tmp_path / "m.nc")).identical(study)


def test_without_a_loopback_the_sound_is_put_where_geometry_has_it(tmp_path):
    study = measured(tmp_path, CASE.replace("loopback = 2\n", ""))
    assert study.attrs["clock"] == "none"
    assert study.arrival.values == pytest.approx([flight("tweeter"), flight("woofer")])
    assert study.sizes["pair"] == 0
    level, _, _ = deviation(study, "tweeter", Bench())
    assert np.abs(level).max() < 0.2


@pytest.mark.slow
def test_repeats_are_averaged_and_tell_the_noise(tmp_path):
    bench = Bench(noise=1e-3)
    text = CASE.replace('far = "tweeter.wav"', 'far = ["tweeter.wav", "again.wav", "third.wav"]')
    bench_case(tmp_path, text, bench)
    write(tmp_path / "again.wav", recorded("tweeter", bench, seed=4))
    write(tmp_path / "third.wav", recorded("tweeter", bench, seed=5))
    study = measure_study(read_case(tmp_path))
    assert study.repeats.values.tolist() == [3, 1]
    assert study.noise_from.values[0] == "what 3 repeats differ by"
    inside = (study.frequency.values > 300) & (study.frequency.values < 20_000)
    by_repeats, by_silence = study.noise.values[:, inside]
    # A mean of three has a third of the noise power; the loopbacks' noise adds next to nothing.
    ratio = by_repeats / by_silence
    assert np.sqrt(np.mean(ratio**2)) == pytest.approx(1 / np.sqrt(3), rel=0.15)


def test_repeats_that_began_at_other_moments_are_averaged(tmp_path):
    """Without a loopback; the second began 150 ms later, the third 300 ms earlier."""
    bench = Bench(noise=1e-3)
    text = CASE.replace("loopback = 2\n", "").replace(
        'far = "tweeter.wav"', 'far = ["tweeter.wav", "again.wav", "third.wav"]'
    )
    file = bench_case(tmp_path, text, bench)
    for seed, (name, lead) in enumerate((("again", 0.05), ("third", 0.5)), start=4):
        late = Bench(noise=1e-3, lead=lead)
        write(tmp_path / f"{name}.wav", recorded("tweeter", late, seed=seed))
    study = measure_study(read_case(file))
    level, _, _ = deviation(study, "tweeter", bench)
    assert np.abs(level).max() < 0.2
    inside = (study.frequency.values > 300) & (study.frequency.values < 20_000)
    by_repeats, by_silence = study.noise.values[:, inside]
    # As with a loopback: a mean of three has a third of the noise power.
    ratio = np.sqrt(np.mean((by_repeats / by_silence) ** 2))
    assert ratio == pytest.approx(1 / np.sqrt(3), rel=0.15)


def test_what_neither_near_nor_far_field_tells_is_said():
    """A cone of 170 mm is small up to 640 Hz (Keele: 10 900 over cm); 3 ms hold 2.5 periods of
    830 Hz."""
    near, far = 10_900 / 17, 2.5 / 3e-3
    assert between_both(600.0, near, far).where == "641 to 833 Hz"
    assert between_both(700.0, near, far).where == "700 to 833 Hz"
    # 5 ms hold them of 500 Hz on, where the near field still vouches for the far one.
    assert between_both(450.0, near, 2.5 / 5e-3) is None


def test_impulse_responses_are_taken_as_they_are(tmp_path):
    text = CASE.replace("loopback = 2\n", 'kind = "impulse"\n')
    file = bench_case(tmp_path, text)
    length = 9600
    frequency = np.fft.rfftfreq(length, 1 / 48_000)
    for name in ("tweeter", "woofer"):
        turn = np.exp(-2j * np.pi * frequency * 0.01) / (20e-6 * 10**6)
        impulse = np.fft.irfft(expected(name, frequency, Bench()) * turn, length)
        write(tmp_path / f"{name}.wav", impulse)
    study = measure_study(read_case(file))
    level, _, _ = deviation(study, "tweeter", Bench())
    assert np.abs(level).max() < 0.2
    assert not np.isfinite(study.harmonic.values).any()


def test_a_quieter_sweep_with_its_voltage_gives_the_same_level(tmp_path):
    quiet = Bench(level=0.05 / 2.83, loopback=0.3)
    text = CASE.replace('far = "tweeter.wav"', 'far = "tweeter.wav"\nvoltage = "1 V"')
    study = measured(tmp_path, text, quiet)
    level, _, _ = deviation(study, "tweeter", Bench())
    assert np.abs(level).max() < 0.2


def test_a_stated_gate_that_lets_the_floor_in_is_told(tmp_path):
    study = measured(tmp_path, CASE.replace("loopback = 2\n", 'loopback = 2\ngate = "9 ms"\n'))
    assert "open when the floor sends sound back, 6." in findings(study)


def test_what_is_wrong_with_recordings_is_told(tmp_path):
    bench_case(tmp_path)
    woofer = recorded("woofer", Bench(level=0.4))
    woofer[:, 0] = np.clip(woofer[:, 0], -0.25, 0.25)
    write(tmp_path / "woofer.wav", woofer)
    write(tmp_path / "tweeter.wav", recorded("tweeter", Bench(sign=-1)))
    text = findings(measure_study(read_case(tmp_path)))
    assert "clipped" in text
    assert "The sound begins with the other sign" in text


def test_exchanged_files_are_told(tmp_path):
    text = CASE.replace('far = "tweeter.wav"', 'far = "x.wav"')
    text = text.replace('far = "woofer.wav"', 'far = "tweeter.wav"').replace("x.wav", "woofer.wav")
    text = text.replace(
        "sensitivity = 90.0\n",
        'sensitivity = 90.0\n[drivers.tweeter.small_signal]\nresonance = "1200 Hz"\n'
        'mechanical_q = 2.0\nelectrical_q = 1.0\ndc_resistance = "5 ohm"\nmoving_mass = "0.3 g"\n',
    )
    assert "exchanged" in findings(measured(tmp_path, text))


def test_a_level_that_is_not_known_is_said_to_be_none(tmp_path):
    study = measured(tmp_path, CASE.replace("level_of_full_scale = 120.0\n", ""))
    assert study.attrs["level"] == "relative"
    assert study.response.attrs["units"] == "1"


def test_a_silent_microphone_is_refused_at_its_key(tmp_path):
    bench_case(tmp_path)
    silent = recorded("woofer", Bench())
    silent[:, 0] = 0.0
    write(tmp_path / "woofer.wav", silent)
    with pytest.raises(CaseError) as caught:
        measure_study(read_case(tmp_path))
    (fault,) = caught.value.faults
    assert fault.key == "measurement.drivers.woofer.far"
    assert "silent throughout" in fault.message


def test_a_case_that_was_not_measured_is_told_what_to_add(tmp_path):
    text = CASE[: CASE.index("[measurement]")]
    with pytest.raises(RoundoverError, match=r"add a table \[measurement\]"):
        measured(tmp_path, text)


@pytest.mark.parametrize("loopback", ["", "loopback = 2\n"])
def test_a_file_that_was_played_stands_for_the_sweep(tmp_path, loopback):
    """At any peak: the voltage stated is that of a sine as strong as the sweep that was played.

    A volt-meter shows 2.83 V however much of full scale the player was given for it, so the file
    that was played says when and at which frequency, and nothing of the level.
    """
    text = CASE.replace("loopback = 2\n", f'sweep_file = "played.wav"\n{loopback}')
    file = bench_case(tmp_path, text)
    lead = np.zeros(2400)
    write(tmp_path / "played.wav", np.concatenate([lead, 0.7 * SWEEP.samples, lead]))
    study = measure_study(read_case(file))
    level, _, _ = deviation(study, "tweeter", Bench())
    assert np.abs(level).max() < 0.2
    assert not np.isfinite(study.harmonic.values).any()


def test_silence_in_the_file_that_was_played_is_silence_in_the_recording(tmp_path):
    """The recording begins with the file, so what it begins with tells the noise."""
    lead, bench = 9600, Bench(noise=1e-4, lead=0.2)
    text = CASE.replace("loopback = 2\n", 'sweep_file = "played.wav"\n')
    file = bench_case(tmp_path, text, bench)
    write(tmp_path / "played.wav", np.concatenate([np.zeros(lead), SWEEP.samples]))
    study = measure_study(read_case(file))
    assert all("of silence before the sweep" in said for said in study.noise_from.values)
    # The same recording without that file, its sweep known: what the noise is does not change.
    plain = measured(tmp_path, CASE.replace("loopback = 2\n", ""), bench)
    ratio = study.noise.values / plain.noise.values
    assert np.median(ratio, axis=1) == pytest.approx(1.0, abs=0.05)


def test_noise_is_raised_with_the_sound_where_the_microphone_hears_less(tmp_path):
    """A microphone that loses 12 dB from 4 to 8 kHz on: signal and noise both come up by them."""
    bench = Bench(noise=1e-4, polynomial=POLYNOMIAL)
    (tmp_path / "mic.txt").write_text("20 0\n4000 0\n8000 -12\n24000 -12\n", encoding="utf-8")
    plain = measured(tmp_path, bench=bench)
    told = measured(tmp_path, CASE.replace("loopback = 2", 'loopback = 2\ncalibration = "mic.txt"'),
                    bench)  # fmt: skip
    high = (plain.frequency.values > 8100) & (plain.frequency.values < 20_000)
    for name in ("response", "noise"):
        apart = 20 * np.log10(np.abs(told[name].values / plain[name].values))[:, high]
        assert apart == pytest.approx(12.0, abs=0.01)
    # The second harmonic of 4.5 to 9 kHz is heard by 12 dB less, its fundamental by less than that.
    frequency = plain.frequency.values
    for name in ("harmonic", "harmonic_noise"):
        apart = (told[name] - plain[name]).sel(order=2).values
        some = np.isfinite(apart[0]) & (frequency < 3900)
        heard = 12 * np.clip(np.log2(2 * frequency[some] / 4000), 0, 1)
        assert np.count_nonzero(heard > 1) > 5
        assert apart[0, some] == pytest.approx(heard, abs=0.1)


def test_the_microphone_stands_where_the_case_says(tmp_path):
    case = read_case(bench_case(tmp_path, CASE.replace('far = "woofer.wav"',
                                                       'far = "woofer.wav"\nat = "driver"\n'
                                                       'distance = "50 cm"')))  # fmt: skip
    tweeter, woofer = (place_of(case, each) for each in case.measurement.drivers)
    # Before the reference point, which is the tweeter's centre; and before the woofer's.
    assert tweeter.microphone == pytest.approx([0, 0.125, 1.0])
    assert woofer.microphone == pytest.approx([0, -0.02, 0.5])
    assert woofer.distance == pytest.approx(0.5)
    assert woofer.expected == pytest.approx((0.5 + 0.018) / 343.2)
    # The woofer's centre is 1.37 m above the floor: √(0.5² + 2.74²) less 0.5.
    assert woofer.extra_path["floor"] == pytest.approx(np.hypot(0.5, 2.74) - 0.5)


def test_a_wall_through_the_cabinet_is_told_at_its_key(tmp_path):
    text = CASE.replace("[measurement.drivers.tweeter]", (
        '[measurement.surfaces]\nceiling = "1.3 m"\n\n[measurement.drivers.tweeter]'
    ))  # fmt: skip
    with pytest.raises(CaseError, match=r"measurement\.surfaces: .*beyond the ceiling"):
        measured(tmp_path, text)
