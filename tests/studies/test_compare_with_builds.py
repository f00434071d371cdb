"""Differences held against what builds stray by, with spreads and gains that are put in by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtr

from acoustics.case.design.model import FrequencyGrid
from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.case.objects.spreads import (
    distance_spread,
    level_spreads,
    part_spreads,
    temperature_spread,
)
from acoustics.conventions import RoundoverError
from acoustics.prediction import predict
from acoustics.report import comparison_csv, comparison_text
from acoustics.studies.build_pairs.draws import paired_draws, shared
from acoustics.studies.build_pairs.pairs import enough
from acoustics.studies.build_pairs.words import about_builds
from acoustics.studies.comparison.compare import compare
from acoustics.studies.yardsticks.build_ends import ends_of
from support.cases import make_case, make_driver, pass_branch, seat_at
from support.free_field import solve_free_field

FEW = FrequencyGrid(lowest=250.0, highest=12_000.0, per_octave=12)
"""As few as the band and its smoothing allow."""

LEVELS = 1.0
"""dB: 95 % of the builds of each driver lie within"""


def design(name, digest, gain=0.0, spreads=None, **changes):
    """A two-way without a floor, its tweeter louder by some dB; levels stray."""
    crossover = (
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0, gain=gain),
    )
    case = make_case(
        drivers=(make_driver("woofer", -0.02), make_driver("tweeter", 0.10)),
        crossover=crossover,
        path=f"{name}/case.toml",
        digest=digest * 64,
        frequencies=FEW,
        arc_step=10.0,
        surfaces=(),
        seat=seat_at(2.5, (0.9,)),
        **changes,
    )
    stray = tuple(level_spreads(case, LEVELS, "normal")) if spreads is None else spreads
    return replace(case, tolerance=Tolerance(stray))


def held(cases, builds=3):
    predictions = [predict(case, solve=solve_free_field) for case in cases]
    return compare(
        cases, predictions, tolerance=True, builds=builds, workers=0, solve=solve_free_field
    )


@pytest.fixture(scope="module")
def close():
    """Tweeters 0.6 dB apart, which two of them do by themselves: 1 dB each."""
    return held([design("one", "a"), design("other", "b", gain=0.6)], builds=5)


def test_less_than_builds_stray_by_is_no_difference(close):
    """Levels of two drivers and two designs: 95 % of the balance's differences within 2 dB."""
    level = close.table.isel(row=close.table.answer.values == "axis_tilt")
    assert float(level.band_low[0]) < 0 < float(level.band_high[0])
    assert not close.table.differs.any()
    assert all(ranking.draw for ranking in close.rankings)
    assert not close.audible.is_audible
    assert (
        "None is better: in every quality the difference is within what builds stray by"
        in (close.sentences[0])
    )
    # The calculation alone tells them apart, and the text says so.
    alone = compare([design("one", "a"), design("other", "b", gain=0.6)], solve=solve_free_field)
    apart = [ranking.quality.name for ranking in alone.rankings if not ranking.draw]
    assert apart
    assert [r.quality.name for r in close.rankings if r.hidden] == apart
    (said,) = [s for s in close.sentences if "holes, parts and drivers stray by more" in s]
    assert apart[0].split(" (")[0] in said
    assert alone.pairs is None
    assert "band_low" not in alone.table


def test_more_than_builds_stray_by_is_found():
    result = held([design("one", "a"), design("other", "b", gain=6.0)])
    ripple = next(r for r in result.rankings if r.quality.answer == "axis_ripple")
    assert len(ripple.best) == 1
    far = 1 - ripple.best[0]
    assert ripple.behind(far) > ripple.doubt(far) == ripple.behind(far) - ripple.left[far] > 0.1
    assert result.audible.is_audible
    most = result.audible.most
    # 6 dB in half of the octaves leave 3 dB either way of the mean; of that up to 2 dB stray.
    assert 1.0 < most.stays < most.largest == pytest.approx(3.0, abs=0.8)
    assert (
        "An audible difference beyond what builds stray by is to be expected"
        in (result.sentences[0])
    )
    assert "(builds leave " in result.sentences[0]


