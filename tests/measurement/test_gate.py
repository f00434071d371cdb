"""Gates against sums in closed form, and reflections against geometry by hand."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.conventions import RoundoverError
from acoustics.measurement.gate import (
    Gate,
    gated,
    noise_weight,
    removed,
    removed_share,
    suggested_gate,
)
from acoustics.measurement.impulse import Impulse, impulse_of, transfer
from acoustics.measurement.recording import Recording
from acoustics.measurement.reflections import (
    explained,
    first_reflection,
    visible_reflection,
)
from support.impulses import RATE, impulse

FREQUENCY = np.geomspace(100.0, 20_000.0, 200)
SPEED = 343.0


def test_the_transform_is_exact_at_any_frequency():
    # Σ aⁿ·exp(−jωn/fs) over N samples: (1 − aᴺ·exp(−jωN/fs))/(1 − a·exp(−jω/fs)).
    share, count, start = 0.98, 777, 3.3e-3
    response = Impulse(share ** np.arange(count), RATE, start)
    turn = np.exp(-2j * np.pi * FREQUENCY / RATE)
    expected = (1 - (share * turn) ** count) / (1 - share * turn)
    reference = 1.1e-3
    expected = expected * np.exp(-2j * np.pi * FREQUENCY * (start - reference))
    assert transfer(response, FREQUENCY, reference) == pytest.approx(expected, abs=1e-10)


def test_the_transform_is_the_fast_one_at_its_frequencies():
    samples = np.random.default_rng(3).standard_normal(1000)
    bins = np.fft.rfftfreq(1000, 1 / RATE)
    assert transfer(Impulse(samples, RATE), bins) == pytest.approx(np.fft.rfft(samples), abs=1e-9)


@pytest.mark.parametrize(
    ("fade", "mean", "half_way"),
    [
        # Means and middles of the right halves: Hann ½, ½; Blackman-Harris a₀ and a₀ − a₂.
        ("hann", 0.5, 0.5),
        ("blackman-harris", 0.35875, 0.35875 - 0.14128),
        ("none", 1.0, 1.0),
    ],
)
def test_shapes_of_fades(fade, mean, half_way):
    gate = Gate(-1e-3, 0.0, 0.0, 5e-3, arrival=0.0, fade=fade)
    assert gate.effective_length == pytest.approx(mean * 5e-3, rel=1e-4)
    assert gate.resolution == pytest.approx(200 / mean, rel=1e-4)
    assert gate.lowest_frequency == pytest.approx(200)
    weights = gate.weights(np.array([-2e-3, -0.5e-3, 0.0, 2.5e-3, 6e-3]))
    assert weights == pytest.approx([0, half_way, 1, half_way, 0])


def test_right_halves_are_scipys_windows():
    time = np.arange(129) / 128
    for fade, name in (("hann", "hann"), ("blackman-harris", "blackmanharris")):
        gate = Gate(0.0, 0.0, 0.0, 1.0, arrival=0.0, fade=fade)
        assert gate.weights(time) == pytest.approx(ss.get_window(name, 257, False)[128:], abs=1e-12)
    # with a plateau it is a Tukey window
    gate = Gate(0.0, 0.25, 0.75, 1.0, arrival=0.5)
    assert gate.weights(time) == pytest.approx(ss.windows.tukey(129, 0.5), abs=1e-12)


def test_the_gate_takes_a_reflection_away_and_says_so():
    # Direct sound at 5 ms and −0.6 of it 6 ms later: |1 − 0.6·exp(−jω·6 ms)| without the gate.
    direct, late, share = 5.2e-3, 6e-3, -0.6
    pair = Impulse(
        impulse(direct).samples + share * impulse(direct + late).samples, RATE, start=0.0
    )
    gate = suggested_gate(direct, [late * SPEED, 5.0], SPEED)
    assert gate.stop == pytest.approx(direct + late)
    assert gate.lowest_frequency == pytest.approx(1 / late)
    inside = FREQUENCY < 0.85 * RATE / 2
    # 5e-3: the converters' filter rings into the reflection's time and beyond the gate's start.
    assert np.abs(gated(pair, gate, FREQUENCY[inside]) - 1) == pytest.approx(0, abs=5e-3)
    comb = 1 + share * np.exp(-2j * np.pi * FREQUENCY[inside] * late)
    moved = removed(pair, gate, FREQUENCY[inside])
    assert moved == pytest.approx(-20 * np.log10(np.abs(comb)), abs=0.1)
    assert removed_share(pair, gate) == pytest.approx(0.36 / 1.36, abs=2e-3)
    flight = gated(pair, gate, FREQUENCY[inside], reference=0.0)
    expected = np.exp(-2j * np.pi * FREQUENCY[inside] * direct)
    assert flight == pytest.approx(expected, abs=5e-3)


def test_white_noise_under_a_gate_adds_up_to_the_sum_of_its_squares():
    gate = Gate(0.0, 1e-3, 3e-3, 8e-3, arrival=2e-3)
    random = np.random.default_rng(7)
    tones = np.array([2000.0, 5000.0, 9000.0])
    powers = [
        np.abs(gated(Impulse(random.standard_normal(512), RATE), gate, tones)) ** 2
        for _ in range(400)
    ]
    weight = noise_weight(Impulse(np.ones(512), RATE), gate)
    # Powers of one noise scatter by themselves: 1/√1200 is 3 %.
    assert np.mean(powers) == pytest.approx(weight, rel=0.1)


def test_extra_paths_by_hand():
    # Pythagoras, 3-4-5: 3 m apart, both 2 m up: over the floor 5 m, so 2 m more.
    extra = first_reflection(
        3.0,
        2.0,
        2.0,
        {"floor": 0.0, "ceiling": 4.0, "right wall": 2.0, "front wall": 0.5, "rear wall": 0.75},
    )
    assert extra == pytest.approx(
        {"front wall": 1.0, "rear wall": 1.5, "floor": 2.0, "ceiling": 2.0, "right wall": 2.0}
    )
    assert next(iter(extra)) == "front wall"
    # Microphone 0.6 m above the source, 1 m away in a straight line: 0.8 m along, 2.6 m to the
    # image under the floor.
    lifted = first_reflection(1.0, 1.0, 1.6, {"floor": 0.0})
    assert lifted["floor"] == pytest.approx(np.hypot(0.8, 2.6) - 1)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((1.0, 1.0, 2.5, {"floor": 0.0}), "in a straight line"),
        ((1.0, 1.0, 1.0, {"roof": 3.0}), "'roof' is no surface"),
        ((1.0, 1.0, 2.4, {"ceiling": 2.3}), "straight line"),
        ((2.0, 1.0, 2.4, {"ceiling": 2.3}), "beyond the ceiling"),
    ],
)
def test_impossible_places_are_refused(arguments, words):
    with pytest.raises(RoundoverError, match=words):
        first_reflection(*arguments)


@pytest.mark.parametrize("height", [0.9, 1.2])
def test_the_floor_is_seen_and_explained(height):
    driver = ss.butter(2, 2 * np.pi * np.array([80.0, 15_000.0]), "band", analog=True)
    arrival = 1.0 / SPEED + 0.01
    extra = first_reflection(1.0, height, height, {"floor": 0.0, "ceiling": 2.5})
    floor = extra["floor"] / SPEED
    far = 1.0 / (1.0 + extra["floor"])
    ideal = impulse(arrival, driver, noise=1e-4)
    room = Impulse(ideal.samples + far * impulse(arrival + floor, driver).samples, RATE)
    seen = visible_reflection(room, arrival, noise=1e-4 * np.abs(ideal.samples).max())
    assert seen is not None
    assert seen.time - arrival == pytest.approx(floor, abs=0.3e-3)
    assert seen.level == pytest.approx(20 * np.log10(far), abs=1.5)
    assert seen.rise > 6
    assert explained(seen, arrival, extra, SPEED) == "floor"
    assert explained(seen, arrival, {"ceiling": 3 * extra["floor"]}, SPEED) is None
    alone = visible_reflection(ideal, arrival, noise=1e-4 * np.abs(ideal.samples).max())
    assert alone is None


@pytest.mark.parametrize(
    ("gate", "words"),
    [
        ((0.0, 2.0, 1.0, 3.0, 2.0), "must ascend"),
        ((0.0, 1.0, 2.0, 3.0, 4.0), "move the gate"),
        ((0.0, 1.0, 2.0, 3.0, 1.0, "square"), "no shape of a fade"),
    ],
)
def test_impossible_gates_are_refused(gate, words):
    with pytest.raises(RoundoverError, match=words):
        Gate(*gate)


def test_no_reflection_no_gate():
    with pytest.raises(RoundoverError, match="name the floor"):
        suggested_gate(0.0, [], SPEED)


def test_an_impulse_from_a_file_keeps_its_time():
    start = np.array([0.0, 2e-3])
    two = Recording(np.eye(2, 64), RATE, "pair.txt", None, start)
    second = impulse_of(two, 2)
    assert (second.start, second.sampling_rate) == (2e-3, RATE)
    assert second.samples.tolist() == np.eye(2, 64)[1].tolist()
    with pytest.raises(RoundoverError, match="channel 3"):
        impulse_of(two, 3)
