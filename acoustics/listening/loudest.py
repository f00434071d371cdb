"""How loud a design can play: the level of a steady sine that just meets the first limit."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import DRIVE_VOLTAGE, MAIN_SEAT, REFERENCE_PRESSURE, SURROUNDINGS
from acoustics.listening.levels import decibels, smoothed_power
from acoustics.listening.stamp import stamped

AMPLIFIER = "amplifier"
"""The limit that all drivers have in common."""

EAR = 3.0
"""Denominator of the fraction of an octave over which levels at the seat are smoothed, as about the
ear does: a sine is not judged by the one narrow dip that it may meet."""


def loudest(prediction: xr.Dataset, smoothing: float | None = EAR) -> xr.Dataset:
    """Find the highest level at every frequency at which no driver exceeds a limit.

    A steady sine at one frequency; music with its peaks and pauses may be louder where power is the
    limit. Limits that are not known do not bind, so that the level is *at most* that where there
    are some, see `unknown_limits`. Power is that behind the filter; the amplifier's limit is at the
    input, or behind a filter that amplifies, which has the amplifier behind it; passive parts have
    it before them, though they may lift the voltage too, and it has before it what is active there.
    What several drivers move together, as cones and ports of one box, is added up.

    At the seat all cabinets play the same and their powers add, with every reflection, at the ear
    height that gets least; signals in phase may add up to 3 dB more for a pair. Only the way to the
    seat is smoothed, not the limits.

    Args:
        prediction: as `predict` makes it, with `input_limit`.
        smoothing: of the levels: denominator of the fraction of an octave; None for none.

    Returns:
        Over (limit, driver, frequency): limit_input, V rms at the input, infinite where a limit
        does not bind, NaN where it is not known. Over frequency: highest_input (V, infinite where
        no limit binds), binding_limit and binding_driver (names; no driver for the amplifier),
        seat_level, free_level and axis_level (dB for 2.83 V at the main seat, there without
        reflections, and of one cabinet on the reference axis at 1 m), seat_highest and axis_highest
        (at the seat and on the axis at the highest input).
    """
    at_input = limit_inputs(prediction)
    highest, limits, drivers = _first_to_bind(at_input)
    here = "at the main seat with every reflection, all cabinets, re 20 µPa"
    free = "without reflections, re 20 µPa"
    axis = "on the reference axis at 1 m, re 20 µPa"
    powers = {
        "seat": seat_power(prediction),
        "free": seat_power(prediction, SURROUNDINGS[0]),
        "axis": axis_power(prediction),
    }
    frequency = prediction.frequency.values
    levels = {
        name: decibels(smoothed_power(power, frequency, smoothing) / REFERENCE_PRESSURE**2)
        for name, power in powers.items()
    }
    levels["seat"] = levels["seat"].min("ear_height")
    levels["free"] = levels["free"].min("ear_height")
    gain = 20 * np.log10(highest / DRIVE_VOLTAGE)
    with np.errstate(invalid="ignore"):
        most = {name: (each + gain).fillna(-np.inf) for name, each in levels.items()}
    figures = {
        "seat_level": stamped(levels["seat"], "dB", f"level for 2.83 V {here}"),
        "free_level": stamped(levels["free"], "dB", f"the same {free}"),
        "axis_level": stamped(levels["axis"], "dB", f"level for 2.83 V {axis}"),
        "seat_highest": stamped(most["seat"], "dB", f"highest level {here}"),
        "axis_highest": stamped(most["axis"], "dB", f"highest level {axis}"),
    }
    names = {
        "binding_limit": (limits, "what limits the level"),
        "binding_driver": (drivers, "driver whose limit that is"),
    }
    return xr.Dataset(
        {
            "limit_input": at_input,
            "highest_input": (
                "frequency",
                highest,
                {"units": "V", "long_name": "highest rms voltage at the input"},
            ),
            **{name: ("frequency", each, {"long_name": n}) for name, (each, n) in names.items()},
            **{name: each.reset_coords(drop=True) for name, each in figures.items()},
        }
    )


def _first_to_bind(at_input: xr.DataArray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The lowest of the known limits at every frequency, its name, and the driver's."""
    count = at_input.driver.size
    all_of_them = at_input.values.reshape(-1, at_input.frequency.size)
    known = np.where(np.isnan(all_of_them), np.inf, all_of_them)
    highest, which = known.min(axis=0), known.argmin(axis=0)
    bound = np.isfinite(highest)
    limits = np.where(bound, at_input.limit.values.astype(str)[which // count], "")
    drivers = np.where(bound, at_input.driver.values.astype(str)[which % count], "")
    return highest, limits, np.where(limits == AMPLIFIER, "", drivers)


def limit_inputs(prediction: xr.Dataset) -> xr.DataArray:
    """Every limit as rms voltage at the input with all drivers playing, V.

    Limits are stated for one driver's voltage, the others shorted. What drivers in one enclosure
    move together, each other's cones included, is added up here.

    Returns:
        Dims (limit, driver, frequency).
    """
    terminals = prediction.input_limit.transpose("limit", "driver", "frequency")
    gain = abs(prediction["filter"]).transpose("driver", "frequency").values
    through = np.stack([gain] * terminals.limit.size)
    limits = [str(name) for name in terminals.limit.values]
    if AMPLIFIER in limits:
        some = "amplifier_filter" in prediction
        before = np.abs(prediction.amplifier_filter.values) if some else 1.0
        through[limits.index(AMPLIFIER)] = np.where(
            _passive(prediction), before, np.maximum(gain, 1.0)
        )
    for limit, share in _moved_together(prediction).items():
        through[limits.index(limit)] = share
    with np.errstate(divide="ignore", invalid="ignore"):
        at_input = terminals / through
    meaning = "rms voltage at the input at which a driver meets a limit"
    return stamped(at_input.reset_coords(drop=True), "V", meaning)


def _passive(prediction: xr.Dataset) -> np.ndarray:
    """Which drivers hang on the passive crossover, shape (driver, 1)."""
    if "driver_current" not in prediction:
        return np.zeros((prediction.driver.size, 1), dtype=bool)
    current = prediction.driver_current.transpose("driver", "frequency").values
    return ~np.isnan(current).all(axis=1, keepdims=True)


def _moved_together(prediction: xr.Dataset) -> dict[str, np.ndarray]:
    """How far things move for a volt at the input, over how far for a volt at one driver.

    Returns:
        By limit, shape (driver, frequency). Of several ports or passive radiators the one that
        fares worst counts; in one box they all follow its pressure alike.
    """
    alone = prediction.volume_velocity.transpose("radiator", "driver", "frequency").values
    filters = prediction["filter"].transpose("driver", "frequency").values
    together = np.abs((filters * alone).sum(axis=1))[:, None]
    share = np.zeros(alone.shape)
    np.divide(together, np.abs(alone), out=share, where=alone != 0)
    kinds = prediction.radiator_kind.values.astype(str)
    own = np.arange(prediction.driver.size)  # the first radiators are the drivers
    others = {
        limit: share[kinds == kind].max(axis=0, initial=0.0)
        for limit, kind in (("port speed", "port"), ("passive radiator", "passive radiator"))
    }
    return {"displacement": share[own, own], **others}


def seat_power(prediction: xr.Dataset, surroundings: str = SURROUNDINGS[1]) -> xr.DataArray:
    """Squared pressure of all cabinets at the main seat, powers added, Pa² (ear_height, …)."""
    heard = prediction.seat_total.sel(surroundings=surroundings, seat=MAIN_SEAT, drop=True)
    power: xr.DataArray = (abs(heard) ** 2).sum("speaker")
    return power


def axis_power(prediction: xr.Dataset) -> xr.DataArray:
    """Squared pressure on the reference axis, referred to 1 m, Pa² (frequency)."""
    axis = prediction.arc_total.sel(plane="horizontal", angle=0.0, drop=True)
    power: xr.DataArray = (abs(axis) * prediction.attrs["reference_distance"]) ** 2
    return power


def unknown_limits(prediction: xr.Dataset) -> tuple[tuple[str, str], ...]:
    """Limit and driver of every limit that is not known at some frequency."""
    limits = prediction.input_limit.transpose("limit", "driver", "frequency")
    rows, columns = np.nonzero(np.isnan(limits.values).any(axis=-1))
    return tuple(
        (str(limits.limit.values[i]), str(limits.driver.values[j]))
        for i, j in zip(rows, columns, strict=True)
    )


def some_limit_known(prediction: xr.Dataset) -> bool:
    """Whether the prediction holds a limit that binds somewhere."""
    return "input_limit" in prediction and bool(np.isfinite(prediction.input_limit).any())


def missing_keys(case: Case, prediction: xr.Dataset) -> tuple[str, ...]:
    """Keys of the case that would make the unknown limits known.

    Args:
        case: the design.
        prediction: the prediction of that same design, with `input_limit`.
    """
    keys = [
        key for limit, driver in unknown_limits(prediction) for key in _keys(case, limit, driver)
    ]
    return tuple(dict.fromkeys(keys))


def _keys(case: Case, limit: str, name: str) -> list[str]:
    """What one unknown limit of a driver takes."""
    if limit == AMPLIFIER:
        return ["amplifier.power"]
    if limit == "passive radiator":
        return [
            f"enclosures.{enclosure.name}.passive_radiators.{each.name}.most_displacement"
            for enclosure in case.enclosures
            if name in enclosure.drivers
            for each in enclosure.passive_radiators
            if each.most_displacement is None
        ]
    driver = case.driver(name)
    stated = {
        "displacement": {"most_displacement": driver.most_displacement},
        "power": {"power": driver.power, "rated_impedance": driver.rated_impedance},
    }[limit]
    if driver.small_signal is not None:  # its voice coil's resistance will do
        stated.pop("rated_impedance", None)
    return [f"drivers.{name}.{key}" for key, value in stated.items() if value is None]


def taken(loud: xr.Dataset, wanted: float) -> xr.Dataset:
    """What a level at the seat takes at every frequency, and how near each limit then is.

    Args:
        loud: as `loudest` gives it.
        wanted: dB re 20 µPa at the main seat.

    Returns:
        needed_input (V rms, frequency); headroom (dB, limit × driver × frequency): what is left to
        each limit, negative beyond it; margin (dB, frequency): the least that is left, infinite
        where nothing binds.
    """
    needed = DRIVE_VOLTAGE * 10 ** ((wanted - loud.seat_level) / 20)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = 20 * xr.apply_ufunc(np.log10, loud.limit_input / needed)
    return xr.Dataset(
        {
            "needed_input": stamped(needed, "V", "rms voltage at the input that the level takes"),
            "headroom": stamped(left, "dB", "what is left to a limit"),
            "margin": stamped(loud.seat_highest - wanted, "dB", "what is left to the first limit"),
        }
    )
