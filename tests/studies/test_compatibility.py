"""Every check of drivers against worked values, and with a case on each side of its rule.

The handbook values say where they are from; the rules themselves are the trade's.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier, Enclosure
from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.model import Branch, Cabinet, Chamfer, Placement
from acoustics.driver import VoiceCoil
from acoustics.source.motion import motion_of
from acoustics.studies.compatibility import CHECKS, compatibility
from acoustics.studies.compatibility.bands import overlap_lines, resonance_lines, resonance_of
from acoustics.studies.compatibility.check import rough_prediction
from acoustics.studies.compatibility.cost import cost_lines
from acoustics.studies.compatibility.directivity import beamwidth, directivity_lines, spacing_lines
from acoustics.studies.compatibility.electrical import GRID, impedance_lines, load_impedance
from acoustics.studies.compatibility.excursion import displacement_lines, peak_volume
from acoustics.studies.compatibility.levels import level_lines, roll_off
from acoustics.studies.compatibility.line import at_least, at_most, worst
from acoustics.studies.compatibility.volume import volume_lines, wanted_volume
from acoustics.studies.compatibility.ways import ways_of
from support.boxes import AREA, parameters, with_enclosure
from support.cases import make_case, make_driver, pass_branch
from support.free_field import solve_free_field

SPEED, DENSITY = 343.0, 1.2
VERDICTS = ("good", "look twice", "bad")


def told(*values):
    """Values that should be good, looked at twice and bad."""
    return list(zip(values, VERDICTS, strict=True))


def two_way(woofer=None, tweeter=None, crossover=None, corner=2500.0, order=4, **changes):
    """Drivers changed by keyword; both slopes Linkwitz–Riley of one order."""
    drivers = (
        make_driver("woofer", -0.05, **{"piston_diameter": 0.08, **(woofer or {})}),
        make_driver("tweeter", 0.05, **(tweeter or {})),
    )
    if crossover is None:
        crossover = (
            pass_branch("woofer", "low-pass", corner, order=order),
            pass_branch("tweeter", "high-pass", corner, order=order),
        )
    return make_case(drivers, crossover=crossover, **changes)


def motion(case):
    return motion_of(case, GRID.values())


def only(lines, check, *subject):
    """The one line of a check, of a subject if there are several."""
    found = [
        line for line in lines if line.check == check and (not subject or line.subject == subject)
    ]
    assert len(found) == 1, found
    return found[0]


def test_limits_are_inclusive_and_what_is_not_known_is_said():
    assert [at_most(x, 1.0, 2.0) for x in (1.0, 2.0, 2.1)] == list(VERDICTS)
    assert [at_least(x, 2.0, 1.0) for x in (2.0, 1.0, 0.9)] == list(VERDICTS)
    assert at_most(math.nan, 1.0, 2.0) == "not known"
    assert worst(["good", "not known"]) == "not known"
    assert worst(["look twice", "not known", "good"]) == "look twice"


def test_beamwidth_has_the_handbook_values(reference):
    """Kinsler et al., Fundamentals of Acoustics, ch. 7; −6 dB at x = 2.21178545."""
    checks = [each for each in reference("piston_beamwidth") if each["inputs"]["level_dB"] == -6]
    assert len(checks) == 3
    for each in checks:
        width = beamwidth(2 * each["inputs"]["a_m"], each["inputs"]["f_hz"], SPEED)
        expected = each["expected"]["full_beamwidth_deg"]
        assert width == pytest.approx(180.0 if expected is None else expected, abs=0.05)


@pytest.mark.parametrize(
    ("ka", "size", "beam"),
    [
        (1.5, "good", "good"),
        # 2 asin(2.2118/2.5) = 124.4°, over the tweeter's 180° 0.69: within a third.
        (2.5, "look twice", "good"),
        # 2 asin(2.2118/3.1) = 91.0°: 0.51.
        (3.1, "bad", "look twice"),
        # 2 asin(2.2118/4) = 67.1°: 0.37.
        (4.0, "bad", "bad"),
    ],
)
def test_the_lower_piston_may_not_be_large_nor_its_beam_narrow(ka, size, beam):
    case = two_way(woofer={"piston_diameter": ka * SPEED / (math.pi * 2500.0)})
    lines = list(directivity_lines(case, ways_of(case)))
    assert only(lines, "piston size").figures["ka"] == pytest.approx(ka)
    assert only(lines, "piston size").verdict == size
    assert only(lines, "beamwidth").verdict == beam


@pytest.mark.parametrize(("apart", "verdict"), told(0.98, 1.3, 1.7))
def test_spacing_is_counted_in_wavelengths(apart, verdict):
    """343 m/s at 2450 Hz make 140 mm."""
    case = two_way(
        woofer={"position": (0.0, 0.05 - apart * 0.14), "acoustic_depth": 0.018}, corner=2450.0
    )
    line = only(spacing_lines(case, ways_of(case)), "spacing")
    assert line.figures["wavelength"] == pytest.approx(0.14)
    assert line.figures["wavelengths"] == pytest.approx(apart)
    assert line.figures["behind"] == pytest.approx(0.018)
    assert line.verdict == verdict


def test_spacing_is_that_in_space():
    """From the front to the top of a box 380 mm high and 300 mm deep, as Pythagoras has it."""
    case = two_way(tweeter={"face": "top", "position": (0.0, 0.0)})
    line = only(spacing_lines(case, ways_of(case)), "spacing")
    assert line.figures["distance"] == pytest.approx(math.hypot(0.19 + 0.05, 0.15))
    assert line.figures["behind"] == pytest.approx(-0.15)


@pytest.mark.parametrize(("octaves", "verdict"), told(1.01, 0.5, -0.1))
def test_the_lower_driver_is_usable_an_octave_beyond_the_crossover(octaves, verdict):
    """ka = 3 at 3·343/(π·0.08 m) = 4094 Hz."""
    signal = parameters(500.0, 0.5)
    corner = 3 * SPEED / (math.pi * 0.08) / 2**octaves
    case = two_way(tweeter={"small_signal": signal}, corner=corner)
    line = only(overlap_lines(case, motion(case), ways_of(case)), "overlap")
    assert line.figures["above"] == pytest.approx(octaves)
    assert line.verdict == verdict
    # A breakup that is stated counts instead where it is lower.
    case = two_way({"breakup": 2500.0}, {"small_signal": signal}, corner=2500.0)
    line = only(overlap_lines(case, motion(case), ways_of(case)), "overlap")
    assert line.figures["above"] == pytest.approx(0.0, abs=1e-12)


def test_where_the_upper_driver_begins_may_be_unknown():
    case = two_way(corner=1500.0)
    line = only(overlap_lines(case, motion(case), ways_of(case)), "overlap")
    assert (line.verdict, line.missing) == ("not known", ("drivers.tweeter.small_signal",))
    # What is known may be bad enough.
    case = two_way(corner=4500.0)
    assert only(overlap_lines(case, motion(case), ways_of(case)), "overlap").verdict == "bad"


@pytest.mark.parametrize(
    ("order", "octaves", "verdict"),
    [
        (4, 1.0, "good"),
        (4, 0.6, "look twice"),
        (4, 0.4, "bad"),
        (2, 2.0, "good"),
        (2, 1.6, "look twice"),
        (2, 1.0, "bad"),
    ],
)
def test_resonance_lies_an_octave_below_and_two_for_shallow_slopes(order, octaves, verdict):
    signal = parameters(2500.0 / 2**octaves * (1 - 1e-9), 0.5)
    case = two_way(tweeter={"small_signal": signal}, order=order)
    line = only(resonance_lines(case, motion(case), ways_of(case)), "resonance")
    assert line.figures["octaves"] == pytest.approx(octaves)
    assert line.verdict == verdict
    assert not line.missing


@pytest.mark.parametrize(
    ("fs", "vas", "vb", "fc"), [(30.0, 80.0, 20.0, 67.0820393), (42.0, 25.0, 12.0, 73.7495763)]
)
def test_resonance_is_that_in_the_box(fs, vas, vb, fc):
    """f_C = f_S √(1 + V_AS/V_B): Small, J. Audio Eng. Soc. 20 (1972) 798, worked examples."""
    signal = parameters(fs, 0.4, equivalent_volume=1e-3 * vas)
    box = Enclosure("own", "closed", ("tweeter",), 1e-3 * vb)
    case = two_way(tweeter={"small_signal": signal}, enclosures=(box,))
    assert resonance_of(case, motion(case), 1) == pytest.approx(fc, rel=1e-6)
    assert resonance_of(replace(case, enclosures=()), motion(case), 1) == pytest.approx(fs)
    assert math.isnan(resonance_of(case, motion(case), 0))


@pytest.mark.parametrize(("limit", "verdict"), told(5.9, 7.0, 8.0))
def test_impedance_does_not_fall_below_the_amplifiers(limit, verdict):
    """Without an inductance the least is the coil's 6 ohm, at frequencies far from resonance."""
    signal = parameters(40.0, 0.4, resistance=6.0)
    case = two_way(
        {"small_signal": signal},
        {"small_signal": signal},
        amplifier=Amplifier(lowest_impedance=limit),
    )
    lines = list(impedance_lines(case, motion(case), ways_of(case)))
    line = only(lines, "impedance", "woofer")
    assert line.figures["least"] == pytest.approx(6.0, rel=0.01)
    assert (line.verdict, line.missing) == (verdict, ())


