"""From the values of [place] to what a layout search is asked."""

from __future__ import annotations

from acoustics.case.design.place_model import Delayed, Moved, Span, Treatment
from acoustics.case.design.place_model import Place as Asked
from acoustics.case.geometry.cabinet_of import chamfers_of, rounds_of
from acoustics.case.tables.place_table import PlaceTable, TreatmentTable, against_of


def treatment_of(text: TreatmentTable) -> Treatment:
    """A treatment in SI units."""
    return Treatment(
        text.name,
        tuple((each.edge, each.radius) for each in rounds_of(text.rounds)),
        tuple((each.edge, each.setbacks) for each in chamfers_of(text.chamfers)),
    )


def place_of(text: PlaceTable) -> Asked:
    """What it says, in SI units."""
    against = against_of(text.aim, text.against)
    return Asked(
        aim=text.aim,
        against=None if against == "none" else against,  # type: ignore[arg-type]
        moved=tuple(
            Moved(name, _span(each.right), _span(each.up)) for name, each in text.drivers.items()
        ),
        gap=text.gap,
        apart=text.apart,
        ear_height=_span(text.ear_height),
        corners=tuple((low, high) for low, high in text.corners),
        delays=tuple(Delayed(name, (low, high)) for name, (low, high) in text.delays.items()),
        treatments=tuple(treatment_of(each) for each in text.treatments),
        band=(text.band[0], text.band[1]),
        smoothing=text.smoothing or None,
        window=text.window,
        seed=text.seed,
    )


def _span(values: list[float] | None) -> Span | None:
    return None if values is None else (values[0], values[1])
