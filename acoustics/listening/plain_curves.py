"""The curves of a prediction that people keep, as levels and phases: tables over frequency."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.conventions import PLANES
from acoustics.listening.levels import decibels, level
from acoustics.listening.stamp import stamped
from acoustics.listening.standard_curves import standard_curves

RE = ", re 20 µPa"
"""How long names of levels end; said once beside the tables."""

COARSEST_ARC = 10.0
"""degrees: what the standard curves need."""


def plain_curves(prediction: xr.Dataset) -> dict[str, xr.Dataset]:
    """The usual set of curves, each table one Dataset of real numbers over frequency.

    Args:
        prediction: as `predict` makes it.

    Returns:
        Name → level (dB re 20 µPa) and phase (degrees, −180 to 180, the flight from the reference
        point taken out) on the "reference-axis", of all drivers and of each; "standard-curves" as
        `standard_curves` has them, where the arcs have its directions; level at the "seat" over
        surroundings, cabinet, seat and ear height; level on both arcs, "off-axis-horizontal" and
        "off-axis-vertical", over angle; "crossover-filters" (dB, degrees); "impedance" (ohm,
        degrees) of each driver, and at the input of a passive crossover, where it is known.
    """
    tables = {"reference-axis": _on_axis(prediction)}
    if _has_directions(prediction):
        curves = standard_curves(prediction)
        tables["standard-curves"] = curves.assign(
            {
                name: stamped(curve, "dB", curve.long_name.removesuffix(RE))
                for name, curve in curves.data_vars.items()
            }
        )
    tables["seat"] = _level(prediction.seat_total, "level").to_dataset(name="level")
    for plane in PLANES:
        arc = prediction.arc_total.sel(plane=plane, drop=True)
        tables[f"off-axis-{plane}"] = _level(arc, "level").to_dataset(name="level")
    filters = prediction["filter"]
    tables["crossover-filters"] = xr.Dataset(
        {
            "level": stamped(decibels(abs(filters) ** 2), "dB", "level of the filter"),
            "phase": _phase(filters, "phase of the filter"),
        }
    )
    named = {"input_impedance": "impedance at the amplifier", "impedance": "impedance"}
    known = {name: words for name, words in named.items() if name in prediction}
    if known:
        tables["impedance"] = xr.Dataset(
            {
                f"{name}_{part}": made
                for name, words in known.items()
                for part, made in (
                    ("size", stamped(abs(prediction[name]), "ohm", words)),
                    ("phase", _phase(prediction[name], f"phase of the {words}")),
                )
            }
        )
    return {name: _bare(table) for name, table in tables.items()}


def _on_axis(prediction: xr.Dataset) -> xr.Dataset:
    """Level and phase on the reference axis, all drivers first: some programs read no further."""
    straight = prediction[["arc_total", "arc_pressure"]].sel(plane="horizontal", drop=True)
    straight = straight.sel(angle=0.0, method="nearest").drop_vars("angle")
    flight = prediction.attrs["reference_distance"] / prediction.attrs["speed_of_sound"]
    still = straight * np.exp(2j * np.pi * prediction.frequency * flight)
    return xr.Dataset(
        {
            "total_level": _level(still.arc_total, "level of all drivers"),
            "total_phase": _phase(still.arc_total, "phase of all drivers"),
            "level": _level(still.arc_pressure, "level"),
            "phase": _phase(still.arc_pressure, "phase"),
        }
    )


def _has_directions(prediction: xr.Dataset) -> bool:
    angle = prediction.angle.values
    wanted = np.arange(-170.0, 181.0, COARSEST_ARC)
    return bool(np.all(np.abs(angle[:, None] - wanted).min(axis=0) < 1e-6))


def _level(pressure: xr.DataArray, words: str) -> xr.DataArray:
    return stamped(level(pressure), "dB", words)


def _phase(response: xr.DataArray, words: str) -> xr.DataArray:
    turned: xr.DataArray = xr.apply_ufunc(lambda z: np.rad2deg(np.angle(z)), response)
    return stamped(turned, "degree", words)


def _bare(table: xr.Dataset) -> xr.Dataset:
    """The table with the coordinates of its dims alone."""
    return table.drop_vars([name for name in table.coords if name not in table.dims])