def test_an_upper_driver_is_no_load_far_below_its_band():
    """R + jωL + (R/Q_ES)·f_S/(jf): at half its corner 1 mH beside 6 ohm make 9.5 ohm."""
    signal = parameters(40.0, 0.4, resistance=6.0)
    case = two_way(tweeter={"small_signal": signal, "voice_coil": VoiceCoil(inductance=1e-3)})
    line = only(impedance_lines(case, motion(case), ways_of(case)), "impedance", "tweeter")
    assert line.figures["at"] == pytest.approx(1250.0, rel=0.03)
    moving = -6j * (1 / 0.4 - 1 / 4.0) * 40.0 / 1250.0
    exact = abs(6 + 2j * math.pi * 1250 * 1e-3 + moving)
    assert line.figures["least"] == pytest.approx(exact, rel=0.01)


@pytest.mark.parametrize(("rated", "verdict"), told(6.0, 8.0, 9.0))
def test_a_rated_impedance_is_undercut_by_a_fifth_at_most(rated, verdict):
    signal = parameters(40.0, 0.4, resistance=6.0)
    case = two_way({"small_signal": signal, "rated_impedance": rated})
    line = only(impedance_lines(case, motion(case), ways_of(case)), "rated impedance")
    assert line.figures["share"] == pytest.approx(6.0 / rated, rel=0.01)
    assert line.verdict == verdict
    assert "60268" in line.source


