"""Figures of a driver in its box from impedances whose circuit is known, with noise."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.driver import VoiceCoil, coil_impedance
from acoustics.measurement.tuning import Given, fit_tuning
from support.circuits import circuit_impedance

FREQUENCY = 1000.0 * 2.0 ** (np.arange(-7 * 48, 4 * 48) / 48)
NOISE = 0.01
DRAWS = 120


def drawn(kind, seed):
    """Anything from a small midrange to a large woofer, in boxes small to large."""
    rng = np.random.default_rng(seed)
    own = {
        "resonance": rng.uniform(25, 90),
        "mechanical_q": rng.uniform(2, 9),
        "electrical_q": rng.uniform(0.3, 0.9),
        "dc_resistance": rng.uniform(3, 7),
        "inductance": rng.uniform(0.05e-3, 0.3e-3),
        "semi_inductance": rng.uniform(0.01, 0.04),
    }
    if kind != "closed":
        own |= {
            "compliance_ratio": rng.uniform(0.5, 4),
            "tuning": own["resonance"] * rng.uniform(0.7, 1.4),
            "leakage_q": rng.uniform(5, 20),
        }
    return own


def two_poles(kind, own, frequency, passive_ratio=1.5, passive_q=8.0):
    """The electrical circuit at the terminals: every mass a capacitor, every spring a coil.

    Small, J. Audio Eng. Soc. 20 (1972) 383, fig. 4; 21 (1973) 363, fig. 3; 22 (1974) 592; from
    memory. The box's branch is the dual of volume velocity that the air takes up.
    """
    s = 2j * np.pi * frequency
    ws = 2 * np.pi * own["resonance"]
    motor = own["dc_resistance"] / own["electrical_q"]
    coil = VoiceCoil(inductance=own["inductance"], semi_inductance=None)
    resistance = own["dc_resistance"] + coil_impedance(coil, frequency)
    parts = [
        (resistance + own["semi_inductance"] * np.sqrt(s), "in", "motion"),
        (motor * ws / s, "motion", "return"),
        (motor * s / ws, "motion", "return"),
        (np.full(s.shape, motor * own["mechanical_q"], dtype=complex), "motion", "return"),
    ]
    if kind == "closed":
        return parts
    # A pressure is a current here: the box is coil, port and leak in series.
    wb = 2 * np.pi * own["tuning"]
    unit = motor * wb / (own["compliance_ratio"] * ws)
    parts += [
        (unit * s / wb, "motion", "b1"),
        (np.full(s.shape, unit / own["leakage_q"], dtype=complex), "b1", "b2"),
    ]
    if kind == "vented":
        return [*parts, (unit * wb / s, "b2", "return")]
    mass = 1 + 1 / passive_ratio
    loss = mass / np.sqrt(1 + passive_ratio) / passive_q
    return [
        *parts,
        (unit * wb / (mass * s), "b2", "return"),
        (np.full(s.shape, unit / loss, dtype=complex), "b2", "return"),
        (unit * passive_ratio * s / wb, "b2", "return"),
    ]


def impedance_of(kind, own, frequency=FREQUENCY):
    """By scikit-rf; no load, so an open one stands in."""
    open_end = np.full((1, 1, frequency.size), 1e-12, dtype=complex)
    parts = two_poles(kind, own, frequency)
    ends = [("motion", "return")]
    return circuit_impedance(frequency, parts, ends, open_end, ["in"])[:, 0, 0]


def noisy(impedance, seed):
    both = np.random.default_rng(seed).standard_normal((2, impedance.size))
    return impedance * np.exp(NOISE * (both[0] + 1j * both[1]))


def given_for(kind):
    return Given(passive_ratio=1.5, passive_q=8.0) if kind == "passive radiator" else Given()


def truth_of(kind, own):
    truth = {name: own[name] for name in ("mechanical_q", "electrical_q", "dc_resistance")}
    truth["total_q"] = 1 / (1 / own["mechanical_q"] + 1 / own["electrical_q"])
    if kind == "closed":
        return {**truth, "tuning": own["resonance"]}
    names = ("tuning", "compliance_ratio", "leakage_q")
    return {**truth, "driver_resonance": own["resonance"], **{name: own[name] for name in names}}


@pytest.mark.parametrize("kind", ["closed", "vented", "passive radiator"])
def test_without_noise_a_circuit_library_s_figures_come_back(kind):
    own = drawn(kind, 5)
    fit = fit_tuning(FREQUENCY, impedance_of(kind, own), kind, given=given_for(kind))
    for name, true in truth_of(kind, own).items():
        assert fit.figures[name].value == pytest.approx(true, rel=1e-6), name
    assert fit.figures["inductance"].value == pytest.approx(own["inductance"], rel=1e-4)
    assert fit.figures["semi_inductance"].value == pytest.approx(own["semi_inductance"], rel=1e-4)
    assert fit.misfit < 1e-7


WITHIN = {
    ("closed", True): {"tuning": 0.002, "total_q": 0.01, "electrical_q": 0.01},
    ("closed", False): {"tuning": 0.003, "total_q": 0.03},
    ("vented", True): {"tuning": 0.004, "driver_resonance": 0.005, "total_q": 0.01},
    ("vented", False): {"tuning": 0.005, "driver_resonance": 0.005, "total_q": 0.015},
    ("passive radiator", True): {"tuning": 0.004, "total_q": 0.01, "electrical_q": 0.01},
}
"""What 95 % of the draws must stay within."""


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "has_phase"), WITHIN)
def test_with_noise_figures_are_as_sure_as_they_say(kind, has_phase):
    """Deviations over stated standard deviations are standard normal, as Cramér and Rao allow.

    The curvature at the optimum is Fisher's information; no unbiased estimate does better.
    """
    apart, ratios = {}, {}
    for seed in range(DRAWS):
        own = drawn(kind, seed)
        seen = noisy(impedance_of(kind, own), 1000 + seed)
        fit = fit_tuning(
            FREQUENCY,
            seen if has_phase else np.abs(seen),
            kind,
            has_phase=has_phase,
            given=given_for(kind),
        )
        assert not fit.reason, (seed, fit.reason)
        for name, true in truth_of(kind, own).items():
            figure = fit.figures[name]
            if not figure.reason:
                apart.setdefault(name, []).append(abs(figure.value / true - 1))
                ratios.setdefault(name, []).append((figure.value - true) / figure.uncertainty)
    for name, most in WITHIN[kind, has_phase].items():
        assert np.percentile(apart[name], 95) < most, name
    for name, each in ratios.items():
        assert len(each) > 0.95 * DRAWS, name
        assert 0.8 < np.sqrt(np.mean(np.square(each))) < 1.25, name


def test_three_frequencies_of_a_lossless_vented_box():
    """f_L² + f_H² = f_b² + (1 + α) f_s² and f_L f_H = f_s f_b; |Z| is least at f_b.

    Thiele, J. Audio Eng. Soc. 19 (1971) 471; Small 21 (1973) 363; from memory.
    """
    own = {
        "resonance": 40.0,
        "mechanical_q": 60.0,
        "electrical_q": 0.4,
        "dc_resistance": 5.7,
        "inductance": 0.0,
        "semi_inductance": 0.0,
        "compliance_ratio": 1.4,
        "tuning": 42.0,
        "leakage_q": 1e6,
    }
    frequency = 10.0 * 2.0 ** (np.arange(96 * 6) / 96)
    fit = fit_tuning(frequency, impedance_of("vented", own, frequency), "vented")
    low, dip, high = (fit.figures[n].value for n in ("lower_peak", "minimum", "upper_peak"))
    assert low * high == pytest.approx(40.0 * 42.0, rel=2e-3)
    assert low**2 + high**2 == pytest.approx(42.0**2 + 2.4 * 40.0**2, rel=2e-3)
    assert dip == pytest.approx(42.0, rel=2e-3)
    assert fit.figures["box_stiffness"].value == pytest.approx(40 * np.sqrt(1.4), rel=1e-3)
    assert "too small" in fit.figures["leakage_q"].reason


def test_what_cannot_be_told_has_a_reason():
    own = drawn("vented", 3)
    seen = noisy(impedance_of("vented", own), 3)
    flat = noisy(np.full(FREQUENCY.size, 6.0 + 0j), 4)
    assert "no peak" in fit_tuning(FREQUENCY, flat, "closed").reason
    assert "too few" in fit_tuning(FREQUENCY[::60], seen[::60], "vented").reason
    high = 1.2 * own["tuning"] < FREQUENCY
    assert "only one" in fit_tuning(FREQUENCY[high], seen[high], "vented").reason
    wrong = fit_tuning(FREQUENCY, seen, "closed")
    assert "off by" in wrong.reason
    assert np.isnan(wrong.figures["tuning"].value)


def test_a_lower_peak_below_the_band_does_not_hide_the_tuning():
    own = {**drawn("vented", 3), "resonance": 30.0, "tuning": 32.0, "compliance_ratio": 1.0}
    kept = FREQUENCY > 21.5
    seen = noisy(impedance_of("vented", own), 8)
    fit = fit_tuning(FREQUENCY[kept], seen[kept], "vented")
    assert "below what was measured" in fit.figures["lower_peak"].reason
    assert fit.figures["tuning"].value == pytest.approx(32.0, rel=0.01)
