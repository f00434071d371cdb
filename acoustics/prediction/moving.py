"""What a prediction says of what moves, impedances, limits."""

from __future__ import annotations

from typing import Any

import numpy as np

from acoustics.case.design.model import Case
from acoustics.prediction.layout import Layout
from acoustics.source.limits import LIMITS, input_limits
from acoustics.source.measured import carried_on, driver_impedance
from acoustics.source.motion import Motion
from acoustics.source.radiators import Radiator


def moved(case: Case, motion: Motion, frequency: np.ndarray) -> dict[str, np.ndarray]:
    """Volume velocities and limits by the names of `conventions.VARIABLES`.

    As in `source`, a driver that is inverted moves the other way.
    """
    way = np.array([-1.0 if driver.inverted else 1.0 for driver in case.drivers])
    return {
        "volume_velocity": motion.volume_velocity * way[:, None],
        "input_limit": input_limits(case, motion, frequency),
    }


def impedances(case: Case, motion: Motion, frequency: np.ndarray) -> dict[str, np.ndarray]:
    """What drivers are at their terminals; where a table goes on past its ends, if one may."""
    arrays = {"impedance": driver_impedance(case, motion, frequency)}
    if any(driver.impedance is not None and driver.impedance.beyond for driver in case.drivers):
        arrays["impedance_extrapolated"] = carried_on(case, frequency)
    return arrays


def movers(case: Case, layout: Layout, motion: Motion) -> dict[str, Any]:
    """The coordinates of these: everything that moves air, enclosures, and what may limit."""
    radiators = motion.radiators
    x, y, z = layout.radiator_centres.T
    return {
        "radiator": np.array([radiator_name(radiator) for radiator in radiators]),
        "radiator_kind": np.array([radiator.kind for radiator in radiators]),
        "radiator_face": np.array([radiator.face for radiator in radiators]),
        "radiator_area": np.array([radiator.area for radiator in radiators]),
        "radiator_width": np.array([radiator.size[0] for radiator in radiators]),
        "radiator_height": np.array([radiator.size[-1] for radiator in radiators]),
        "radiator_right": np.array([radiator.position[0] for radiator in radiators]),
        "radiator_up": np.array([radiator.position[1] for radiator in radiators]),
        "radiator_x": x,
        "radiator_y": y,
        "radiator_z": z,
        "limit": np.array(LIMITS),
    }


def radiator_name(radiator: Radiator) -> str:
    """A driver by its name, anything else by its enclosure's and its own."""
    if radiator.driver is not None:
        return radiator.name
    return f"{radiator.enclosure} {radiator.name}"
