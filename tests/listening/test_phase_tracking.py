"""How drivers hand over, against closed forms of two sources and of ideal filters.

Two waves φ apart at equal level: |1 + e^jφ| = 2·|cos φ/2|, elementary. Outputs of Linkwitz–Riley
filters of order 4 are in phase at all frequencies, those of order 2 in opposite phase, and of
Butterworth filters of order 3 90° apart: Linkwitz, J. Audio Eng. Soc. 24 (1976) 2; Lipshitz &
Vanderkooy, ibid. 31 (1983) and 34 (1986): from memory. Filters are made here by scipy.signal.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from acoustics.case.design.model import Branch, FrequencyGrid, PassFilter
from acoustics.listening.overlap import DEEPEST, OVERLAP, overlap_of, pair_of
from acoustics.listening.phase_tracking import phase_tracking, tracking
from acoustics.listening.sides import sides, upper_sides
from acoustics.prediction import predict

GRID = 20.0 * 2.0 ** (np.arange(240) / 24)
CORNER = 2000.0


def filters(order, kind, frequency=GRID, corner=CORNER):
    """Low- and high-pass outputs, shape (2, frequency)."""
    sections = {"butterworth": (order, 1), "linkwitz-riley": (order // 2, 2)}[kind]
    made = []
    for way in ("lowpass", "highpass"):
        b, a = signal.butter(sections[0], 2 * np.pi * corner, way, analog=True)
        made.append(signal.freqs(b, a, 2 * np.pi * frequency)[1] ** sections[1])
    return np.array(made)


@pytest.mark.parametrize("phase", [0.0, 23.0, -45.0, 90.0, 120.0, -170.0])
def test_the_loss_of_two_waves_is_the_cosine_of_half_their_phase(phase):
    lower, upper = filters(4, "linkwitz-riley")
    found = tracking(GRID, lower, upper * np.exp(1j * np.radians(phase)), CORNER)
    assert found.largest_phase == pytest.approx(abs(phase), abs=0.01)
    assert found.rms_phase == pytest.approx(abs(phase), abs=0.01)
    # Equal levels lose most, and there are such in the band.
    assert found.largest_loss == pytest.approx(
        -20 * np.log10(np.cos(np.radians(phase / 2))), rel=1e-3, abs=1e-6
    )
    assert found.delay == pytest.approx(0.0, abs=1e-9)


def test_waves_in_opposite_phase_lose_all_there_is():
    lower, upper = filters(2, "linkwitz-riley")
    found = tracking(GRID, lower, upper, CORNER)
    assert found.largest_phase == pytest.approx(180.0, abs=1e-6)
    assert found.largest_loss > 40.0
    same = tracking(GRID, lower, -upper, CORNER)
    assert same.largest_loss == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("sign", [1, -1])
def test_third_order_butterworth_is_a_quarter_turn_apart(sign):
    """|1 ± j| is 3.01 dB below 2."""
    lower, upper = filters(3, "butterworth")
    found = tracking(GRID, lower, sign * upper, CORNER)
    assert found.largest_phase == pytest.approx(90.0, abs=0.01)
    assert found.rms_phase == pytest.approx(90.0, abs=0.01)
    assert found.largest_loss == pytest.approx(10 * np.log10(2), abs=1e-3)


def test_the_overlap_of_fourth_order_slopes():
    """|upper/lower| = (f/f_c)⁴: 10 dB apart at f_c·10^(±10/80)."""
    found = tracking(GRID, *filters(4, "linkwitz-riley"), CORNER)
    assert found.low == pytest.approx(CORNER * 10 ** (-OVERLAP / 80), rel=1e-4)
    assert found.high == pytest.approx(CORNER * 10 ** (OVERLAP / 80), rel=1e-4)


@pytest.mark.parametrize("late", [50e-6, -80e-6])
@pytest.mark.parametrize("common", [0.0, 6e-3])
def test_a_delay_turns_the_phase_by_360_degrees_times_its_cycles(late, common):
    lower, upper = filters(4, "linkwitz-riley") * np.exp(-2j * np.pi * GRID * common)
    upper = upper * np.exp(-2j * np.pi * GRID * late)
    found = tracking(GRID, lower, upper, CORNER)
    assert found.delay == pytest.approx(late, rel=1e-3)
    end = CORNER * 10 ** (OVERLAP / 80)
    assert found.largest_phase == pytest.approx(360 * end * abs(late), rel=1e-3)


@pytest.mark.parametrize("common", [0.0, 6e-3])
@pytest.mark.parametrize("grid", [GRID, np.arange(200.0, 20_000.0, 6.0)])
def test_noise_60_db_down_as_a_microphone_hears_it(grid, common):
    """Each driver drowns far out of its band; in the overlap noise turns the phase by a degree."""
    random = np.random.default_rng(5)
    noise = 1e-3 * random.normal(size=(2, grid.size, 2)).view(complex)[..., 0]
    lower, upper = filters(4, "linkwitz-riley", grid) * np.exp(-2j * np.pi * grid * common) + noise
    found = tracking(grid, lower, upper, CORNER)
    assert found.largest_phase < 1.5
    assert found.rms_phase < 0.5


def test_the_rms_counts_what_both_contribute():
    """Against sums over a hundred times as many points, with the weight 2ab/(a² + b²)."""
    late = 60e-6
    lower, upper = filters(4, "linkwitz-riley")
    found = tracking(GRID, lower, upper * np.exp(-2j * np.pi * GRID * late), CORNER)
    fine = CORNER * 10 ** np.linspace(-OVERLAP / 80, OVERLAP / 80, 20_001)
    low, high = np.abs(filters(4, "linkwitz-riley", fine))
    weight = 2 * low * high / (low**2 + high**2)
    phase = 360 * fine * late
    assert found.rms_phase == pytest.approx(np.sqrt(np.average(phase**2, weights=weight)), rel=1e-3)


def test_other_overlaps_do_not_count():
    """Drivers that come together again two octaves above, out of phase."""
    lower, upper = filters(8, "linkwitz-riley")
    again = GRID > 4 * CORNER
    lower = np.where(again, -upper, lower)
    found = tracking(GRID, lower, upper, CORNER)
    assert found.largest_loss == pytest.approx(0.0, abs=1e-4)
    assert overlap_of(pair_of(GRID, lower, upper), CORNER / 8) is None
    assert np.isnan(tracking(GRID, lower, 0 * upper, CORNER).largest_phase)


def test_deep_nulls_are_told_as_far_as_anybody_measures():
    one = np.ones(GRID.size)
    assert tracking(GRID, one, -one, CORNER).largest_loss == DEEPEST


def two_way(make_case, make_driver, pass_branch, *, drivers=None, **changes):
    return make_case(
        drivers or [make_driver("woofer", 0.0), make_driver("tweeter", 0.0)],
        crossover=(
            pass_branch("woofer", "low-pass", CORNER, **changes),
            pass_branch("tweeter", "high-pass", CORNER, **changes),
        ),
    )


def test_a_prediction_of_drivers_at_one_place_is_the_filters(
    make_case, make_driver, pass_branch, solve_free_field
):
    case = two_way(make_case, make_driver, pass_branch, alignment="butterworth", order=3)
    found = phase_tracking(predict(case, solve=solve_free_field)).isel(crossover=0)
    assert found.place.values.tolist() == ["reference axis", "main seat"]
    assert found.attrs["ear_height"] == 0.9
    for place in found.place:
        here = found.sel(place=place)
        assert float(here.largest_phase) == pytest.approx(90.0, abs=0.1)
        inside = np.isfinite(here.phase_difference)
        assert np.abs(here.phase_difference.values[inside]) == pytest.approx(90.0, abs=0.1)
        grid = here.frequency.values
        assert (
            inside.values.tolist()
            == ((grid >= float(here.overlap_low)) & (grid <= float(here.overlap_high))).tolist()
        )
        assert float(here.largest_loss) == pytest.approx(10 * np.log10(2), abs=0.01)
        assert float(here.sum_loss.max()) <= float(here.largest_loss) + 1e-3
    for name in found.data_vars:
        assert found[name].attrs["long_name"], name


def test_at_the_seat_the_ways_differ(make_case, make_driver, pass_branch, solve_free_field):
    """Point sources 0.15 m apart; ears at 0.9 m, 2.5 m ahead; both ways by Pythagoras."""
    drivers = [make_driver("woofer", -0.05), make_driver("tweeter", 0.10)]
    case = two_way(make_case, make_driver, pass_branch, drivers=drivers)
    found = phase_tracking(predict(case, solve=solve_free_field)).isel(crossover=0)
    ear = 0.9 - 0.6 - 0.19
    way = {"reference axis": (2.0, 0.10), "main seat": (2.5, ear)}
    for place, (distance, y) in way.items():
        later = (np.hypot(distance, y - 0.10) - np.hypot(distance, y + 0.05)) / 343.0
        delay = float(found.tracking_delay.sel(place=place))
        assert delay == pytest.approx(later, abs=1e-8), place


def test_a_pair_of_woofers_counts_as_one(make_case, make_driver, pass_branch, solve_free_field):
    """Two woofers alike, each 6 dB down, above and below: the sum is that of one."""
    woofers = [make_driver(name, sensitivity=82.0) for name in ("upper woofer", "lower woofer")]
    case = make_case(
        [*woofers, make_driver("tweeter", sensitivity=88.0)],
        crossover=(
            *(pass_branch(d.name, "low-pass", CORNER) for d in woofers),
            pass_branch("tweeter", "high-pass", CORNER),
        ),
    )
    prediction = predict(case, solve=solve_free_field)
    assert upper_sides(prediction).values.tolist() == [[False, False, True]]
    found = phase_tracking(prediction).isel(crossover=0, place=0)
    # Both woofers together are as loud as the tweeter: 10 dB apart as far below as above.
    assert np.sqrt(float(found.overlap_low * found.overlap_high)) == pytest.approx(CORNER, rel=5e-3)


def test_all_above_a_crossover_is_one_side(make_case, make_driver, pass_branch, solve_free_field):
    middle = PassFilter("band-pass", "linkwitz-riley", 4, low_corner=300.0, high_corner=3000.0)
    names = ("woofer", "midrange", "tweeter", "rear tweeter")
    case = make_case(
        [make_driver(name, sensitivity=80.0 if "rear" in name else 88.0) for name in names],
        crossover=(
            pass_branch("woofer", "low-pass", 300.0),
            Branch("midrange", sections=(middle,)),
            pass_branch("tweeter", "high-pass", 3000.0),
            pass_branch("rear tweeter", "high-pass", 3000.0),
        ),
    )
    prediction = predict(case, solve=solve_free_field)
    above = upper_sides(prediction)
    assert above.sel(crossover="woofer to midrange").values.tolist() == [False, True, True, True]
    assert above.sel(crossover="midrange to tweeter").values.tolist() == [False, False, True, True]
    both = sides(prediction)
    total = prediction.arc_total.sel(plane="horizontal", angle=0.0)
    added = (both.lower_side + both.upper_side).sel(place="reference axis")
    for i in range(2):
        np.testing.assert_allclose(abs(added.isel(crossover=i)), abs(total), rtol=1e-9)


def test_a_driver_that_hands_over_twice_is_on_either_side(
    make_case, make_driver, pass_branch, solve_free_field
):
    low = pass_branch("b", "high-pass", 500.0).sections
    high = pass_branch("b", "low-pass", 5000.0).sections
    case = make_case(
        [make_driver("a", sensitivity=80.0), make_driver("b", 0.1)],
        crossover=(Branch("b", sections=(*low, *high)),),
    )
    above = upper_sides(predict(case, solve=solve_free_field))
    assert above.values.tolist() == [[False, True], [True, False]]


def test_nothing_to_hand_over(make_case, make_driver, solve_free_field):
    prediction = predict(make_case([make_driver("one")]), solve=solve_free_field)
    found = phase_tracking(prediction)
    assert found.sizes["crossover"] == 0
    assert found.phase_difference.shape == (0, 2, prediction.frequency.size)
    below = make_case(frequencies=FrequencyGrid(200.0, 400.0, 6))
    assert phase_tracking(predict(below, solve=solve_free_field)).sizes["crossover"] == 0


def test_drivers_that_never_come_near_each_other(make_case, solve_free_field):
    """Where the case says that they cross but on the axis one is not heard, nothing is known."""
    prediction = predict(make_case(), solve=solve_free_field)
    silent = prediction.assign(
        {
            name: prediction[name].where(prediction.driver == "woofer", 0.0)
            for name in ("arc_pressure", "seat_pressure")
        }
    )
    found = phase_tracking(silent)
    assert found.sizes["crossover"] == 1
    for name in ("largest_phase", "rms_phase", "tracking_delay", "largest_loss", "sum_loss"):
        assert np.isnan(found[name]).all(), name