def test_one_listener_hears_both():
    """Distance moves the level at both seats alike, 20 lg: held apart, 0.5 dB drown in 1 dB."""

    def far(name, digest, gain):
        base = design(name, digest, gain)
        both = tuple(replace(branch, gain=gain) for branch in base.crossover)
        spreads = (distance_spread(base, 0.3, "normal"),)
        return replace(base, crossover=both, tolerance=Tolerance(spreads))

    table = held([far("one", "a", 0.0), far("other", "b", 0.5)]).table
    row = int(np.flatnonzero(table.answer.values == "seat_level")[0])
    seat = table.isel(row=row)
    assert bool(seat.differs)
    np.testing.assert_allclose([seat.band_low, seat.band_high], 0.5, atol=1e-3)
    one, other = seat.built.values.T
    assert np.ptp(one) > 0.5
    # Were they not heard by one listener:
    low, high = ends_of(np.roll(other, 1) - one, 0.9)
    assert low < 0 < high


def test_the_same_seed_gives_the_same_text(close):
    cases = [design("one", "a"), design("other", "b", gain=0.6)]
    how = {"tolerance": True, "builds": 1, "workers": 0, "solve": solve_free_field}
    one, other = (compare(cases, close.predictions, **how) for _ in range(2))
    assert comparison_text(one) == comparison_text(other)
    assert comparison_csv(one.table) == comparison_csv(other.table)


def test_text_and_table_say_what_was_drawn(close):
    text = comparison_text(close)
    assert "Differences are held against 5 builds of each design, drawn at random" in text
    assert "* better by more than builds stray by" in text
    assert "All designs: 95 % of builds within levels 1 dB." in text
    head, first, *_ = comparison_csv(close.table).splitlines()
    assert head.endswith("difference,uncertainty,builds from,builds to,differs")
    assert len(first.split(",")) >= len(head.split(","))
    usual = replace(close.pairs.tolerances[1], usual=True)
    pairs = replace(close.pairs, tolerances=(close.pairs.tolerances[0], usual), asked=6)
    assert "1 more were drawn that cannot be" in about_builds(("one", "other"), pairs)[0]
    assert about_builds(("one", "other"), pairs)[2].startswith("other: 95 % of builds within")


def test_the_same_design_twice_is_refused():
    with pytest.raises(RoundoverError, match="describe the same design"):
        compare([design("one", "a"), design("other", "a")], tolerance=True)


def test_builds_that_cannot_be_are_refused():
    bare = design("one", "a")
    reach = Spread("distance", "distance", ("seat.distance",), (2.5,), 9.0, shape="uniform")
    cases = [replace(bare, tolerance=Tolerance((reach,))), design("other", "b")]
    with pytest.raises(RoundoverError, match="which nothing can have"):
        held(cases, builds=3)


def test_draws_are_paired_by_name_and_spread_evenly():
    case = make_case()
    own = tuple(level_spreads(case, 1.0, "normal"))
    room = (distance_spread(case, 0.1, "normal"), temperature_spread(case, 5.0, "normal"))
    one, other = paired_draws([Tolerance((*own, *room)), Tolerance((*room, *own))], 20, seed=3)
    np.testing.assert_array_equal(one[:, 2:], other[:, :2])
    assert (one[:, :2] != other[:, 2:]).all()
    # One draw in each twentieth of the distribution (McKay et al. 1979).
    for column in one.T:
        np.testing.assert_array_equal(np.sort(np.floor(20 * ndtr(column))), np.arange(20))
    assert (paired_draws([Tolerance(own)], 20, seed=4)[0] != one[:, :2]).all()
    assert paired_draws([Tolerance(())], 5, seed=1)[0].shape == (5, 0)


def test_what_is_built_is_not_shared():
    def key(path):
        return Spread(path, "key", (path,), (1.0,), 0.1, relative=True)

    assert not any(shared(key(path)) for path in ("cabinet.depth", "drivers.woofer.position.1"))
    assert all(shared(key(path)) for path in ("floor.reflection", "placement.spacing"))
    assert not any(map(shared, part_spreads(make_case(), 0.05, "uniform")))


def test_ends_of_a_band():
    """Linear between the builds, as Hyndman & Fan (Am. Stat. 50, 1996, 361) have it, type 7."""
    low, high = ends_of(np.arange(101.0)[:, None], 0.9)
    assert (float(low[0]), float(high[0])) == (5.0, 95.0)
    unknown = np.array([1.0, 2.0, np.nan, np.inf])
    assert ends_of(unknown, 0.9)[0] == pytest.approx(0.0)
    # Three builds beyond each end, and no fewer than sixty.
    assert [enough(band) for band in (0.5, 0.9, 0.95, 0.99)] == [60, 60, 120, 600]
