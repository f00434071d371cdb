"""What makes a driver a resistance: circuit identities, and fits of known circuits."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.network_model import Element
from acoustics.conventions import RoundoverError
from acoustics.crossover.compensation import (
    Peak,
    attenuator,
    coil_compensation,
    fitted_coil_compensation,
    fitted_peak,
    read_peak,
    resonance_compensation,
)
from acoustics.crossover.network import solve_network
from acoustics.driver import SmallSignal, VoiceCoil, coil_impedance

F = np.geomspace(10.0, 40_000.0, 300)
SIGNAL = SmallSignal(
    dc_resistance=5.4,
    force_factor=3.1,
    moving_mass=0.45e-3,
    compliance=1.1e-4,
    mechanical_resistance=0.6,
    effective_area=7e-4,
)


def seen(elements, impedance, frequency=F):
    return solve_network([elements], 1 / impedance[None, None], frequency).input_impedance


def moving(signal, frequency=F):
    """R_e + (Bl)²/(jωM + R_MS + 1/(jωC_MS)): a driver whose coil has no inductance."""
    s = 2j * np.pi * frequency
    held = s * signal.moving_mass + signal.mechanical_resistance + 1 / (s * signal.compliance)
    return signal.dc_resistance + signal.force_factor**2 / held


@pytest.mark.parametrize(
    ("load", "decibels", "series", "across"),
    [(8.0, 3.0, 2.33643372, 19.3921744), (4.0, 6.0, 1.99525107, 4.01904095)],
)
def test_an_attenuator_weakens_and_leaves_the_impedance(load, decibels, series, across):
    """The first pair worked out by hand from R(1 − k) and Rk/(1 − k); then as a circuit."""
    pad = attenuator(decibels, load)
    assert [element.place for element in pad] == ["series", "across"]
    assert [element.resistor for element in pad] == pytest.approx([series, across], rel=1e-8)
    f = np.array([1000.0])
    found = solve_network([pad], np.full((1, 1, 1), 1 / load + 0j), f)
    assert 20 * np.log10(abs(found.transfer[0, 0])) == pytest.approx(-decibels, abs=1e-9)
    assert found.input_impedance[0] == pytest.approx(load, rel=1e-12)


def test_an_attenuator_must_weaken():
    with pytest.raises(RoundoverError, match="leave it out"):
        attenuator(0.0, 8.0)


def test_a_coil_becomes_a_resistance():
    resistance, inductance = 5.6, 0.42e-3
    element = coil_compensation(resistance, inductance)
    coil = resistance + 2j * np.pi * F * inductance
    np.testing.assert_allclose(seen([element], coil), resistance, rtol=1e-9, atol=1e-9)


def test_a_resonance_becomes_a_resistance():
    peak = Peak.of(SIGNAL)
    np.testing.assert_allclose(peak.impedance(F), moving(SIGNAL), rtol=1e-12)
    element = resonance_compensation(peak)
    found = seen([element], moving(SIGNAL))
    np.testing.assert_allclose(found, SIGNAL.dc_resistance, rtol=1e-9, atol=1e-9)
    # In the driver's own parameters: R_e + R_e² R_MS/(Bl)², R_e² M/(Bl)², C_MS (Bl)²/R_e²
    squared = (SIGNAL.dc_resistance / SIGNAL.force_factor) ** 2
    resistor = SIGNAL.dc_resistance + squared * SIGNAL.mechanical_resistance
    assert element.resistor == pytest.approx(resistor, rel=1e-12)
    assert element.inductor == pytest.approx(squared * SIGNAL.moving_mass, rel=1e-12)
    assert element.capacitor == pytest.approx(SIGNAL.compliance / squared, rel=1e-12)


def test_both_leave_next_to_nothing_where_they_are_far_apart():
    """The exact dual of both would be one branch; two are off where both matter at once.

    What they leave is of the second order: ω_r L/R_e, here 0.005, times what the movement adds.
    """
    inductance = 6e-6
    driver = moving(SIGNAL) + 2j * np.pi * F * inductance
    both = [
        resonance_compensation(Peak.of(SIGNAL)),
        coil_compensation(SIGNAL.dc_resistance, inductance),
    ]
    alone = np.abs(driver / SIGNAL.dc_resistance - 1).max()
    left = np.abs(seen(both, driver) / SIGNAL.dc_resistance - 1).max()
    assert alone > 0.3
    assert left < 0.02


def test_the_fit_finds_the_exact_compensation():
    coil = 5.6 + 2j * np.pi * F * 0.42e-3
    element = fitted_coil_compensation(F, coil, (100.0, 20_000.0), flat=5.6)
    assert element.resistor == pytest.approx(5.6, rel=1e-6)
    assert element.capacitor == pytest.approx(0.42e-3 / 5.6**2, rel=1e-6)


def test_the_fit_beats_the_formula_at_a_real_coil():
    """One with a semi-inductance, which no R and C flatten altogether."""
    driver = 5.6 + coil_impedance(VoiceCoil(inductance=5e-5, semi_inductance=0.02), F)
    band = (500.0, 10_000.0)
    inside = (band[0] <= F) & (band[1] >= F)
    flat = np.abs(driver[inside]).min()

    def ripple(elements):
        return np.ptp(np.log(np.abs(seen(elements, driver)[inside])))

    fitted = fitted_coil_compensation(F, driver, band)
    top = driver[inside][-1].imag / (2 * np.pi * F[inside][-1])
    common = coil_compensation(1.25 * 5.6, top * 1.25**2)  # C = L/R_e², R = 1.25 R_e
    assert common.resistor == pytest.approx(7.0)
    assert common.capacitor == pytest.approx(top / 5.6**2)
    assert ripple([fitted]) < ripple([common]) < ripple([])
    # It is where least squares says: no neighbour is better.
    s = 2j * np.pi * F[inside]
    weight = np.gradient(np.log(F[inside]))

    def error(resistor, capacitor):
        total = 1 / (1 / driver[inside] + 1 / (resistor + 1 / (s * capacitor)))
        return (weight * np.abs(np.log(total / flat)) ** 2).sum()

    best = error(fitted.resistor, fitted.capacitor)
    for step in (0.99, 1.01):
        assert error(step * fitted.resistor, fitted.capacitor) > best
        assert error(fitted.resistor, step * fitted.capacitor) > best


def test_what_does_not_rise_is_left_alone():
    band = (2000.0, 20_000.0)
    assert fitted_coil_compensation(F, np.full(F.size, 8.0 + 0j), band) is None
    assert fitted_coil_compensation(F, moving(SIGNAL), band) is None  # a capacitance up there


@pytest.mark.parametrize("inductance", [0.0, 2e-5])
def test_a_peak_is_found_in_a_table(inductance):
    driver = moving(SIGNAL) + 2j * np.pi * F * inductance
    found = fitted_peak(F, driver, (150.0, 5000.0))
    expected = Peak.of(SIGNAL)
    for name in ("dc_resistance", "resonance", "mechanical_q", "electrical_q"):
        assert getattr(found, name) == pytest.approx(getattr(expected, name), rel=1e-4)


def test_a_peak_is_found_beside_a_large_coil():
    """A midrange whose coil has as much reactance at the resonance as resistance."""
    peak = Peak(dc_resistance=4.5, resonance=730.0, mechanical_q=1.5, electrical_q=1.7)
    impedance = peak.impedance(F) + 2j * np.pi * F * 0.93e-3
    found = fitted_peak(F, impedance, (365.0, 1460.0))
    assert found.resonance == pytest.approx(730.0, rel=1e-4)
    assert found.mechanical_q == pytest.approx(1.5, rel=1e-3)
    assert found.electrical_q == pytest.approx(1.7, rel=1e-3)
    assert found.dc_resistance == pytest.approx(4.5, rel=1e-3)


def test_a_narrow_band_is_told():
    with pytest.raises(RoundoverError, match="0 frequencies between 1 Hz and 2 Hz"):
        fitted_peak(F, moving(SIGNAL), (1.0, 2.0))


def test_elements_stand_across():
    elements = (coil_compensation(6.0, 1e-3), resonance_compensation(Peak.of(SIGNAL)))
    assert {element.place for element in elements} == {"across"}
    assert {element.joined for element in elements} == {"one after the other"}
    assert elements[0] == Element("across", resistor=6.0, capacitor=pytest.approx(1e-3 / 36))


def test_a_peak_is_read_off_a_curve_by_its_height_and_width():
    """Small 1972: f_r √(R_max/R_e)/Q_M wide where |Z| is √(R_max R_e); here R_max/R_e = 4."""
    peak = Peak(dc_resistance=5.0, resonance=60.0, mechanical_q=4.5, electrical_q=1.5)
    fine = 60.0 * np.geomspace(0.02, 50.0, 20_001)
    read = read_peak(fine, np.abs(peak.impedance(fine)))
    assert read.dc_resistance == pytest.approx(5.0, rel=1e-3)
    assert read.resonance == pytest.approx(60.0, rel=1e-3)
    assert read.mechanical_q == pytest.approx(4.5, rel=5e-3)
    assert read.electrical_q == pytest.approx(1.5, rel=5e-3)


def test_what_is_hardly_a_peak_is_read_as_something_to_begin_with():
    """No peak: a twentieth of R_e high and as wide as its frequency. One point: a fiftieth wide."""
    frequency = np.array([50.0, 100.0, 200.0, 400.0])
    flat = read_peak(frequency, np.full(4, 8.0))
    assert (flat.dc_resistance, flat.mechanical_q) == pytest.approx((8.0, np.sqrt(1.05)))
    assert flat.electrical_q == pytest.approx(np.sqrt(1.05) / 0.05)
    point = read_peak(frequency, np.array([4.0, 4.0, 36.0, 4.0]))
    assert (point.resonance, point.mechanical_q) == pytest.approx((200.0, 3.0 / 0.02))
    assert point.electrical_q == pytest.approx(3.0 / 0.02 / 8)
    # 5 ohm of 4 are above √(1.44·1) times 4 at two points, 50 Hz apart: half of the resonance.
    wide = read_peak(frequency, np.array([5.0, 5.76, 4.0, 4.0]))
    assert wide.mechanical_q == pytest.approx(1.2 / 0.5)
    assert wide.electrical_q == pytest.approx(1.2 / 0.5 / 0.44)


def test_a_hundredth_of_reactance_at_the_top_is_where_a_coil_begins():
    """Of the level, 8 ohm, in the last row of the band; what comes before and after is free."""
    frequency = np.array([500.0, 1000.0, 2000.0, 4000.0])
    band = (500.0, 2000.0)
    for reactances, done in (
        ((0.0, 0.0, 0.0799, 9.0), False),
        ((0.0, 0.0, 0.08, 0.0), True),
        ((0.09, 0.09, 0.0, 0.0), False),
        ((-0.1, -0.1, 0.0801, 0.0), True),
        ((0.0, 0.0, -0.2, 0.0), False),
    ):
        impedance = np.array([8.0, 9.0, 8.0, 8.0]) + 1j * np.array(reactances)
        impedance[0] = 8.0 if reactances[0] == 0.0 else impedance[0]
        found = fitted_coil_compensation(frequency, impedance, band, flat=8.0)
        assert (found is not None) == done
    # The level is the lowest |Z| of the band where none is given: 4 ohm, of which 0.05 is enough.
    impedance = np.array([8.0, 4.0, 8.0 + 0.05j, 1.0])
    assert fitted_coil_compensation(frequency, impedance, band) is not None
    assert fitted_coil_compensation(frequency, impedance, band, flat=8.0) is None


def test_three_frequencies_are_enough_and_the_ends_of_a_band_count():
    coil = 6.0 + 2j * np.pi * F * 0.3e-3
    three = fitted_coil_compensation(F, coil, (F[100], F[102]), flat=6.0)
    assert three.resistor == pytest.approx(6.0, rel=1e-6)
    assert three.capacitor == pytest.approx(0.3e-3 / 36, rel=1e-6)
    with pytest.raises(RoundoverError, match=r"known at 2 frequencies between .* at least 3"):
        fitted_coil_compensation(F, coil, (F[100], F[101]), flat=6.0)
    with pytest.raises(RoundoverError, match="known at 2 frequencies"):
        fitted_coil_compensation(F, coil, (F[100], np.nextafter(F[102], 0)), flat=6.0)
    with pytest.raises(RoundoverError, match="known at 2 frequencies"):
        fitted_coil_compensation(F, coil, (np.nextafter(F[100], 1e6), F[102]), flat=6.0)


def test_every_octave_has_the_same_weight():
    """Two octaves with a tenth of the frequencies of two others: it is as on an even grid."""
    driver = 5.6 + coil_impedance(VoiceCoil(inductance=5e-5, semi_inductance=0.02), F)
    even = np.geomspace(500.0, 8000.0, 1601)
    crowded = np.concatenate([even[:800:10], even[800:]])
    found = []
    for frequency in (even, crowded):
        own = np.interp(frequency, F, driver.real) + 1j * np.interp(frequency, F, driver.imag)
        found.append(fitted_coil_compensation(frequency, own, (500.0, 8000.0)))
    assert found[1].resistor == pytest.approx(found[0].resistor, rel=2e-3)
    assert found[1].capacitor == pytest.approx(found[0].capacitor, rel=2e-3)


def test_an_attenuator_of_less_than_a_decibel():
    """k = 10^(−0.5/20) = 0.944061."""
    series, across = attenuator(0.5, 8.0)
    assert series.resistor == pytest.approx(8.0 * 0.0559391, rel=1e-5)
    assert across.resistor == pytest.approx(8.0 * 0.944061 / 0.0559391, rel=1e-5)
