"""How stiff and how heavy a board is as a thin plate."""

from __future__ import annotations

import math
from dataclasses import dataclass

from acoustics.case.design.structure_model import Material
from acoustics.conventions import GeometryError


@dataclass(frozen=True)
class Plate:
    """A thin orthotropic plate in the plane x, y, its grain along one of the axes.

    Bending stiffnesses in N m: `x` and `y` for curvature along each axis, `coupling` for both
    together, `twist` for pure twist; `mass` in kg/m². The bending energy of a unit of area is

        ½ (x w_xx² + 2 coupling w_xx w_yy + y w_yy² + 4 twist w_xy²)

    (Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 1959, ch. 11; Kirchhoff's plate:
    no shear across the board, so frequencies come out some per cent high where half a wave is
    shorter than about ten thicknesses).
    """

    x: float
    y: float
    coupling: float
    twist: float
    mass: float

    def across(self, cosine: float, sine: float) -> float:
        """Bending stiffness (N m) for curvature along the direction (cosine, sine)."""
        mixed = self.coupling + 2 * self.twist
        return self.x * cosine**4 + 2 * mixed * (cosine * sine) ** 2 + self.y * sine**4


def plate_of(material: Material, thickness: float, *, grain_along_y: bool = False) -> Plate:
    """The plate that a board of some thickness (m) makes.

    With ν_yx = ν_xy E_y/E_x: D_x = E_x h³/12(1 − ν_xy ν_yx), coupling ν_xy D_y, twist G h³/12
    (Timoshenko & Woinowsky-Krieger, ch. 11).

    Args:
        material: of the board.
        thickness: m.
        grain_along_y: the grain runs along y rather than along x.

    Raises:
        GeometryError: moduli and Poisson's ratio of no possible board: ν² E_y/E_x of 1 or more.
    """
    cube = thickness**3 / 12.0
    free = 1.0 - material.poisson**2 * material.across / material.along
    if free <= 0.0:
        raise GeometryError(
            f"material '{material.name}': a Poisson's ratio of {material.poisson:g} is more than "
            "its moduli allow, "
            f"{math.sqrt(material.along / material.across):.3g}; state a lower poisson_ratio"
        )
    along, across = material.along * cube / free, material.across * cube / free
    x, y = (across, along) if grain_along_y else (along, across)
    return Plate(
        x, y, material.poisson * across, material.shear * cube, material.density * thickness
    )
