"""Where a passive crossover starts: textbook ladders beside what drivers need."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case import read_case
from acoustics.case.design.fit_model import Fit
from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.model import Biquad, Branch, FrequencyGrid, PassFilter
from acoustics.conventions import RoundoverError
from acoustics.crossover.pass_filter import pass_response
from acoustics.crossover.textbook import band_pass_gain
from acoustics.prediction import predict
from acoustics.studies.crossover_start.study import starting_points
from support.cases import CASES, make_case, make_driver, pass_branch
from support.free_field import solve_baffled_piston, solve_free_field

GRID = FrequencyGrid(100.0, 16_000.0, 12)
R = 6.0
WOOFER = make_driver(
    "woofer", -0.06, piston_diameter=0.12, frame_diameter=0.16, rated_impedance=R, sensitivity=88.0
)
TWEETER = make_driver("tweeter", 0.11, frame_diameter=0.07, rated_impedance=R, sensitivity=93.0)

BIQUAD = Biquad((1.0, 0.0, 0.0), (1.0, 0.0, 0.0))


def two_way(*crossover, **changes):
    """Resistances in free space: as loud at every frequency."""
    given = {"frequencies": GRID, "arc_step": 10.0, "crossover": crossover, **changes}
    return make_case((WOOFER, TWEETER), **given)


def started(case, solve=solve_free_field):
    found = starting_points(case, solve=solve)
    return found, {start.slopes.driver: start for start in found.drivers}


def ladder(start, alignment, order, treatment="straight"):
    return next(
        each
        for each in start.ladders
        if (each.alignment, each.order, each.treatment) == (alignment, order, treatment)
    )


def with_a_baffle_step(body, pistons, receivers, frequency, **how):
    """Free space to half space, 6 dB, as a shelf: (1 + 2jf/f₀)/(1 + jf/f₀)."""
    field = solve_free_field(body, pistons, receivers, frequency, **how)
    return field * step(np.asarray(frequency))[None, :, None]


def step(frequency):
    return (1 + 2j * frequency / 500.0) / (1 + 1j * frequency / 500.0)


def test_a_textbook_ladder_is_what_a_resistance_needs():
    """No sections stated: Linkwitz-Riley of order 4, the level the woofer's own."""
    found, by_name = started(two_way(fit=Fit(crossovers=((1500.0, 3375.0),))))
    middle = np.sqrt(1500.0 * 3375.0)
    for name, kind in (("woofer", "low-pass"), ("tweeter", "high-pass")):
        start = by_name[name]
        assert (start.slopes.kind, start.slopes.asked) == (kind, (("linkwitz-riley", 4),))
        assert start.slopes.corners == pytest.approx((middle,))
        assert start.compensation == ()
        for treatment in ("straight", "compensated"):
            assert abs(ladder(start, "linkwitz-riley", 4, treatment).deviation) < 1e-6
    # The tweeter 5 dB more sensitive, and nearer to the reference point than the woofer.
    nearer = 10 * np.log10(1 + 0.17**2 / 2.0**2)
    assert by_name["tweeter"].attenuation == pytest.approx(5.0 + nearer, abs=1e-9)
    assert by_name["woofer"].attenuation is None
    # 88 dB into half space is 82 into free space.
    assert by_name["woofer"].level == pytest.approx(88.0 - 20 * np.log10(2) - nearer, abs=0.01)
    # Attenuator: R(1 − k) and Rk/(1 − k).
    k = 10 ** (-by_name["tweeter"].attenuation / 20)
    series, across = ladder(by_name["tweeter"], "butterworth", 3).attenuator
    assert series.resistor == pytest.approx(R * (1 - k))
    assert across.resistor == pytest.approx(R * k / (1 - k))
    assert found.dataset.slopes.values.tolist() == [
        "linkwitz-riley 2",
        "butterworth 3",
        "linkwitz-riley 4",
    ]


