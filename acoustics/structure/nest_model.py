"""How boards are laid out on sheets, and the cuts that part them; lengths in metres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from acoustics.case.design.structure_model import Sheet

Way = Literal["lengthwise", "crosswise"]


@dataclass(frozen=True)
class Piece:
    """A rectangle to be cut: `length` along the grain, `width` across it."""

    name: str
    length: float
    width: float
    material: str
    thickness: float


@dataclass(frozen=True)
class Rectangle:
    """A part of a sheet: its lower left corner from the sheet's, along it and across it."""

    x: float
    y: float
    length: float
    width: float

    @property
    def area(self) -> float:
        """m²."""
        return self.length * self.width


@dataclass(frozen=True)
class Placed:
    """A piece at its place; `turned` if it lies across the grain."""

    piece: Piece
    place: Rectangle
    turned: bool


@dataclass(frozen=True)
class Cut:
    """A cut through a part of a sheet, from one side of it to the other.

    `lengthwise` cuts run along the sheet, at the width `at`, from `start` to `end` along it;
    `crosswise` ones likewise across. The saw takes its kerf beyond `at`.
    """

    way: Way
    at: float
    start: float
    end: float


@dataclass(frozen=True)
class SheetPlan:
    """One sheet: what is cut from it, the cuts in their order, and what is left."""

    material: str
    thickness: float
    sheet: Sheet
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    left: tuple[Rectangle, ...]

    @property
    def used(self) -> float:
        """Share of the sheet's area that becomes boards."""
        area = sum(each.place.area for each in self.placed)
        return area / (self.sheet.length * self.sheet.width)

    @property
    def largest_left(self) -> Rectangle | None:
        """The largest rectangle that is left; None if nothing is."""
        return max(self.left, key=lambda rectangle: rectangle.area, default=None)
