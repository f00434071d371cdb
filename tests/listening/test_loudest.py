"""The highest level at the seat: point sources, pistons and images, all known in closed form."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.enclosure_model import Amplifier, Enclosure, PassiveRadiator
from acoustics.case.design.model import FrequencyGrid, Placement, Surface
from acoustics.driver import SmallSignal
from acoustics.listening.loudest import limit_inputs, loudest, missing_keys, taken, unknown_limits
from acoustics.listening.low_end import low_end
from acoustics.prediction import predict
from acoustics.source import LIMITS, input_limits, motion_of
from support.boxes import parameters, vented
from support.cases import make_case, make_driver, seat_at
from support.free_field import solve_baffled_piston, solve_free_field
from support.limits import with_limits

GRID = FrequencyGrid(20.0, 20_000.0, 12)

FREE = 88 - 20 * np.log10(2)
"""dB at 1 m for 2.83 V: 88 dB into half space are 6 dB less in free space (method of images)."""


def made(drivers=None, solve=solve_free_field, **changes):
    values = {"surfaces": (), "frequencies": GRID, "seat": seat_at(2.5, (0.79,)), **changes}
    case = make_case([make_driver("only")] if drivers is None else drivers, **values)
    return case, predict(case, solve=solve)


def gain(volts):
    return 20 * np.log10(volts / 2.83)


def test_the_limits_are_those_of_the_source():
    assert tuple(with_limits(made()[1]).limit.values) == LIMITS


def test_a_point_source_at_its_power():
    """20 V instead of 2.83 V; 2.5 m away instead of 1 m. The driver is at 0.79 m, as the ears."""
    _, prediction = made()
    loud = loudest(with_limits(prediction, {("power", "only"): 20.0}))
    np.testing.assert_allclose(loud.axis_level, FREE, atol=1e-6)
    np.testing.assert_allclose(loud.seat_level, FREE - 20 * np.log10(2.5), atol=1e-6)
    np.testing.assert_allclose(loud.axis_highest, FREE + gain(20.0), atol=1e-6)
    np.testing.assert_allclose(loud.seat_highest - loud.seat_level, gain(20.0), atol=1e-9)
    assert set(loud.binding_limit.values) == {"power"}
    assert set(loud.binding_driver.values) == {"only"}
    assert loud.seat_highest.attrs["units"] == "dB"


def test_powers_of_a_pair_add():
    """3.01 dB more than one cabinet at the same distance."""
    spacing, ahead = 2.0, 2.5
    pair = Placement(pair=True, spacing=spacing)
    one = FREE - 20 * np.log10(np.hypot(spacing / 2, ahead))
    _, prediction = made(placement=pair, seat=seat_at(ahead, (0.79,)))
    level = loudest(with_limits(prediction)).seat_level
    np.testing.assert_allclose(level, one + 10 * np.log10(2), atol=1e-6)


@pytest.mark.parametrize(("level", "at", "volume"), [(100, 30, 416.813109), (96, 40, 147.932602)])
def test_peak_volume_displacement_for_a_level(level, at, volume):
    """Simple source in half space, p = ρω²V/(2πr), ρ = 1.2 kg/m³, at 1 m (Small 1972).

    What one frequency takes follows at all others as f².
    """
    diameter = 0.25
    most = volume * 1e-6 / (np.pi * diameter**2 / 4)
    driver = make_driver("bass", piston_diameter=diameter, most_displacement=most)
    case, prediction = made([driver], solve_baffled_piston)
    frequency = prediction.frequency.values
    volts = input_limits(case, motion_of(case, frequency), frequency)
    rows = {("displacement", "bass"): volts[LIMITS.index("displacement"), 0]}
    loud = loudest(with_limits(prediction, rows), smoothing=None)
    low = frequency < 200
    expected = level + 40 * np.log10(frequency[low] / at)
    np.testing.assert_allclose(loud.axis_highest.values[low], expected, atol=1e-3)
    assert set(loud.binding_limit.values) == {"displacement"}


def test_limits_hold_behind_the_filter_and_the_amplifiers_before_it():
    two_way = make_case()
    _, prediction = made(two_way.drivers, crossover=two_way.crossover)
    limits = {
        ("power", "woofer"): 12.0,
        ("displacement", "tweeter"): 6.0,
        ("amplifier", "woofer"): 15.0,
        ("amplifier", "tweeter"): 15.0,
    }
    loud = loudest(with_limits(prediction, limits))
    woofer, tweeter = abs(prediction["filter"]).transpose("driver", "frequency").values
    with np.errstate(divide="ignore"):
        expected = np.minimum(np.minimum(12 / woofer, 6 / tweeter), 15.0)
    np.testing.assert_allclose(loud.highest_input, expected, rtol=1e-12)
    ends = list(zip(loud.binding_limit.values, loud.binding_driver.values, strict=True))
    assert (ends[0], ends[-1]) == (("power", "woofer"), ("displacement", "tweeter"))
    assert ("amplifier", "") in ends


def test_a_filter_that_amplifies_has_the_amplifier_behind_it():
    _, prediction = made()
    louder = prediction.assign(filter=2.0 * prediction["filter"])
    loud = loudest(with_limits(louder, {("amplifier", "only"): 15.0}))
    np.testing.assert_allclose(loud.highest_input, 7.5)


def test_passive_parts_that_lift_the_voltage_have_the_amplifier_before_them():
    _, prediction = made()
    current = prediction["filter"] / 8.0
    lifted = prediction.assign(filter=2.0 * prediction["filter"], driver_current=current)
    loud = loudest(with_limits(lifted, {("amplifier", "only"): 15.0}))
    np.testing.assert_allclose(loud.highest_input, 15.0)


@pytest.mark.parametrize("kind", ["vented", "passive radiator"])
def test_two_drivers_and_ports_in_a_box_are_two_halves_of_it(kind):
    """By symmetry a wall halfway between them changes nothing: limits are those of half the box.

    Without that, each driver would be allowed twice the port's speed.
    """
    signal = parameters(40.0, 0.38)
    half = vented(signal, 1.5, 1.0, 7.0, passive=kind != "vented")
    (driver,), (box,) = half.drivers, half.enclosures
    half = dataclasses.replace(
        half,
        drivers=(dataclasses.replace(driver, most_displacement=4e-3),),
        enclosures=(
            dataclasses.replace(
                box,
                passive_radiators=tuple(
                    dataclasses.replace(each, most_displacement=8e-3)
                    for each in box.passive_radiators
                ),
            ),
        ),
        frequencies=FrequencyGrid(20.0, 200.0, 12),
        surfaces=(),
    )
    (driver,), (box,) = half.drivers, half.enclosures

    def doubled(things):
        """Each thing and its twin, moved aside so that they do not overlap."""
        return tuple(
            dataclasses.replace(each, name=f"{each.name} {n}", position=(x, each.position[1]))
            for each in things
            for n, x in enumerate((-0.1, 0.1))
        )

    drivers = doubled((driver,))
    both = dataclasses.replace(
        half,
        cabinet=dataclasses.replace(half.cabinet, width=0.5),
        drivers=drivers,
        enclosures=(
            dataclasses.replace(
                box,
                drivers=tuple(each.name for each in drivers),
                gross=2 * box.gross,
                ports=doubled(box.ports),
                passive_radiators=doubled(box.passive_radiators),
            ),
        ),
    )
    frequency = half.frequencies.values()
    one, two = (with_motion(case, frequency) for case in (half, both))
    for limit in ("displacement", "port speed" if kind == "vented" else "passive radiator"):
        expected = limit_inputs(one).sel(limit=limit, driver="driver")
        assert np.isfinite(expected).all()
        for name in ("driver 0", "driver 1"):
            found = limit_inputs(two).sel(limit=limit, driver=name)
            np.testing.assert_allclose(found, expected, rtol=1e-9)


def with_motion(case, frequency):
    """What of a prediction the limits take, without a field."""
    motion = motion_of(case, frequency)
    names = [driver.name for driver in case.drivers]
    return xr.Dataset(
        {
            "filter": (("driver", "frequency"), np.ones((len(names), frequency.size))),
            "volume_velocity": (("radiator", "driver", "frequency"), motion.volume_velocity),
            "input_limit": (
                ("limit", "driver", "frequency"),
                input_limits(case, motion, frequency),
            ),
            "radiator_kind": ("radiator", [each.kind for each in motion.radiators]),
        },
        coords={"driver": names, "limit": list(LIMITS), "frequency": frequency},
    )


def test_what_is_not_known_does_not_bind():
    _, prediction = made()
    nothing = with_limits(prediction, {("power", "only"): np.nan})
    loud = loudest(nothing)
    assert np.isposinf(loud.highest_input).all()
    assert np.isposinf(loud.seat_highest).all()
    assert set(loud.binding_limit.values) == {""}
    assert unknown_limits(nothing) == (("power", "only"),)


def test_a_floor_gives_what_its_image_does_at_the_ear_that_gets_least():
    """Method of images, the driver 0.79 m above a hard floor; unsmoothed."""
    ears, far = (0.6, 1.3), 2.5
    _, prediction = made(surfaces=(Surface("floor", 0.0),), seat=seat_at(far, ears))
    k = 2 * np.pi * prediction.frequency.values / 343.0
    paths = [[np.hypot(far, ear + side * 0.79) for side in (-1, 1)] for ear in ears]
    sums = [sum(np.exp(-1j * k * r) / r for r in both) for both in paths]
    expected = FREE + 20 * np.log10(np.abs(sums)).min(axis=0)
    loud = loudest(with_limits(prediction), smoothing=None)
    np.testing.assert_allclose(loud.seat_level, expected, atol=1e-6)
    assert float(loudest(with_limits(prediction)).seat_level.min()) > expected.min() + 3


def test_what_a_level_takes_and_what_is_left():
    _, prediction = made()
    limits = {
        ("power", "only"): 20.0,
        ("amplifier", "only"): 40.0,
        ("displacement", "only"): np.nan,
    }
    loud = loudest(with_limits(prediction, limits))
    wanted = FREE - 20 * np.log10(2.5) + 20  # ten times the voltage
    needs = taken(loud, wanted)
    np.testing.assert_allclose(needs.needed_input, 28.3, rtol=1e-6)
    left = needs.headroom.sel(driver="only").isel(frequency=0)
    assert float(left.sel(limit="power")) == pytest.approx(20 * np.log10(20 / 28.3), abs=1e-6)
    assert float(left.sel(limit="amplifier")) == pytest.approx(20 * np.log10(40 / 28.3), abs=1e-6)
    assert np.isnan(left.sel(limit="displacement"))
    np.testing.assert_allclose(needs.margin, 20 * np.log10(20 / 28.3), atol=1e-6)


PARAMETERS = SmallSignal(5.6, 6.0, 0.0115, 9.5e-4, 1.0, 0.0113)


@pytest.mark.parametrize(
    ("driver", "limit", "keys"),
    [
        ({}, "displacement", ["drivers.only.most_displacement"]),
        ({}, "power", ["drivers.only.power", "drivers.only.rated_impedance"]),
        ({"power": 30.0}, "power", ["drivers.only.rated_impedance"]),
        ({"small_signal": PARAMETERS}, "power", ["drivers.only.power"]),
        ({}, "amplifier", ["amplifier.power"]),
        ({}, "passive radiator", ["enclosures.bass.passive_radiators.low.most_displacement"]),
    ],
)
def test_every_missing_key_is_named(driver, limit, keys):
    case, prediction = made()
    low, high = (
        PassiveRadiator(name, 0.12, 0.16, (0.0, 0.0), 0.02, 1e-3, 1.0, most_displacement=most)
        for name, most in (("low", None), ("high", 8e-3))
    )
    case = dataclasses.replace(
        case,
        drivers=(dataclasses.replace(case.drivers[0], **driver),),
        enclosures=(
            Enclosure("bass", "passive radiator", ("only",), 0.01, passive_radiators=(low, high)),
            Enclosure("other", "passive radiator", ("else",), 0.01, passive_radiators=(low,)),
        ),
        amplifier=Amplifier(),
    )
    assert list(missing_keys(case, with_limits(prediction, {(limit, "only"): np.nan}))) == keys


def test_keys_are_those_that_the_source_lacks():
    """What `input_limits` gives as NaN is what is named, and nothing else."""
    case, prediction = made([make_driver("only", power=30.0, rated_impedance=8.0)])
    frequency = prediction.frequency.values
    volts = input_limits(case, motion_of(case, frequency), frequency)
    rows = {(limit, "only"): volts[i, 0] for i, limit in enumerate(LIMITS)}
    keys = missing_keys(case, with_limits(prediction, rows))
    assert keys == ("drivers.only.most_displacement", "amplifier.power")


@pytest.mark.parametrize(
    ("margin", "start", "expected"),
    [
        ([-2, -1, 1, 2, 2], 80, 20 * np.sqrt(2)),  # halfway between 20 and 40 Hz in log frequency
        ([-3, -3, -1, 3, 2], 160, 40 * 2**0.25),
        ([1, 1, 1, 1, 1], 80, 10),
        ([1, -1, 1, 1, -1], 80, 20 * np.sqrt(2)),  # what lies above the start is not asked for
        ([1, 1, 1, -1, 1], 80, 80 * np.sqrt(2)),  # not at the start: up from there
        ([-1, -1, -1, -1, -1], 80, np.nan),
        ([-np.inf, -np.inf, 1, 1, 1], 80, 40),
    ],
)
def test_the_low_end_is_where_the_margin_is_used_up(margin, start, expected):
    frequency = 10.0 * 2.0 ** np.arange(5)
    found = low_end(frequency, np.array(margin, dtype=float), start)
    assert found == pytest.approx(expected, nan_ok=True)