def test_other_orders_are_off_by_what_their_alignments_differ():
    corner = 2000.0
    case = two_way(
        pass_branch("woofer", "low-pass", corner, slopes="acoustic", level=80.0),
        pass_branch("tweeter", "high-pass", corner, slopes="acoustic", level=80.0),
    )
    found, by_name = started(case)
    own = ladder(by_name["tweeter"], "linkwitz-riley", 4)
    assert abs(own.deviation) < 1e-6
    third = ladder(by_name["tweeter"], "butterworth", 3)
    f = found.frequency[(found.frequency > 999.0) & (found.frequency < 4001.0)]
    # |H|² = x⁶/(1 + x⁶), and of Linkwitz-Riley x⁸/(1 + x⁴)², x = f/corner.
    x = f / corner
    apart = 10 * np.log10(x**6 / (1 + x**6) * (1 + x**4) ** 2 / x**8)
    assert third.deviation == pytest.approx(apart.max())
    assert third.where == pytest.approx(f[apart.argmax()])
    assert abs(third.of_load) < 1e-9
    # The woofer has no attenuator: it is off by its own level over the one asked for.
    woofer = by_name["woofer"]
    assert ladder(woofer, "linkwitz-riley", 4).deviation == pytest.approx(woofer.own - 80.0)


def test_values_of_second_order():
    """H = 1/(1 + s/ω)² and 1/(1 + √2 s/ω + s²/ω²) into R: L = 2R/ω, C = 1/(2ωR), and so on."""
    corner = 2500.0
    w = 2 * np.pi * corner
    for alignment, twice in (("linkwitz-riley", 2.0), ("butterworth", np.sqrt(2))):
        case = two_way(
            pass_branch(
                "woofer", "low-pass", corner, alignment=alignment, slopes="acoustic", level=80.0
            ),
            pass_branch(
                "tweeter", "high-pass", corner, alignment=alignment, slopes="acoustic", level=80.0
            ),
        )
        _, by_name = started(case)
        low = ladder(by_name["woofer"], alignment, 2).sections
        assert [each.place for each in low] == ["series", "across"]
        assert low[0].inductor == pytest.approx(twice * R / w)
        assert low[1].capacitor == pytest.approx(1 / (twice * w * R))
        high = ladder(by_name["tweeter"], alignment, 2).sections
        assert high[0].capacitor == pytest.approx(1 / (twice * w * R))
        assert high[1].inductor == pytest.approx(twice * R / w)
        # In standard values: 6 ohm at 2.5 kHz.
        if alignment == "linkwitz-riley":
            bought = ladder(by_name["tweeter"], alignment, 2, "standard values").sections
            assert bought[0].capacitor == pytest.approx(5.1e-6)  # 5.305 uF, E24
            assert bought[1].inductor == pytest.approx(0.82e-3)  # 0.764 mH, E12
            assert bought[1].resistance > 0.1


def test_what_is_needed_is_alignment_level_and_baffle():
    """The woofer at 82 dB below the step: its filter is the slopes with the step taken off."""
    corner = 2000.0
    slopes = {"slopes": "acoustic", "level": 78.0}
    case = two_way(
        pass_branch("woofer", "low-pass", corner, **slopes),
        pass_branch("tweeter", "high-pass", corner, **slopes),
    )
    found, by_name = started(case, with_a_baffle_step)
    for start in by_name.values():
        section = start.slopes.sections[0]
        there = 82.0 if start.slopes.driver == "woofer" else 87.0
        nearer = 10 * np.log10(1 + 0.17**2 / 2.0**2) if start.slopes.driver == "woofer" else 0.0
        gain = 10 ** ((78.0 - there + nearer) / 20)
        expected = gain * pass_response(section, found.frequency) / step(found.frequency)
        size = np.abs(start.ideal) / np.abs(expected)
        np.testing.assert_allclose(size, 10 ** ((20 * np.log10(2) - 6.0) / 20), rtol=2e-3)
        np.testing.assert_allclose(size, size[0], rtol=1e-9)
        # The wave is in step with the reference axis, so phase is that of the filter alone.
        turn = np.angle(start.ideal / expected)
        late = -2 * np.pi * found.frequency * _latency(start.slopes.driver)
        np.testing.assert_allclose(np.exp(1j * turn), np.exp(1j * late), rtol=0, atol=1e-8)


def _latency(driver):
    """The tweeter waits for the woofer, which is farther from the reference point."""
    return (np.hypot(2.0, 0.17) - 2.0) / 343.0 if driver == "tweeter" else 0.0


@pytest.fixture(scope="module")
def compact():
    """The shipped case in a stand-in field, without what its amplifier has in series."""
    case = read_case(CASES / "compact-centred" / "case.toml")
    amplifier = replace(case.amplifier, resistance=0.0)
    return replace(case, amplifier=amplifier, arc_step=10.0, frequencies=replace(GRID, lowest=20.0))


