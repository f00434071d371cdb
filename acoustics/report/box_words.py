"""Boxes, limits and sizes as parts of a sentence."""

from __future__ import annotations

import xarray as xr

from acoustics.studies.box_systems import OWN_CHAMBER
from acoustics.studies.wording import hertz

LIMIT_WORDS = {
    "displacement": "the cone's displacement",
    "power": "the driver's power",
    "port speed": "the air speed in the port",
    "passive radiator": "the passive radiator's displacement",
    "amplifier": "the amplifier",
}


def litres(volume: float) -> str:
    """A volume (m³) to three figures: "14 l", "0.55 l"."""
    return f"{1000 * volume:.3g} l"


def millimetres(length: float) -> str:
    """A length (m) to whole millimetres: "112 mm"."""
    return f"{1000 * length:.0f} mm"


def grams(mass: float) -> str:
    """A mass (kg) to three figures: "45.2 g"."""
    return f"{1000 * mass:.3g} g"


def box_words(box: xr.Dataset, *, named: bool = True) -> str:
    """What a box is: "woofer in 14 l, vented and tuned to 42 Hz"."""
    kind, tuning = str(box.enclosure_kind.values), hertz(float(box.tuning))
    who = f"{box.enclosure_drivers.values} in " if named else ""
    if kind == OWN_CHAMBER:
        return f"{box.enclosure_drivers.values} in its own rear chamber"
    volume = litres(float(box.net_volume))
    if kind == "closed":
        return f"{who}{volume}, closed, resonance {tuning}"
    how = "vented" if kind == "vented" else "with passive radiator"
    return f"{who}{volume}, {how}, tuned to {tuning}"
