"""From the checked table of a driver to its frozen object."""

from __future__ import annotations

import pathlib
from collections.abc import Mapping
from typing import Any

from acoustics.case.design import model
from acoustics.case.design.faces import Faces
from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.objects.measured_of import measured_of, sensitivity_of
from acoustics.case.tables.driver_table import (
    DriverTable,
    area_of,
    piston_diameter_of,
    profile_of,
    ring_hole,
)
from acoustics.conventions import Air, air_at
from acoustics.curves import Curve
from acoustics.driver import NO_COIL, Related, VoiceCoil, related

MEASURED_AIR = air_at(293.15)
"""Drivers are measured at 20 °C, whatever air the design stands in."""


def related_of(driver: Mapping[str, Any]) -> Related | None:
    """What follows from the small-signal parameters in the values of a driver's table.

    None where there are none.
    """
    table = driver.get("small_signal")
    if table is None:
        return None
    given = table.model_dump(exclude={"measured"}, exclude_none=True)
    piston = piston_diameter_of(driver)
    area = None if piston is None else area_of(piston, ring_hole(driver))
    return related(given, MEASURED_AIR, piston_area=area, measured=table.measured)


def driver_of(
    name: str,
    text: DriverTable,
    faces: Faces,
    air: Air,
    curve: Curve | None,
    heard: Curve | None,
) -> model.Driver:
    """The driver of a table that has passed every check, in the design's air.

    `curve` is its impedance as measured, `heard` what a microphone heard of it (Pa), if it names
    tables of these.
    """
    values = dict(text)
    values["piston_diameter"] = piston = piston_diameter_of(values)
    found = related_of(values)
    small_signal = found.small_signal if found else None
    sensitivity = text.sensitivity
    if sensitivity is None and small_signal is not None:
        sensitivity = small_signal.sensitivity(air)
    measured = measured_of(text, faces, heard)
    if sensitivity is None and measured is not None:
        sensitivity = sensitivity_of(measured)
    assert piston is not None
    assert sensitivity is not None
    right, up = text.position
    return model.Driver(
        name=name,
        piston_diameter=piston,
        frame_diameter=text.frame_diameter,
        position=(right, up),
        acoustic_depth=text.acoustic_depth,
        sensitivity=sensitivity,
        inverted=text.polarity == "inverted",
        breakup=text.breakup,
        face=faces.name(text.face),
        both_sides=text.both_sides,
        profile=profile_of(values),
        model=text.model or "",
        small_signal=small_signal,
        voice_coil=VoiceCoil(**dict(text.voice_coil)) if text.voice_coil else NO_COIL,
        most_displacement=text.most_displacement,
        power=text.power,
        rated_impedance=text.rated_impedance,
        impedance=None if curve is None else _measured(curve, text.extrapolate_impedance),
        measured=measured,
        cutout_diameter=text.cutout_diameter,
        mounting_depth=text.mounting_depth,
        displaced_volume=text.displaced_volume,
        mass=text.mass,
        price=text.price,
    )


def _measured(curve: Curve, beyond: bool) -> MeasuredImpedance:
    return MeasuredImpedance(
        source=pathlib.Path(curve.source).name,
        frequency=tuple(curve.frequency.tolist()),
        resistance=tuple(curve.values.real.tolist()),
        reactance=tuple(curve.values.imag.tolist()),
        beyond=beyond,
    )
