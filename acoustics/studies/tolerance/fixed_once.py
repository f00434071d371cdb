"""What a design settles once for all its builds, though a case file would work it out anew.

Ports are cut, and masses glued to passive radiators, as the design has them: a box that comes out
larger is tuned lower.
"""

from __future__ import annotations

from collections.abc import Collection

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.case.text.units import MASS, parse
from acoustics.case.text.written import with_unit
from acoustics.case.varied import values_with


def fixed_once(
    design: Case, strayed: Collection[str]
) -> tuple[dict[str, float | int | str], list[tuple[str, str]]]:
    """What the tunings of a design came to, in place of these.

    Args:
        design: the case.
        strayed: paths of the keys that stray. A tuning that is among them stays, and so does what
            follows from it.

    Returns:
        Path of a key → value, as `case.varied.varied_case` takes them; and the tunings that are
        left out for them.
    """
    assert design.text is not None
    tables = values_with(design, dict(design.text.changes)).get("enclosures", {})
    stated, without = dict[str, float | int | str](), list[tuple[str, str]]()
    for enclosure in design.enclosures:
        table = tables[enclosure.name]
        if "tuning" not in table or f"enclosures.{enclosure.name}.tuning" in strayed:
            continue
        stated |= _made(enclosure, table)
        without.append((enclosure.name, "tuning"))
    return stated, without


def _made(
    enclosure: Enclosure, table: dict[str, dict[str, dict[str, str]]]
) -> dict[str, float | int | str]:
    """Lengths of ports and added masses that follow from the tuning of an enclosure."""
    at = f"enclosures.{enclosure.name}"
    lengths = {
        f"{at}.ports.{port.name}.length": with_unit(port.length, "m")
        for port in enclosure.ports
        if "length" not in table["ports"][port.name]
    }
    masses = {
        f"{at}.passive_radiators.{one.name}.added_mass": with_unit(
            one.moving_mass - parse(table["passive_radiators"][one.name]["moving_mass"], MASS), "kg"
        )
        for one in enclosure.passive_radiators
    }
    return lengths | masses
