"""Room for the ears up, down and sideways, against two point sources in closed form."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr
from scipy.optimize import brentq

from acoustics.listening import span
from acoustics.listening.error import span_error
from acoustics.listening.span import aside_span, ends_about, height_span, height_spans
from support.by_hand import ATTRIBUTES, SPEED

GRID = 1000.0 * 2.0 ** (np.arange(-60, 104) / 24)  # 177 Hz to 20 kHz
AXIS = 1.0  # m above the floor: height of the middle between the sources
HEIGHTS = np.round(0.3 + 0.05 * np.arange(35), 9)


def view(spacing, distance, frequency=GRID, line=HEIGHTS, ears=(AXIS,), turned=False, late=0.0):
    """Two equal in-phase sources on an upright line (sideways if `turned`), heard from a line.

    The pattern alone: amplitudes do not fall with distance, so that the level is
    |cos(πd sinθ/λ)| to what the finite distance leaves of the path difference, d²/8D².
    """
    offset = line - (0.0 if turned else AXIS)
    zero = np.zeros_like(offset)
    across = (offset, zero) if turned else (zero, offset)
    points = np.stack([*across, zero + distance], axis=-1)
    k = 2 * np.pi * frequency / SPEED
    total = sum(
        np.exp(-1j * k * (np.hypot(offset - side * spacing / 2, distance)[:, None] + late))
        for side in (-1, 1)
    )
    name = "aside" if turned else "height"
    return xr.Dataset(
        {
            f"{name}_total": ((name, "frequency"), total),
            f"{name}_position": ((name, "axis"), points),
        },
        coords={
            "frequency": ("frequency", frequency),
            name: (name, line),
            "axis": ["x", "y", "z"],
            "ear_height": ("ear_height", np.array(ears)),
        },
        attrs=ATTRIBUTES,
    )


def pair_level(offset, spacing, distance, frequency):
    """dB relative to the middle, far field: 20 lg|cos(πd sinθ/λ)| (elementary interference)."""
    sine = offset / np.hypot(offset, distance)
    return 20 * np.log10(np.abs(np.cos(np.pi * spacing * sine * frequency / SPEED)))


def end_of_pair(drop, spacing, distance, frequency):
    """Offset (m) at which the pair has fallen by `drop` dB; inf where it never does."""
    sine = np.arccos(10 ** (-drop / 20)) * SPEED / (np.pi * spacing * frequency)
    cosine = np.sqrt(np.maximum(1 - sine**2, 1e-30))
    return np.where(sine < 1, distance * sine / cosine, np.inf)


@pytest.mark.parametrize(("spacing", "distance"), [(0.2, 2.5), (0.4, 3.0)])
def test_the_span_of_a_pair_at_every_frequency(spacing, distance):
    answer = height_span(view(spacing, distance), None)
    end = end_of_pair(3.0, spacing, distance, GRID)
    # 3 mm of the distance's d²/8D², and of 10 mm steps.
    assert answer.span_low.values[0] == pytest.approx(np.maximum(AXIS - end, 0.3), abs=3e-3)
    assert answer.span_high.values[0] == pytest.approx(np.minimum(AXIS + end, 2.0), abs=3e-3)
    clear = np.abs(end - 0.7) > 3e-3
    assert (answer.span_open.values[0] == (end > 0.7))[clear].all()
    assert answer.span_low.dims == ("ear_height", "frequency")
    assert 0 < answer.span_open.values.sum() < GRID.size


def test_the_narrowest_place_in_the_band():
    answer = height_span(view(0.2, 2.5), None)
    inside = GRID[GRID <= 10_000][-1]
    end = float(end_of_pair(3.0, 0.2, 2.5, inside))
    assert float(answer.narrowest_frequency[0]) == pytest.approx(inside)
    assert float(answer.narrowest_span[0]) == pytest.approx(2 * end, abs=2e-3)
    assert not answer.narrowest_open.values[0]
    assert answer.attrs["note"] == ""


def test_a_single_source_leaves_the_span_open():
    answer = height_span(view(0.0, 2.5))
    assert answer.span_open.values.all()
    assert answer.narrowest_open.values.all()
    assert answer.narrowest_span.values == pytest.approx([1.7])


@pytest.mark.parametrize("name", ["level of a pair at 20 degrees", "level of a pair at 45 degrees"])
def test_levels_of_a_pair_off_axis(name, reference):
    check = next(entry for entry in reference("lobing") if entry["name"] == name)
    given, distance = check["inputs"], 20.0
    frequency = np.array([0.5, 1.0, 2.0]) * given["f_hz"]
    line = np.round(AXIS + 0.05 * np.arange(-500, 501), 9)
    seen = view(given["d_m"], distance, frequency, line)
    answer = height_span(seen, None, tolerance=-check["expected"]["dB"]).sel(
        frequency=given["f_hz"]
    )
    for end, sign in ((answer.span_high, 1), (answer.span_low, -1)):
        degrees = np.rad2deg(np.arctan((float(end[0]) - AXIS) / distance))
        assert degrees == pytest.approx(sign * given["theta_deg"], abs=0.01)


@pytest.mark.parametrize(
    "name",
    [
        "nulls of a pair 0.20 m apart at 2 kHz",
        "nulls of a pair 0.15 m apart at 3 kHz",
        "nulls of a pair 0.20 m apart at 800 Hz",
    ],
)
def test_a_null_ends_a_span_however_tolerant(name, reference):
    check = next(entry for entry in reference("lobing") if entry["name"] == name)
    given, distance = check["inputs"], 20.0
    frequency = given["f_hz"] * np.array([0.9, 1.0, 1.1])
    line = np.round(AXIS + 0.05 * np.arange(-500, 501), 9)
    answer = height_span(view(given["d_m"], distance, frequency, line), None, tolerance=40.0)
    end = np.rad2deg(np.arctan((float(answer.span_high[0, 1]) - AXIS) / distance))
    nulls = check["expected"]["null_angles_deg"]
    if nulls:
        # 40 dB down is within 0.3° of the null.
        assert nulls[0] - 0.3 < end < nulls[0]
    assert bool(answer.span_open[0, 1]) == (not nulls)


def test_an_ear_off_the_middle_is_compared_with_itself():
    ear, spacing, distance = 0.8, 0.2, 2.5
    answer = height_span(view(spacing, distance, ears=(AXIS, ear)), None).sel(ear_height=ear)

    def where(change, frequency, start, stop):
        """Height between two offsets at which the level differs by `change` from the ear's."""
        at_ear = pair_level(ear - AXIS, spacing, distance, frequency)
        return AXIS + brentq(
            lambda h: pair_level(h, spacing, distance, frequency) - at_ear - change, start, stop
        )

    # 4 kHz: the ear is 1.6 dB below the middle, so the middle and as much beyond belong to it.
    here = answer.sel(frequency=4000.0)
    assert float(here.span_low) == pytest.approx(where(-3, 4000.0, -0.5, -0.2), abs=2e-3)
    assert float(here.span_high) == pytest.approx(where(-3, 4000.0, 0.2, 0.5), abs=2e-3)
    # 8 kHz: 8 dB below the middle; the span ends on the way up to it, and before the null below.
    here = answer.sel(frequency=8000.0)
    assert float(here.span_low) == pytest.approx(where(-3, 8000.0, -0.26, -0.2), abs=2e-3)
    assert float(here.span_high) == pytest.approx(where(3, 8000.0, -0.2, 0.0), abs=2e-3)