def test_what_is_needed_is_what_acoustic_slopes_compute(compact):
    """The prediction's own filters, where they amplify by no more than a passive one can."""
    found, by_name = started(compact, solve_baffled_piston)
    prediction = predict(compact, solve=solve_baffled_piston)
    for name, start in by_name.items():
        computed = prediction["filter"].sel(driver=name, frequency=found.frequency).values
        full = np.abs(pass_response(start.slopes.sections[0], found.frequency))
        passive = np.abs(computed) < full
        assert passive.sum() > 30
        np.testing.assert_allclose(start.ideal[passive], computed[passive], rtol=1e-9)


def test_real_loads_against_the_circuit_by_hand(compact):
    """Series L, across C, driver Z: H = 1/(1 + sL/Z + s²LC); compensation as one more across."""
    found, by_name = started(compact)
    woofer, s = by_name["woofer"], 2j * np.pi * found.frequency
    for treatment in ("straight", "compensated"):
        one = ladder(woofer, "linkwitz-riley", 2, treatment)
        coil, cap = one.sections[0].inductor, one.sections[1].capacitor
        z = woofer.impedance
        if treatment == "compensated":
            (across,) = one.compensation
            z = 1 / (1 / z + 1 / (across.resistor + 1 / (s * across.capacitor)))
            np.testing.assert_allclose(z, woofer.flattened, rtol=1e-9)
        expected = 1 / (1 + s * coil / z + s**2 * coil * cap)
        np.testing.assert_allclose(one.transfer, expected, rtol=1e-9)
        off = 20 * np.log10(np.abs(expected / woofer.ideal))
        inside = (found.frequency > 1099.0) & (found.frequency < 4401.0)
        assert abs(one.deviation) == pytest.approx(np.abs(off[inside]).max())
        at = np.argmin(np.abs(found.frequency - one.where))
        assert off[at] == pytest.approx(one.deviation)
        textbook = PassFilter("low-pass", "linkwitz-riley", 2, None, 2200.0)
        resistance = 20 * np.log10(np.abs(pass_response(textbook, found.frequency[at : at + 1])))
        alone = 20 * np.log10(np.abs(expected[at])) - resistance[0]
        assert one.of_load == pytest.approx(alone)


def test_compensation_takes_the_load_s_share_away(compact):
    _, by_name = started(compact)
    for start in by_name.values():
        shares = [
            max(abs(each.of_load) for each in start.ladders if each.treatment == treatment)
            for treatment in ("straight", "compensated")
        ]
        assert shares[0] > 1.5
        assert shares[1] < shares[0] / 3
    # What a coil, capacitor and resistor do for a tweeter cut off near its resonance.
    peak = by_name["tweeter"].peak
    assert peak.resonance == pytest.approx(900.0, rel=0.03)
    assert by_name["woofer"].peak is None


def test_a_driver_without_sections_takes_its_neighbour_s_corner():
    section = PassFilter("high-pass", "bessel", 3, 3100.0, None)
    case = two_way(Branch("tweeter", (section,), slopes="acoustic", level=80.0))
    _, by_name = started(case)
    assert by_name["woofer"].slopes.corners == (3100.0,)
    assert by_name["woofer"].slopes.asked == (("linkwitz-riley", 4),)
    assert not by_name["woofer"].slopes.stated
    assert by_name["tweeter"].slopes.textbook() == (("bessel", 2), ("bessel", 3), ("bessel", 4))


def test_drivers_with_amplifiers_of_their_own_have_no_start():
    case = two_way(
        pass_branch("woofer", "low-pass", 2000.0),
        pass_branch("tweeter", "high-pass", 2000.0, slopes="acoustic", level=80.0),
    )
    found, by_name = started(case)
    assert list(by_name) == ["tweeter"]
    assert found.dataset.driver.values.tolist() == ["tweeter"]


def test_a_band_pass_s_own_gain_goes_into_the_attenuator():
    """A midrange between 400 Hz and 3 kHz as a resistance: exact with the gain taken off."""
    middle = make_driver(
        "middle", 0.03, piston_diameter=0.08, rated_impedance=4.0, sensitivity=91.0
    )
    section = PassFilter("band-pass", "butterworth", 2, 400.0, 3000.0)
    case = make_case(
        (replace(WOOFER, position=(0.0, -0.12)), middle, replace(TWEETER, position=(0.0, 0.14))),
        frequencies=GRID,
        arc_step=10.0,
        crossover=(Branch("middle", (section,), slopes="acoustic", level=80.0),),
    )
    _, by_name = started(case)
    assert [by_name[n].slopes.corners for n in ("woofer", "tweeter")] == [(400.0,), (3000.0,)]
    assert abs(ladder(by_name["middle"], "butterworth", 2).deviation) < 1e-6
    series, across = ladder(by_name["middle"], "butterworth", 2).attenuator
    together = 1 / (1 / across.resistor + 1 / 4.0)
    taken = -20 * np.log10(together / (series.resistor + together))
    gain = 20 * np.log10(band_pass_gain("butterworth", 2, 400.0, 3000.0))
    assert gain > 1.0
    assert taken == pytest.approx(by_name["middle"].attenuation + gain)


