"""What boards and linings that people use are usually like, by the names of the trade.

Typical values of handbooks, from memory; boards of one name differ by a fifth and more, and those
of solid wood by a third. Loss factors are those of the boards alone (common practice, no source).
"""

from __future__ import annotations

from acoustics.case.design.structure_model import Material


def isotropic(name: str, density: float, modulus: float, poisson: float, loss: float) -> Material:
    """A board that is as stiff one way as the other; kg/m³ and Pa."""
    shear = modulus / (2 * (1 + poisson))
    return Material(name, density, modulus, modulus, shear, poisson, loss)


POISSON, LOSS = 0.3, 0.02
"""of a board of which nothing is said (common practice, no source)"""

BOARDS: tuple[Material, ...] = (
    isotropic("MDF", 750.0, 3.0e9, POISSON, LOSS),
    isotropic("HDF", 870.0, 4.0e9, POISSON, LOSS),
    isotropic("chipboard", 680.0, 2.5e9, POISSON, 0.025),
    # Across the outer plies of thick boards plywood has about three quarters of its stiffness.
    Material("birch plywood", 680.0, 9.0e9, 7.0e9, 0.65e9, POISSON, 0.015),
    Material("softwood plywood", 500.0, 7.5e9, 3.5e9, 0.5e9, POISSON, 0.015),
    Material("oriented strand board", 620.0, 4.9e9, 2.0e9, 1.1e9, POISSON, LOSS),
    Material("solid pine", 500.0, 11.0e9, 0.6e9, 0.7e9, 0.4, 0.01),
    Material("solid oak", 700.0, 12.0e9, 1.1e9, 0.9e9, 0.4, 0.01),
    Material("solid beech", 720.0, 14.0e9, 1.3e9, 1.1e9, 0.4, 0.01),
    Material("bamboo", 700.0, 10.0e9, 1.6e9, 0.9e9, POISSON, 0.015),
    isotropic("acrylic", 1190.0, 3.2e9, 0.37, 0.04),
    isotropic("aluminium", 2700.0, 70.0e9, 0.33, 0.003),
)

LININGS: dict[str, tuple[float, float]] = {
    "mineral wool": (12_000.0, 40.0),
    "glass wool": (7_000.0, 20.0),
    "wool felt": (20_000.0, 90.0),
    "sheep's wool": (3_000.0, 18.0),
    "polyester wadding": (2_500.0, 15.0),
    "acoustic foam": (9_000.0, 28.0),
}
"""Flow resistivity (Pa s/m²) and density (kg/m³) of porous layers; common practice, no source."""


def board_named(name: str) -> Material | None:
    """The usual board of this name, however its letters are written; None if there is none."""
    same = (board for board in BOARDS if board.name.lower() == name.strip().lower())
    return next(same, None)


def lining_named(name: str) -> tuple[float, float] | None:
    """Likewise of a usual lining: flow resistivity (Pa s/m²) and density (kg/m³)."""
    same = (known for lining, known in LININGS.items() if lining == name.strip().lower())
    return next(same, None)