def test_smoothing_averages_power():
    # Independent: the pair's power averaged over 1/6 octave by a fine rule.
    spacing, distance = 0.4, 3.0
    answer = height_span(view(spacing, distance))
    for frequency in (2000.0, 8000.0):
        around = frequency * 2.0 ** np.linspace(-1 / 12, 1 / 12, 2001)

        def smoothed(offset, around=around):
            power = 10 ** (pair_level(offset, spacing, distance, around) / 10)
            return 10 * np.log10(np.trapezoid(power) / (around.size - 1))

        null = np.tan(np.arcsin(SPEED / (2 * spacing * frequency))) * distance
        end = brentq(lambda h, level=smoothed: level(h) + 3, 0.0, null)
        # 24 frequencies per octave stand for the curve between them.
        here = float(answer.span_high.sel(frequency=frequency)[0])
        assert here == pytest.approx(AXIS + end, abs=4e-3)


def test_sideways_is_the_same_about_the_seat():
    line = np.round(0.1 * np.arange(-10, 11), 9)
    answer = aside_span(view(0.2, 2.5, line=line, turned=True), None)
    end = end_of_pair(3.0, 0.2, 2.5, GRID)
    assert answer.span_low.dims == ("frequency",)
    # Receivers 0.1 m apart: 3 mm in the band, and less well above it.
    allowed = np.where(GRID <= 10_000, 3e-3, 8e-3)
    assert (np.abs(answer.span_high.values - np.minimum(end, 1.0)) < allowed).all()
    assert (np.abs(answer.span_low.values - np.maximum(-end, -1.0)) < allowed).all()
    assert answer.narrowest_span.dims == ()
    assert float(answer.narrowest_frequency) == pytest.approx(GRID[GRID <= 10_000][-1])