def test_a_butterworth_crossover_of_odd_order_loads_as_one_driver():
    """Its branches share the power: |H|² of both add up to 1, so equal resistances stay one."""
    slopes = {"alignment": "butterworth", "order": 3}
    crossover = (
        pass_branch("woofer", "low-pass", 2500.0, **slopes),
        pass_branch("tweeter", "high-pass", 2500.0, **slopes, gain=-6.0),
    )
    rated = {"rated_impedance": 10.0}
    case = two_way(rated, rated, crossover=crossover)
    assert np.abs(load_impedance(case, motion(case), GRID.values())) == pytest.approx(8.0)


@pytest.mark.parametrize(("limit", "verdict"), told(3.0, 4.0, 4.1))
def test_two_woofers_in_parallel_halve_the_load(limit, verdict):
    """8 ohm, 80 % of them as the least a rated impedance may fall to (IEC 60268-5), in parallel."""
    drivers = [
        make_driver(name, y, piston_diameter=0.08, rated_impedance=8.0)
        for name, y in (("a", -0.1), ("b", 0.0))
    ]
    case = make_case(drivers, amplifier=Amplifier(lowest_impedance=limit))
    lines = list(impedance_lines(case, motion(case), ways_of(case)))
    load = only(lines, "load")
    assert load.figures["least"] == pytest.approx(3.2)
    assert load.verdict == verdict
    assert only(lines, "impedance", "a").figures["least"] == pytest.approx(6.4)


def test_a_measured_impedance_counts_where_it_was_measured():
    """A table of 5 ohm at 1 kHz, falling past its ends: those guesses count for nothing."""
    table = MeasuredImpedance("made up", (200.0, 1000.0, 5000.0), (7.0, 5.0, 7.0), (0.0,) * 3, True)
    passive = tuple(Branch(name, slopes="passive") for name in ("woofer", "tweeter"))
    case = two_way({"impedance": table}, {"rated_impedance": 20.0}, crossover=passive)
    lines = list(impedance_lines(case, motion(case), ways_of(case)))
    woofer = only(lines, "impedance", "woofer")
    assert woofer.figures["least"] == pytest.approx(5.0, rel=0.01)
    assert woofer.figures["at"] == pytest.approx(1000.0, rel=0.02)
    load = only(lines, "load")
    assert load.figures["least"] == pytest.approx(4.0, rel=0.01)  # 5 beside 20 ohm
    assert load.figures["at"] == pytest.approx(1000.0, rel=0.02)


