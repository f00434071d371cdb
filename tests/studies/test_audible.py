"""Whether designs can be heard apart, with differences that are put in by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.model import (
    Cabinet,
    FrequencyGrid,
    Placement,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.prediction import predict
from acoustics.studies.comparison.audible import NOTICED, audible
from acoustics.studies.comparison.compare import compare
from acoustics.studies.comparison.verdicts import heard_apart
from support.cases import make_case, make_driver, seat_at
from support.kept_numbers import found_once

MIDDLE = np.sqrt(300.0 * 10_000.0)
"""Hz: half of the octaves of the band lie above"""


@pytest.fixture(scope="module", autouse=True)
def each_design_once():
    with found_once():
        yield


@pytest.fixture(scope="module")
def flat(solve_free_field):
    """One point source, no floor: levels rise evenly everywhere."""
    return predict(make_case([make_driver("only")], surfaces=()), solve=solve_free_field)


BOTH = "arc_total", "seat_total"


def louder(
    prediction: xr.Dataset, decibels: xr.DataArray | float, names: tuple[str, ...] = BOTH
) -> xr.Dataset:
    """The prediction with the levels of some variables higher by so much."""
    off = {name: prediction[name] * 10 ** (decibels / 20) for name in names}
    return prediction.assign(
        {name: each.transpose(*prediction[name].dims) for name, each in off.items()}
    )


def step(prediction: xr.Dataset, decibels: float) -> xr.DataArray:
    """So much more in the upper half of the band: half of it away from the mean, either way."""
    return xr.where(prediction.frequency > MIDDLE, decibels, 0.0)


@pytest.mark.parametrize(
    ("decibels", "heard"), [(0.0, False), (0.7, False), (0.9, None), (1.1, None), (1.4, True)]
)
def test_half_a_decibel_decides_but_for_the_uncertainty(flat, decibels, heard):
    """0.5 dB: Zwicker & Fastl, Psychoacoustics, ch. 7 (from memory); 0.1 dB of solver error."""
    assert NOTICED == 0.5
    found = audible([flat, louder(flat, step(flat, decibels))])
    assert found.is_audible is heard
    for each in found.differences:
        assert each.largest == pytest.approx(decibels / 2, abs=0.02)
        assert each.uncertainty == pytest.approx(0.1)


def test_loudness_is_no_difference(flat):
    found = audible([flat, louder(flat, 3.0)])
    assert found.most.largest == pytest.approx(0.0, abs=1e-9)
    assert found.louder == pytest.approx(3.0)
    assert "differ by 3.0 dB, which the volume control makes good" in heard_apart(found)


def test_narrow_differences_count_for_what_a_third_of_an_octave_holds(flat):
    """6 dB in one of 24 frequencies per octave: one of 8 widths of 1/3 octave holds the rest.

    At the four steps to either side the window ends at that frequency and holds half of it. Of 121
    frequencies in the band these nine differ, and that much goes with the mean.
    """
    one = xr.where(flat.frequency == 1000.0, 6.0, 0.0)
    most = audible([flat, louder(flat, one)]).most
    full, half = 10 * np.log10((7 + 10**0.6) / 8), 10 * np.log10((7.5 + 0.5 * 10**0.6) / 8)
    assert most.largest == pytest.approx(full - (7 * full + 2 * half) / 121, abs=0.002)
    assert most.frequency == pytest.approx(1000.0, rel=2 ** (3.5 / 24) - 1)


def test_places_are_told_apart(flat):
    """Only directions far off the axis differ: neither axis, window nor seat tell of it."""
    aside = louder(flat, xr.where(abs(flat.angle) > 35, step(flat, 6.0), 0.0), BOTH[:1])
    by_place = {each.place: each.largest for each in audible([flat, aside]).differences}
    assert by_place["on the reference axis"] == pytest.approx(0.0, abs=1e-9)
    assert by_place["in the listening window"] == pytest.approx(0.0, abs=1e-9)
    assert by_place["at the seat in free space"] == pytest.approx(0.0, abs=1e-9)
    assert by_place["in the estimated in-room curve"] > 1.5


def test_sentences_say_where_and_how_sure(flat):
    small = heard_apart(audible([flat, louder(flat, step(flat, 0.4))]))
    assert small.startswith("No audible difference expected: ")
    assert "by at most 0.20 dB" in small
    assert "(uncertainty 0.10 dB)" in small
    close = heard_apart(audible([flat, louder(flat, step(flat, 1.0))]))
    assert "is too close to call" in close
    aside = louder(flat, xr.where(abs(flat.angle) > 35, step(flat, 6.0), 0.0), BOTH[:1])
    large = heard_apart(audible([flat, aside]))
    assert large.startswith("An audible difference is to be expected, but not at the main seat: ")
    assert "differ by 0.00 dB at 306 Hz at the seat in free space, " in large
    assert " in the estimated in-room curve and less than 0.5 dB elsewhere (unc" in large


def test_a_floor_that_lies_lower_is_heard_at_the_seat(solve_free_field):
    """One source at another height: the same in free space, other dips off the floor."""
    one, other = (
        predict(
            make_case(
                [make_driver("only")],
                cabinet=Cabinet(0.22, 0.38, 0.3, base),
                seat=seat_at(2.5, (base + 0.4,)),
                surfaces=(Surface("floor", 0.0),),
            ),
            solve=solve_free_field,
        )
        for base in (0.4, 0.7)
    )
    one = one.assign_coords(ear_height=other.ear_height)
    most = audible([one, other]).most
    assert most.place == "at the seat with reflections"
    assert 100.0 <= most.frequency <= 1500.0
    bare = [
        each.assign(reflection=each.reflection * (each.path == "direct")) for each in (one, other)
    ]
    assert not audible(bare).is_audible


def test_cabinets_heard_apart_are_each_compared(solve_free_field):
    """Of a pair whose right cabinet alone differs at the seat."""
    pair = predict(pair_case(2.0, seat_at(2.5, (0.9,), 0.4)), solve=solve_free_field)
    right = louder(pair, xr.where(pair.speaker == "right", tipped(pair, 3.0), 0.0), BOTH[1:])
    most = audible([pair, right]).most
    assert (most.place, most.listener) == ("at the seat in free space", "right cabinet")
    assert "at the seat in free space (right cabinet)" in heard_apart(audible([pair, right]))
    assert most.largest == pytest.approx(1.5, abs=0.02)


def pair_case(spacing, seat):
    """A point source in each of two cabinets without a room."""
    return make_case(
        [make_driver("only")], seat=seat, placement=Placement(True, spacing), surfaces=()
    )


def tipped(prediction: xr.Dataset, decibels: float) -> xr.DataArray:
    """Half of it more in the upper half of the band, half of it less in the lower."""
    return step(prediction, decibels) - decibels / 2


def test_one_volume_control_leaves_the_balance_as_it_is(solve_free_field):
    """From 0.5 m aside two cabinets 1 m apart are 0.64 dB unlike in level, 3.5 m apart 1.61 dB.

    By hand: 20·lg(√(2.5² + 1²)/2.5) and 20·lg(√(2.5² + 2.25²)/√(2.5² + 1.25²)), heights aside. One
    volume control shares that out; no cabinet may have one of its own.
    """
    one, other = (
        predict(pair_case(spacing, seat_at(2.5, (0.9,), 0.5)), solve=solve_free_field)
        for spacing in (1.0, 3.5)
    )
    by_hand = 20 * np.log10(np.hypot(2.5, 2.25) / np.hypot(2.5, 1.25)) - 20 * np.log10(
        np.hypot(2.5, 1.0) / 2.5
    )
    found = audible([one, other])
    assert found.most.main
    assert found.most.largest == pytest.approx(by_hand / 2, abs=0.01)
    assert found.is_audible is not False


def test_farther_away_is_made_good_by_the_volume_control(solve_free_field):
    """Seats and reference points at other distances: no balance changes, so nothing is heard."""
    near, far = (
        predict(
            make_case(
                [make_driver("only")],
                seat=seat_at(distance, (0.9,)),
                reference=ReferenceAxis((0.0, 0.0), reach),
                surfaces=(),
            ),
            solve=solve_free_field,
        )
        for distance, reach in ((2.0, 1.0), (3.0, 2.0))
    )
    assert audible([near, far]).most.largest == pytest.approx(0.0, abs=0.01)


def test_the_main_seat_comes_first_and_alone(solve_free_field):
    """One seat more, where the designs differ by 3 dB; at the main seat by 1.6 dB."""
    seat = Seat((SeatPlace("main", 2.5), SeatPlace("end", 2.5, 0.8)), (0.9,))
    case = make_case([make_driver("only")], seat=seat, surfaces=())
    one = predict(case, solve=solve_free_field)
    more = xr.where(one.seat == "end", tipped(one, 6.0), tipped(one, 3.2))
    found = audible([one, louder(one, more, BOTH[1:])])
    main, end = (each for each in found.differences if "free space" in each.place)
    assert (main.place, main.listener, main.main) == ("at the main seat in free space", "", True)
    assert (end.place, end.listener) == ("at the other seats in free space", "seat end")
    assert (main.largest, end.largest) == (pytest.approx(1.6), pytest.approx(3.0))
    text = heard_apart(found)
    assert "the designs differ by 1.6 dB at " in text
    assert text.index("at the main seat in free") < text.index("3.0 dB at ")
    elsewhere = audible([one, louder(one, xr.where(one.seat == "end", more, 0.0), BOTH[1:])])
    assert (elsewhere.is_audible, elsewhere.heard_at_main) == (True, False)
    assert "to be expected, but not at the main seat: " in heard_apart(elsewhere)


def test_other_frequencies_make_no_difference(solve_baffled_piston):
    coarse, fine = (
        predict(make_case(frequencies=FrequencyGrid(per_octave=n)), solve=solve_baffled_piston)
        for n in (24, 36)
    )
    assert audible([coarse, fine]).most.largest < 0.1


def test_a_band_that_is_not_covered_leaves_it_open(solve_free_field):
    cases = [
        make_case(path=f"{name}.toml", digest=name, frequencies=FrequencyGrid(500.0, 5000.0))
        for name in ("one", "other")
    ]
    result = compare(cases, solve=solve_free_field)
    assert result.audible is None
    assert result.sentences[0].startswith("Whether the designs can be heard apart is not known")