def test_a_delay_and_a_long_way_change_nothing():
    near = height_span(view(0.2, 2.5))
    late = height_span(view(0.2, 2.5, late=3.0))
    for name in ("span_low", "span_high"):
        assert late[name].values == pytest.approx(near[name].values, abs=1e-9)


@pytest.mark.parametrize(
    ("frequency", "word"),
    [(GRID[GRID > 500], "reaches beyond"), (GRID[::8], "per octave")],
)
def test_frequencies_that_do_not_allow_the_narrowest(frequency, word):
    answer = height_span(view(0.2, 2.5, frequency))
    assert word in answer.attrs["note"]
    assert np.isnan(answer.narrowest_span).all()
    assert np.isnan(answer.narrowest_frequency).all()
    assert not answer.narrowest_open.any()
    assert np.isfinite(answer.span_low).all()


def test_ends_of_straight_levels():
    # 2 dB per metre upward, −4 dB per metre downward from the place.
    x = np.linspace(0, 10, 11)
    level = np.array([np.where(x > 4.5, 2 * (x - 4.5), 4 * (x - 4.5)), 0 * x])
    low, high, reached = ends_about(x, level, 4.5, np.zeros(2), 3.0)
    assert low == pytest.approx([3.75, 0.0])
    assert high == pytest.approx([6.0, 10.0])
    assert reached.tolist() == [False, True]


def test_silence():
    x = np.linspace(0, 1, 11)
    level = np.zeros((2, 11))
    level[0, 8] = -np.inf
    low, high, reached = ends_about(x, level, 0.5, np.array([0.0, -np.inf]), 3.0)
    assert high[0] == pytest.approx(0.7)
    assert reached.tolist() == [True, False]
    assert np.isnan([low[1], high[1]]).all()


def test_a_place_at_the_end_of_the_line_or_a_line_of_one_point():
    low, high, reached = ends_about(np.array([0.0, 1.0]), np.zeros((1, 2)), 0.0, np.zeros(1), 3.0)
    assert (low[0], high[0], bool(reached[0])) == (0.0, 1.0, True)
    alone = aside_span(view(0.2, 2.5, line=np.zeros(1), turned=True))
    assert alone.span_open.values.all()
    assert alone.span_low.values == pytest.approx(0)


def test_levels_are_found_once_for_all_ears_and_tolerances(monkeypatch):
    """They are nearly all the work: interpolating along the line and smoothing."""
    asked = []

    def counted(name):
        whole = getattr(span, name)
        return lambda *given: asked.append(name) or whole(*given)

    for name in ("cubic", "smoothed_power"):
        monkeypatch.setattr(span, name, counted(name))
    wide, narrow = height_spans(view(0.2, 2.5, ears=(0.8, 1.0, 1.2)), (3.0, 1.0))
    assert (narrow.narrowest_span < wide.narrowest_span).all()
    assert asked == ["cubic", "smoothed_power"]


LINE = np.round(0.1 * np.arange(-10, 11), 9)