def test_what_no_impedance_is_known_of_names_the_keys():
    case = two_way({"rated_impedance": 8.0})
    lines = list(impedance_lines(case, motion(case), ways_of(case)))
    assert {line.verdict for line in lines} == {"not known"}
    key = "drivers.tweeter.small_signal (or rated_impedance)"
    assert only(lines, "impedance", "tweeter").missing == (key, "amplifier.lowest_impedance")
    assert only(lines, "load").missing == (key, "amplifier.lowest_impedance")
    assert only(lines, "impedance", "woofer").missing == ("amplifier.lowest_impedance",)


@pytest.mark.parametrize(("spl", "f", "cm3"), [(100, 30, 416.813109), (96, 40, 147.932602)])
def test_displaced_volume_for_a_level_in_half_space(spl, f, cm3):
    """Small, J. Audio Eng. Soc. 20 (1972) 383: p = ρω²V/(2πr), peak √2 V; at 1 m, ρ = 1.2."""
    pressure = 20e-6 * 10 ** (spl / 20)
    assert 1e6 * peak_volume(pressure, 1.0, np.array([f]), DENSITY) == pytest.approx(cm3, rel=1e-4)


@pytest.mark.parametrize(("spare", "verdict"), told(1.5, 1.2, 0.9))
def test_the_tweeter_does_not_move_too_far(spare, verdict):
    """Second-order Butterworth slopes: |H|/f² is most at low frequency, and there 1/f_c²."""
    pressure = 20e-6 * 10 ** (96 / 20)
    area = math.pi * 0.0125**2
    at_corner = float(peak_volume(pressure, 2.5, np.array([2500.0]), DENSITY)[0]) / area
    high = pass_branch(
        "tweeter",
        "high-pass",
        2500.0,
        alignment="butterworth",
        order=2,
        slopes="acoustic",
        level=80.0,
    )
    case = two_way(
        tweeter={"most_displacement": spare * at_corner},
        crossover=(pass_branch("woofer", "low-pass", 2500.0), high),
        brief=Brief(seat_level=96.0),
    )
    line = only(displacement_lines(case, motion(case), ways_of(case)), "displacement")
    assert line.figures["displacement"] == pytest.approx(at_corner, rel=1e-4)
    assert line.verdict == verdict


def test_displacement_is_shared_and_asked_only_by_the_brief():
    case = two_way(brief=Brief(seat_level=96.0))
    one = only(displacement_lines(case, motion(case), ways_of(case)), "displacement")
    assert (one.verdict, one.missing) == ("not known", ("drivers.tweeter.most_displacement",))
    pair = replace(case, placement=Placement(pair=True, spacing=2.0))
    each = only(displacement_lines(pair, motion(pair), ways_of(pair)), "displacement")
    ratio = one.figures["displacement"] / each.figures["displacement"]
    assert 20 * math.log10(ratio) == pytest.approx(3.0103, abs=1e-4)
    # Farther away it takes more in proportion.
    far = replace(case, brief=Brief(seat_level=96.0, distance=5.0))
    twice = only(displacement_lines(far, motion(far), ways_of(far)), "displacement")
    assert twice.figures["displacement"] == pytest.approx(2 * one.figures["displacement"])
    assert not list(displacement_lines(two_way(), motion(case), ways_of(case)))
    # Two that play the same share it.
    drivers = (*case.drivers, make_driver("second", 0.09))
    crossover = (*case.crossover, pass_branch("second", "high-pass", 2500.0))
    two = replace(case, drivers=drivers, crossover=crossover)
    half = only(displacement_lines(two, motion(two), ways_of(two)), "displacement", "second")
    assert half.figures["displacement"] == pytest.approx(one.figures["displacement"] / 2)


def test_below_its_resonance_a_driver_gives_less_and_moves_no_more():
    """First-order slope, Q 0.707: x ∝ f/(f⁴ + f_0⁴)^½ below the corner, most at the resonance."""
    signal = parameters(1000.0, 1 / math.sqrt(2))
    high = pass_branch("tweeter", "high-pass", 16_000.0, alignment="butterworth", order=1)
    case = two_way(
        tweeter={"small_signal": signal},
        crossover=(pass_branch("woofer", "low-pass", 16_000.0), high),
        brief=Brief(seat_level=96.0),
    )
    line = only(displacement_lines(case, motion(case), ways_of(case)), "displacement")
    assert line.figures["at"] == pytest.approx(1000.0, rel=0.03)


