"""What plays below a crossover and what above it, where it is heard."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.conventions import DIRECT
from acoustics.listening.crossovers import crossovers, strength
from acoustics.listening.distances import distances
from acoustics.listening.listeners import heard

AXIS, SEAT = "reference axis", "main seat"
PLACES = (AXIS, SEAT)
"""where drivers are heard to hand over"""


def upper_sides(prediction: xr.Dataset) -> xr.DataArray:
    """Which drivers play above each crossover: the upper driver and all that take over from it.

    A driver that takes over nowhere, such as the second of two woofers, goes with the one whose
    strength over log frequency is most like its own.

    Args:
        prediction: as `predict` makes it.

    Returns:
        Boolean, dims (crossover, driver).
    """
    found = crossovers(prediction)
    names = [str(name) for name in prediction.driver.values]
    lower = [str(name) for name in found.lower_driver.values]
    upper = [str(name) for name in found.upper_driver.values]
    leaders = sorted({*lower, *upper}, key=names.index)
    follows = _most_alike(strength(prediction), leaders) if leaders else {}
    above = np.zeros((len(lower), len(names)), dtype=bool)
    for i, row in enumerate(above):
        beyond = {*upper[i:], *lower[i + 1 :]} - {lower[i]}
        row[:] = [follows[name] in beyond for name in names]
    return xr.DataArray(
        above,
        dims=("crossover", "driver"),
        coords={"crossover": found.crossover, "driver": prediction.driver.values},
        attrs={"long_name": "the driver plays above the crossover"},
    )


def _most_alike(alone: xr.DataArray, leaders: list[str]) -> dict[str, str]:
    """For every driver the leader that it goes with; leaders go with themselves."""
    shape = alone / np.sqrt((alone**2).sum("frequency")).clip(min=np.finfo(float).tiny)
    among = shape.sel(driver=leaders).values
    return {
        str(name): str(name) if str(name) in leaders else leaders[int(np.argmax(among @ own))]
        for name, own in zip(alone.driver.values, shape.values, strict=True)
    }


def sides(prediction: xr.Dataset) -> xr.Dataset:
    """Pressure of all below and of all above each crossover, on the axis and at the main seat.

    The two add up to the direct sound of all drivers, so that a pair of woofers counts as one. The
    way from the reference point is taken out of the phase: what is left changes slowly from one
    frequency to the next. At the seat it is the first ear height of the case, without reflections.

    Args:
        prediction: as `predict` makes it.

    Returns:
        crossover_frequency, lower_driver, upper_driver (crossover) as `crossovers` finds them;
        lower_side, upper_side (crossover, place, frequency), Pa, complex; the attribute
        `ear_height`, m.
    """
    found = crossovers(prediction)
    seat = heard(prediction).isel(ear_height=0)
    way = distances(seat, "seat").sel(path=DIRECT)
    here = {
        AXIS: (
            prediction.arc_pressure.sel(plane="horizontal", angle=0.0),
            prediction.attrs["reference_distance"],
        ),
        SEAT: (seat.seat_pressure.sel(path=DIRECT), float(way)),
    }
    turn = 2j * np.pi * prediction.frequency.values / prediction.attrs["speed_of_sound"]
    each = np.stack(
        [
            pressure.transpose("driver", "frequency").values * np.exp(turn * distance)
            for pressure, distance in here.values()
        ]
    )
    above = upper_sides(prediction).values.astype(float)
    dims = ("crossover", "place", "frequency")
    pressures = {
        name: (
            dims,
            np.einsum("cd,pdf->cpf", chosen, each),
            {"units": "Pa", "long_name": f"sound pressure of all drivers {where} the crossover"},
        )
        for name, chosen, where in (
            ("lower_side", 1 - above, "below"),
            ("upper_side", above, "above"),
        )
    }
    return (
        found.assign(pressures)
        .assign_coords(
            place=("place", np.array(PLACES), {"long_name": "where the drivers are heard"}),
            frequency=prediction.frequency,
        )
        .assign_attrs(ear_height=float(seat.ear_height))
    )
