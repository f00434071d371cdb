"""What a cabinet is built of: walls, braces, lining, and the boards they are cut from; SI units."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from acoustics.cabinet.joints import Joint as Joint

BraceKind = Literal["bar", "strut", "shelf"]
Run = Literal["lengthwise", "crosswise"]


@dataclass(frozen=True)
class Material:
    """A board: density (kg/m³), moduli (Pa), loss factor.

    `along` and `across` are Young's moduli in the plane of the board, with the grain of its outer
    plies and across it (equal: isotropic board), `shear` the in-plane shear modulus, `poisson` the
    ratio that goes with strain across for stress along, `loss` the structural loss factor.
    """

    name: str
    density: float
    along: float
    across: float
    shear: float
    poisson: float
    loss: float


@dataclass(frozen=True)
class Brace:
    """A brace inside; lengths in metres.

    A `bar` is glued along one wall, from edge to edge, `lengthwise` (along the wall's longer side)
    or `crosswise`, its middle line `at` from the wall's middle; it is `width` wide on the wall and
    stands `height` into the box. A `strut` goes from a wall to the opposite one, its centre at
    `position` on the first (right, up from its middle as one sees it from outside), `width` ×
    `height` in section. A `shelf` stands level across the inside, its middle `at` above that of
    the inside, `height` thick, joined to all walls round it, with the share `open` cut out.

    `material` is empty where it is that of the walls, `enclosure` the one that it takes volume of:
    empty where there is none, where there is only one, or where the brace parts two.
    """

    name: str
    kind: BraceKind
    walls: tuple[str, ...]
    width: float
    height: float
    run: Run = "crosswise"
    at: float = 0.0
    position: tuple[float, float] = (0.0, 0.0)
    open: float = 0.5
    material: str = ""
    enclosure: str = ""


@dataclass(frozen=True)
class Lining:
    """A porous layer on the inner side of some walls; `density` kg/m³, resistivity Pa s/m²."""

    walls: tuple[str, ...]
    thickness: float
    flow_resistivity: float
    density: float


@dataclass(frozen=True)
class Sheet:
    """Boards as they are bought: sizes (m, the grain runs along `length`), and the saw's kerf.

    `trim` is what is cut off every edge first. `turn` says that parts may be laid across the grain.
    """

    length: float = 2.44
    width: float = 1.22
    kerf: float = 3.0e-3
    trim: float = 0.0
    turn: bool = True


@dataclass(frozen=True)
class Structure:
    """What the walls are made of and how they are held together.

    `fixity` says how the edges of walls are held: 0 as if hinged, 1 clamped. `materials` are those
    that are used, by name; `wall_materials` (wall, material, thickness) where a wall has its own.
    `joint` and `outer` say how boards meet: the walls named first run past the later ones.
    `reach` (Hz) is how far up modes are followed.
    """

    material: str
    materials: tuple[Material, ...]
    wall_materials: tuple[tuple[str, str, float], ...] = ()
    fixity: float = 0.5
    braces: tuple[Brace, ...] = ()
    linings: tuple[Lining, ...] = ()
    fill_resistivity: float | None = None
    joint: Joint = "butt"
    outer: tuple[str, ...] = ("front", "back", "left", "right", "top", "bottom")
    sheet: Sheet = field(default_factory=Sheet)
    reach: float = 1500.0