def test_a_measured_impedance_is_compensated_like_any_other():
    """A table made of a peak at 700 Hz and R_e = 5 ohm: with its dual across it is 5 ohm.

    R_e, Q_M and Q_E of Small, J. Audio Eng. Soc. 20 (1972) 383 (from memory).
    """
    f = np.geomspace(20.0, 20_000.0, 400)
    z = 5.0 + 5.0 * (3.0 / 1.2) / (1 + 3.0j * (f / 700.0 - 700.0 / f))
    table = MeasuredImpedance("made-up.csv", tuple(f), tuple(z.real), tuple(z.imag))
    tweeter = replace(TWEETER, rated_impedance=None, impedance=table)
    case = make_case(
        (WOOFER, tweeter),
        frequencies=GRID,
        arc_step=10.0,
        crossover=(pass_branch("tweeter", "high-pass", 1800.0, slopes="acoustic", level=80.0),),
    )
    _, by_name = started(case)
    found = by_name["tweeter"]
    assert found.peak.resonance == pytest.approx(700.0, rel=2e-3)
    (across,) = found.compensation
    assert across.resistor == pytest.approx(5.0 * (1 + 1.2 / 3.0), rel=1e-2)
    np.testing.assert_allclose(np.abs(found.flattened), 5.0, rtol=1e-2)
    assert abs(ladder(found, "linkwitz-riley", 4).deviation) > 1.0
    assert abs(ladder(found, "linkwitz-riley", 4, "compensated").deviation) < 0.15


def test_the_lowest_driver_has_no_attenuator_even_with_a_high_pass():
    """Below the step it has 82 dB, 6 more above: the lowest octave of its band counts."""
    section = PassFilter("band-pass", "linkwitz-riley", 2, 110.0, 3000.0)
    case = two_way(
        Branch("woofer", (section,), slopes="acoustic", level=76.0),
        pass_branch("tweeter", "high-pass", 3000.0, slopes="acoustic", level=76.0),
    )
    _, by_name = started(case, with_a_baffle_step)
    woofer, tweeter = by_name["woofer"], by_name["tweeter"]
    assert woofer.low
    assert woofer.attenuation is None
    nearer = 10 * np.log10(1 + 0.17**2 / 2.0**2)
    octave = 200.0 * 2 ** np.linspace(0, 1, 50)
    expected = 82.0 - nearer + 20 * np.log10(np.abs(step(octave))).mean()
    assert woofer.own == pytest.approx(expected, abs=0.1)
    assert not tweeter.low
    # Above the step: 87 dB and nearly 6 more.
    assert tweeter.attenuation == pytest.approx(87.0 + 5.9 - 76.0, abs=0.2)


@pytest.mark.parametrize(
    ("crossover", "changes", "told"),
    [
        ((), {"drivers": (replace(WOOFER, rated_impedance=None), TWEETER)}, "impedance of woofer"),
        ((), {"drivers": (WOOFER,)}, "only driver of the passive crossover"),
        (
            (
                Branch(
                    "woofer",
                    (
                        PassFilter("high-pass", "butterworth", 2, 3000.0, None),
                        PassFilter("low-pass", "butterworth", 2, None, 2000.0),
                    ),
                    slopes="acoustic",
                    level=80.0,
                ),
            ),
            {},
            "woofer is left no band between its corners 3 kHz and 2 kHz",
        ),
        (
            (Branch("tweeter", (BIQUAD,), slopes="acoustic", level=80.0),),
            {},
            "tweeter is to follow coefficients or taps",
        ),
        (
            (pass_branch("tweeter", "high-pass", 18_000.0, slopes="acoustic", level=80.0),),
            {},
            "hands over at 18 kHz",
        ),
    ],
)
def test_what_cannot_start_says_why(crossover, changes, told):
    drivers = changes.get("drivers", (WOOFER, TWEETER))
    case = make_case(drivers, frequencies=GRID, arc_step=10.0, crossover=crossover)
    with pytest.raises(RoundoverError, match=told) as caught:
        starting_points(case, solve=solve_free_field)
    assert "case.toml" in str(caught.value)