@pytest.mark.parametrize(
    ("total_q", "alpha"),
    [(0.209, 7.48), (0.303, 2.95), (0.383, 1.414), (0.415, 1.055), (0.518, 0.559)],
)
def test_vented_volumes_are_thieles(total_q, alpha):
    """Thiele, J. Audio Eng. Soc. 19 (1971) 382, table 1: V_AS over V_B, to three digits."""
    case = two_way({"small_signal": parameters(40.0, total_q)})
    wanted = wanted_volume(case, (0,), "vented", math.inf)
    assert wanted == pytest.approx(0.020 / alpha, rel=0.02)


def test_closed_volumes_are_smalls():
    """V_AS/V_B = (Q_TC/Q_TS)² − 1; 25 l at Q 0.4 in 12 l make Q_TC = 0.702376917, near 0.707."""
    case = two_way({"small_signal": parameters(42.0, 0.4, equivalent_volume=0.025)})
    exact = 0.025 / (0.5 / 0.4**2 - 1)
    assert wanted_volume(case, (0,), "closed") == pytest.approx(exact)
    assert wanted_volume(case, (0, 0), "closed") == pytest.approx(2 * exact)
    assert 0.012 / exact == pytest.approx(1.02, abs=0.001)
    # A resistance in series raises Q_ES in proportion.
    signal = parameters(42.0, 0.4, equivalent_volume=0.025, resistance=6.0)
    behind = two_way({"small_signal": signal}, amplifier=Amplifier(resistance=0.6))
    electrical = 1.1 / (1 / 0.4 - 1 / 4.0)
    raised = 1 / (1 / 4.0 + 1 / electrical)
    assert wanted_volume(behind, (0,), "closed") == pytest.approx(0.025 / (0.5 / raised**2 - 1))
    assert math.isnan(
        wanted_volume(two_way({"small_signal": parameters(42.0, 0.8)}), (0,), "closed")
    )
    assert math.isnan(wanted_volume(two_way(), (0,), "closed"))


@pytest.mark.parametrize(
    ("share", "verdict"),
    [(1.0, "good"), (0.6, "look twice"), (1.8, "look twice"), (0.4, "bad"), (2.5, "bad")],
)
@pytest.mark.parametrize("kind", ["closed", "vented"])
def test_the_bass_wants_its_volume(kind, share, verdict):
    signal = parameters(42.0, 0.38)
    plain = two_way({"small_signal": signal})
    volume = share * wanted_volume(plain, (0,), kind)
    box = Enclosure("box", kind, ("woofer",), volume + 0.001, (("braces", 0.001),))
    case = replace(plain, enclosures=(box,))
    line = only(volume_lines(case, ways_of(case)), "volume")
    assert line.figures["ratio"] == pytest.approx(share)
    assert line.verdict == verdict
    # Fibre that fills all of it makes it seem a quarter larger (common practice).
    full = with_enclosure(case, fill=1.0)
    assert only(volume_lines(full, ways_of(full)), "volume").figures["ratio"] == pytest.approx(
        1.25 * share
    )


def test_a_driver_whose_q_no_box_fits_is_bad_for_bass_alone():
    high_q = parameters(42.0, 0.9)
    box = Enclosure("box", "closed", ("woofer",), 0.02)
    case = two_way({"small_signal": high_q}, enclosures=(box,))
    assert only(volume_lines(case, ways_of(case)), "volume").verdict == "bad"
    case = two_way(
        tweeter={"small_signal": high_q}, enclosures=(replace(box, drivers=("tweeter",)),)
    )
    line = only(volume_lines(case, ways_of(case)), "volume", "tweeter")
    assert line.verdict == "look twice"