@pytest.mark.parametrize("silent", ["positions", "pressures"])
def test_a_line_that_meets_a_wall_ends_there(silent):
    # Nobody sits at 0.4 m or beyond; what lies behind it does not matter.
    seen = view(0.2, 2.5, line=LINE, turned=True)
    sought = "aside_position" if silent == "positions" else "aside_total"
    there = (seen.aside < 0.35) | (seen.aside > 0.75)
    cut = seen.assign({sought: seen[sought].where(there)})
    answer, whole = aside_span(cut, None), aside_span(seen, None)
    end = end_of_pair(3.0, 0.2, 2.5, GRID)
    clear = np.abs(end - 0.3) > 5e-3
    # The cubic at the cut end has fewer points around it.
    allowed = np.where(GRID <= 10_000, 5e-3, 8e-3)
    assert (np.abs(answer.span_high.values - np.minimum(end, 0.3)) < allowed).all()
    assert answer.span_low.values == pytest.approx(whole.span_low.values, abs=1e-6)
    assert (answer.span_open.values == ((end > 0.3) | (end > 1.0)))[clear].all()
    assert float(answer.narrowest_span) == pytest.approx(float(whole.narrowest_span), abs=5e-3)
    assert not answer.narrowest_open


def test_a_line_with_nothing_but_the_seat():
    seen = view(0.2, 2.5, line=LINE, turned=True)
    alone = aside_span(seen.assign(aside_total=seen.aside_total.where(seen.aside == 0)))
    assert alone.span_open.values.all()
    assert alone.span_low.values == pytest.approx(0)
    assert alone.span_high.values == pytest.approx(0)
    assert alone.narrowest_open
    # Nobody there at all: nothing is known.
    none = aside_span(seen.assign(aside_total=seen.aside_total.where(seen.aside > 0)))
    assert np.isnan(none.span_low).all()
    assert np.isnan(none.narrowest_span)
    assert not none.span_open.any()
    assert not none.narrowest_open


def test_several_tolerances_at_once():
    seen = view(0.2, 2.5, ears=(0.8, AXIS))
    for tolerance, answer in zip((2.0, 3.0, 6.0), height_spans(seen, (2.0, 3.0, 6.0)), strict=True):
        assert answer.identical(height_span(seen, tolerance=tolerance))


def test_the_error_of_spans_is_what_their_limit_does():
    both = view(0.2, 2.5).merge(view(0.2, 2.5, line=LINE, turned=True), compat="override")
    error = span_error(both, 0.25)
    top = GRID[GRID <= 10_000][-1]
    wide, narrow = (float(end_of_pair(drop, 0.2, 2.5, top)) for drop in (3.5, 2.5))
    # Smoothing by 1/6 octave takes a little of it.
    assert float(error.height_span[0]) == pytest.approx(wide - narrow, rel=0.05)
    assert float(error.aside_span) == pytest.approx(wide - narrow, rel=0.05)


def test_a_span_that_ends_bounds_an_open_one_as_narrow():
    def narrowest(below, above):
        """Ear 0.1 m below the top of the line.

        At 1 kHz the level has fallen by 3 dB so far (m) below and above; elsewhere 0.05 m below,
        and above never.
        """
        line = np.round(0.8 + 0.01 * np.arange(31), 9)
        offset, here = line - AXIS, GRID[:, None] == 1000.0
        down, up = np.where(here, below, 0.05), np.where(here, above, 1.0)
        fall = 3.0 * np.where(offset < 0, -offset / down, offset / up)
        size = xr.DataArray(10 ** (-fall / 20), dims=("frequency", "height"))
        seen = view(0.0, 2.5, line=line)
        return height_span(seen.assign(height_total=seen.height_total * size), None)

    bounded = narrowest(0.07, 0.085)
    assert float(bounded.narrowest_span[0]) == pytest.approx(0.155, abs=2e-3)
    assert float(bounded.narrowest_frequency[0]) == 1000.0
    assert not bounded.narrowest_open[0]
    # A much wider one says little: at least 0.15 m it is.
    wide = narrowest(0.09, 0.085)
    assert float(wide.narrowest_span[0]) == pytest.approx(0.15, abs=2e-3)
    assert wide.narrowest_open[0]
