"""Checks of aims against what the model of a driver, a flat piston, is good for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from acoustics.case.design.model import trusted_to
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.aim_table import band_of
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import hertz
from acoustics.conventions import air_at

_RESTS_ON_PISTONS = ("ripple", "tilt", "level")


def trusted_drivers(air: Values, drivers: Mapping[str, Values]) -> dict[str, float]:
    """Frequency (Hz) up to which each driver is a flat piston; empty if one is not known."""
    known = all({"piston_diameter", "breakup"} <= driver.keys() for driver in drivers.values())
    if not known or "temperature" not in air:
        return {}
    speed = air_at(air["temperature"]).speed_of_sound
    return {
        name: trusted_to(driver["piston_diameter"], driver["breakup"], speed)
        for name, driver in drivers.items()
    }


def trust_problems(path: Path, aim: Values, trusted: Mapping[str, float]) -> Iterator[Problem]:
    """An aim whose whole band lies where no driver is a flat piston any longer."""
    if not trusted or not {"measure", "band"} <= aim.keys():
        return
    band = band_of(aim["measure"], aim["band"])
    last = max(trusted, key=lambda name: trusted[name])
    if aim["measure"] in _RESTS_ON_PISTONS and band is not None and band[0] > trusted[last]:
        yield Problem(
            (*path, "band"),
            f"the band starts at {hertz(band[0])}, where no driver moves as a flat piston any "
            f"longer: the last, '{short_name(last)}', does so up to "
            f"{hertz(float(f'{trusted[last]:.3g}'))}; take a lower band or leave the aim out",
        )
