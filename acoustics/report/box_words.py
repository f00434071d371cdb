"""Boxes, limits and sizes as parts of a sentence."""

from __future__ import annotations

from collections.abc import Sequence

import xarray as xr

from acoustics.case.text.units import in_unit
from acoustics.studies.box.systems import OWN_CHAMBER
from acoustics.studies.wording import hertz, listed

LIMIT_WORDS = {
    "displacement": "the cone's displacement",
    "power": "the driver's power",
    "port speed": "the air speed in the port",
    "passive radiator": "the passive radiator's displacement",
    "amplifier": "the amplifier",
}


def litres(volume: float) -> str:
    """A volume (m³) to three figures: "14 l", "0.55 l"."""
    return in_unit(volume, "l", digits=3)


def millimetres(length: float) -> str:
    """A length (m) to whole millimetres: "112 mm"."""
    return f"{1000 * length:.0f} mm"


def grams(mass: float) -> str:
    """A mass (kg) to three figures: "45.2 g"."""
    return in_unit(mass, "g", digits=3)


def box_words(box: xr.Dataset, *, named: bool = True) -> str:
    """What a box is: "woofer in 14 l, vented and tuned to 42 Hz"."""
    kind, tuning = str(box.enclosure_kind.values), hertz(float(box.tuning))
    who = f"{box.enclosure_drivers.values} in " if named else ""
    if kind == OWN_CHAMBER:
        return f"{box.enclosure_drivers.values} in no enclosure"
    volume = litres(float(box.net_volume))
    if kind == "closed":
        return f"{who}{volume}, closed, resonance {tuning}"
    how = "vented" if kind == "vented" else "with passive radiator"
    return f"{who}{volume}, {how}, tuned to {tuning}"


def no_enclosure(drivers: Sequence[str]) -> list[str]:
    """What is taken of drivers that are in no enclosure; empty if there are none."""
    if not drivers:
        return []
    are, them = ("is", "it") if len(drivers) == 1 else ("are", "each of them")
    return [
        f"{listed(drivers)} {are} in no enclosure: what was behind {them} when the parameters were "
        "measured is taken to be there. A woofer in a cabinet wants a table [enclosures.NAME]."
    ]