def test_a_volume_that_is_not_stated_is_asked_for():
    case = two_way()
    line = only(volume_lines(case, ways_of(case)), "volume")
    assert (line.subject, line.verdict) == (("woofer",), "not known")
    assert line.missing == ("enclosures", "drivers.woofer.small_signal")
    assert line.figures["outer"] == pytest.approx(0.22 * 0.38 * 0.30)
    cabinet = Cabinet(0.22, 0.38, 0.30, 0.6, chamfers=(Chamfer("front left", (0.03, 0.04)),))
    cut = 0.38 * 0.03 * 0.04 / 2
    chamfered = replace(case, cabinet=cabinet)
    line = only(volume_lines(chamfered, ways_of(chamfered)), "volume")
    assert line.figures["outer"] == pytest.approx(0.22 * 0.38 * 0.30 - cut)
    # An open baffle has none.
    board = replace(case.cabinet, shape="plate", depth=0.0)
    assert not list(volume_lines(replace(case, cabinet=board), ways_of(case)))
    box = Enclosure("box", "closed", ("woofer",), 0.02)
    line = only(volume_lines(replace(case, enclosures=(box,)), ways_of(case)), "volume")
    assert (line.verdict, line.missing) == ("not known", ("drivers.woofer.small_signal",))


@pytest.mark.parametrize(("budget", "verdict"), told(180.0, 170.0, 150.0))
def test_the_drivers_of_both_cabinets_are_paid(budget, verdict):
    case = two_way(
        {"price": 60.0, "mass": 1.5},
        {"price": 30.0, "mass": 0.5},
        placement=Placement(pair=True, spacing=2.0),
        brief=Brief(budget=budget),
    )
    (line,) = cost_lines(case)
    assert (line.figures["cost"], line.figures["mass"]) == (180.0, 4.0)
    assert line.verdict == verdict


def test_a_price_that_is_missing_matters_unless_the_rest_is_too_much():
    brief = Brief(budget=50.0)
    (line,) = cost_lines(two_way({"price": 40.0}, brief=brief))
    assert (line.verdict, line.missing) == ("not known", ("drivers.tweeter.price",))
    (line,) = cost_lines(two_way({"price": 60.0}, brief=brief))
    assert line.verdict == "bad"
    assert not list(cost_lines(two_way({"price": 60.0})))


def levels(case, solve=solve_free_field):
    return list(level_lines(case, rough_prediction(case, solve), ways_of(case)))


@pytest.mark.parametrize(("tweeter", "verdict"), told(88.0, 87.0, 85.0))
def test_others_are_not_weaker_than_the_lowest(tweeter, verdict):
    """In free space all radiate into 4π: 6.02 dB below what they give into half space."""
    case = two_way({"sensitivity": 88.0}, {"sensitivity": tweeter})
    line = only(levels(case), "level")
    assert line.figures["lowest"] == pytest.approx(88.0 - 6.0206, abs=0.05)
    assert line.figures["level"] == pytest.approx(tweeter - 6.0206, abs=0.05)
    assert line.figures["gap"] == pytest.approx(tweeter - 88.0, abs=0.05)
    assert line.verdict == verdict


