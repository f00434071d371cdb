"""Designs made by hand, for tests that need one without reading a file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from acoustics.case.design.model import (
    Branch,
    Cabinet,
    Case,
    Driver,
    FrequencyGrid,
    PassFilter,
    Placement,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.conventions import Air

CASES = Path(__file__).parents[2] / "cases"


def shipped_text(name: str) -> str:
    """Text of a shipped case that may stand in any folder."""
    text = (CASES / name / "case.toml").read_text(encoding="utf-8")
    return text.replace('"../drivers/', f'"{CASES.as_posix()}/drivers/')


def make_driver(name: str, y: float = 0.0, **changes: Any) -> Driver:
    """A small driver on the centre line at height y (m)."""
    values: dict[str, Any] = {
        "piston_diameter": 0.025,
        "frame_diameter": 0.030,
        "position": (0.0, y),
        "acoustic_depth": 0.0,
        "sensitivity": 88.0,
        "inverted": False,
    }
    return Driver(name=name, **{**values, **changes})


def pass_branch(driver: str, kind: str, corner: float, **changes: Any) -> Branch:
    """A branch with one low- or high-pass; alignment and order default to Linkwitz–Riley 4."""
    section = PassFilter(
        kind=kind,  # type: ignore[arg-type]
        alignment=changes.pop("alignment", "linkwitz-riley"),
        order=changes.pop("order", 4),
        low_corner=corner if kind == "high-pass" else None,
        high_corner=corner if kind == "low-pass" else None,
    )
    return Branch(driver, sections=(section,), **changes)


def make_case(drivers: Sequence[Driver] | None = None, **changes: Any) -> Case:
    """A two-way at 2.5 kHz in a small box; any field of Case can be changed by keyword.

    Air has c = 343 m/s and ρ = 1.2 kg/m³, as the handbook values of the tests do.
    """
    if drivers is None:
        drivers = (make_driver("woofer", -0.05), make_driver("tweeter", 0.10))
        changes.setdefault(
            "crossover",
            (
                pass_branch("woofer", "low-pass", 2500.0),
                pass_branch("tweeter", "high-pass", 2500.0),
            ),
        )
    values: dict[str, Any] = {
        "title": "made by hand",
        "note": "",
        "path": "case.toml",
        "digest": "0" * 64,
        "temperature": 293.15,
        "air": Air(speed_of_sound=343.0, density=1.2),
        "cabinet": Cabinet(width=0.22, height=0.38, depth=0.30, base_height=0.6),
        "drivers": tuple(drivers),
        "crossover": (),
        "reference": ReferenceAxis(point=drivers[-1].position, distance=2.0),
        "placement": Placement(),
        "seat": Seat((SeatPlace("main", 2.5),), ear_heights=(0.9, 1.1)),
        "surfaces": (Surface("floor", 0.0),),
        "aims": (),
        "frequencies": FrequencyGrid(),
        "arc_step": 5.0,
        "accuracy": 0.1,
        "memory": 4.0 * 2**30,
    }
    return Case(**{**values, **changes})


def seat_at(distance: float, ear_heights: Sequence[float], aside: float = 0.0) -> Seat:
    """One seat (m), where the case has no other."""
    return Seat((SeatPlace("main", distance, aside),), tuple(ear_heights))