def test_two_woofers_add_up():
    """In step, and each with its own voltage: 6.02 dB."""
    drivers = [make_driver(n, y, piston_diameter=0.08) for n, y in (("a", -0.1), ("b", 0.12))]
    crossover = (
        pass_branch("a", "low-pass", 2500.0),
        pass_branch("b", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    case = make_case((*drivers, make_driver("tweeter")), crossover=crossover)
    line = only(levels(case), "level")
    assert line.subject == ("a", "b", "tweeter")
    assert line.figures["gap"] == pytest.approx(-6.0206, abs=0.05)


def test_a_lowest_driver_that_ends_below_100_hertz_is_judged_there():
    drivers = (make_driver("sub", -0.1, sensitivity=90.0), make_driver("wide", 0.1))
    crossover = (pass_branch("sub", "low-pass", 80.0), pass_branch("wide", "high-pass", 80.0))
    line = only(levels(make_case(drivers, crossover=crossover)), "level")
    assert line.figures["lowest"] == pytest.approx(90.0 - 6.0206, abs=0.05)
    assert line.figures["lowest_mean"] == pytest.approx(90.0 - 6.0206, abs=0.05)


@pytest.mark.parametrize(
    ("gain", "verdict"), [(-4.0, "good"), (-5.9, "good"), (-1.0, "look twice"), (9.0, "look twice")]
)
def test_gains_are_held_against_the_levels(gain, verdict):
    crossover = (
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0, gain=gain),
    )
    case = two_way({"sensitivity": 86.0}, {"sensitivity": 90.0}, crossover=crossover)
    line = only(levels(case), "balance")
    assert line.figures["gain"] == pytest.approx(gain)
    assert line.figures["wanted"] == pytest.approx(-4.0, abs=0.05)
    assert line.verdict == verdict


@pytest.mark.parametrize(("asked", "verdict"), told(82.0, 85.0, 89.0))
def test_acoustic_slopes_ask_for_no_more_than_there_is(asked, verdict):
    """88 dB into half space are 81.98 dB into 4π."""
    how = {"slopes": "acoustic", "level": asked}
    crossover = (
        pass_branch("woofer", "low-pass", 2500.0, **how),
        pass_branch("tweeter", "high-pass", 2500.0, **how),
    )
    lines = levels(two_way(crossover=crossover))
    line = only(lines, "level asked", "woofer")
    assert line.figures["more"] == pytest.approx(asked - 88.0 + 6.0206, abs=0.05)
    assert line.verdict == verdict
    assert only(lines, "balance").figures["off"] == pytest.approx(0.0, abs=1e-9)


def test_the_cabinet_takes_the_baffle_step_from_the_lowest():
    """By the solver: at 100 to 200 Hz nearly all round, the tweeter about as in half space."""
    case = two_way({"sensitivity": 88.0}, {"sensitivity": 88.0})
    line = only(levels(case, solve=None), "level")
    assert 82.0 < line.figures["lowest"] < 83.5
    assert 87.0 < line.figures["level"] < 89.0
    assert line.figures["lowest"] < line.figures["lowest_mean"] < 88.0


def test_the_lowest_begins_where_it_has_fallen_by_six_decibels():
    """|G|² = x⁴/(1 + x⁴) of a closed box with Q 0.707 is a quarter at x = 3^(−1/4)."""
    frequency = 1000.0 * 2.0 ** (np.arange(-34, 26) / 6)
    s = 1j * frequency / 50.0
    source = (s**2 / (s**2 + s * math.sqrt(2) + 1) / frequency)[None]
    ways = ways_of(make_case((make_driver("woofer"),)))
    prediction = xr.Dataset({"source": (("driver", "frequency"), source)}, {"frequency": frequency})
    assert roll_off(prediction, (0,), ways) == pytest.approx(50.0 * 3**-0.25, rel=0.01)
    flat = prediction.assign(source=1 / prediction.frequency * xr.ones_like(prediction.source))
    assert roll_off(flat, (0,), ways) is None


def test_every_check_is_told_in_order_and_bare_drivers_name_what_is_missing():
    case = two_way()
    drivers = (*case.drivers, make_driver("super", 0.09))
    crossover = (*case.crossover, pass_branch("super", "high-pass", 9000.0))
    three = compatibility(
        replace(case, drivers=drivers, crossover=crossover), solve=solve_free_field
    )
    order = [CHECKS.index(line.check) for line in three]
    assert order == sorted(order)
    lines = compatibility(case, solve=solve_free_field)
    assert all(line.missing for line in lines if line.verdict == "not known")
    assert only(lines, "level").verdict == "good"
    wanted = {key for line in lines for key in line.missing}
    assert {"amplifier.lowest_impedance", "enclosures", "drivers.tweeter.small_signal"} <= wanted


def test_without_a_crossover_that_is_what_is_missing():
    case = two_way(woofer={"piston_diameter": 0.13}, crossover=())
    lines = compatibility(case, solve=solve_free_field)
    line = only(lines, "crossover")
    assert (line.subject, line.missing) == (("tweeter",), ("crossover.tweeter.sections",))
    assert not {"spacing", "overlap", "level"} & {line.check for line in lines}


def test_with_all_parameters_the_bass_is_judged_where_it_begins():
    """By the solver, with the driver's own roll-off in a closed box of Q 0.71."""
    signal = parameters(42.0, 0.38)
    box = Enclosure("box", "closed", ("woofer",), 0.020 / (0.5 / 0.38**2 - 1), leakage_q=math.inf)
    case = two_way(
        {
            "small_signal": signal,
            "piston_diameter": 2 * math.sqrt(AREA / math.pi),
            "frame_diameter": 0.15,
        },
        enclosures=(box,),
    )
    line = only(compatibility(case), "level")
    # Below the baffle step 6 dB less than into half space, but for the first decibel of the rise;
    # what the roll-off still takes at twice f₆ is less than half of one.
    half_space = signal.sensitivity(case.air)
    assert line.figures["lowest"] == pytest.approx(half_space - 6.02 + 1.0, abs=0.5)
