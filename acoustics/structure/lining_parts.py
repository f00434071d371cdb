"""Linings and loose fibre in a space, in terms of the standing waves of the bare one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet.half_spaces import Solid
from acoustics.case.design.structure_model import Lining
from acoustics.field.blas import one_blas_thread
from acoustics.structure.air_inside import (
    AirError,
    drawn_together,
    lining_depths,
    lining_fault,
    solid_volume,
)
from acoustics.structure.air_modes import AirModes
from acoustics.structure.lining_layer import LOOSE_RESISTIVITY


@dataclass(frozen=True)
class Treatment:
    """What linings and loose fibre meet of each standing wave; volumes in m³.

    Args:
        depths: of the layer on each wall, 0 for none, shape (wall,), m.
        resistivities: of those layers, likewise, Pa s/m².
        left: share of ∫φ² and of ∫|∇φ|² in the air that the layers leave, shape (2, mode).
        surfaces: of each wall, ∫φ² dA/V over the surface of its layer and the mean squared
            wavenumber along it, shape (wall, 2, mode), 1/m and 1/m²; 0 where there is none, and in
            a box, whose layers are solved without.
        fibre: flow resistivity of what is filled in there, and its shares as `left`; or None.
        layer_volume: of all layers.
        fibre_volume: of what is loosely filled.
    """

    depths: np.ndarray
    resistivities: np.ndarray
    left: np.ndarray
    surfaces: np.ndarray
    fibre: tuple[float, np.ndarray] | None
    layer_volume: float
    fibre_volume: float


@one_blas_thread()
def treated(
    modes: AirModes,
    linings: Sequence[Lining] = (),
    *,
    fill: float = 0.0,
    fill_resistivity: float = LOOSE_RESISTIVITY,
    at_walls: bool = False,
) -> Treatment:
    """Layers on walls, and loose fibre in what they leave.

    Layers of one wall lie on each other and count as one that resists a steady flow as they do.

    Args:
        modes: of the bare space.
        linings: layers on walls.
        fill: share of what they leave that is loosely filled, 0 to 1; below 1 at the walls.
        fill_resistivity: of that fibre, Pa s/m².
        at_walls: whether the fibre lies at the walls all round, not in the middle.

    Raises:
        AirError: the layers leave no air.
    """
    fault = lining_fault(modes.inside, linings)
    if fault:
        raise AirError(fault)
    depths = lining_depths(modes.inside, linings)
    solid = modes.inside.inner(depths)
    assert solid is not None
    volume = solid_volume(solid)
    shares = modes.shares(solid) if linings else np.ones((2, modes.count))
    fibre = None
    if fill > 0:
        held = modes.shares(drawn_together(solid, 1 - fill if at_walls else fill))
        fibre = fill_resistivity, shares - held if at_walls else held
    resistances = np.zeros(depths.size)
    for lining in linings:
        on = np.array([wall in lining.walls for wall in modes.inside.walls])
        resistances += on * (lining.thickness * lining.flow_resistivity)
    return Treatment(
        depths,
        resistances / np.where(depths > 0, depths, 1.0),
        shares,
        _surfaces(modes, depths, solid),
        fibre,
        modes.inside.volume - volume,
        fill * volume,
    )


def _surfaces(modes: AirModes, depths: np.ndarray, solid: Solid) -> np.ndarray:
    answer = np.zeros((depths.size, 2, modes.count))
    if modes.indices is not None:
        return answer
    for wall in np.flatnonzero(depths).tolist():
        if solid.loops[wall]:
            squares, slopes = modes.surface(solid, wall)
            answer[wall] = squares, slopes / np.maximum(squares, SILENT)
    return answer


SILENT = 1e-9
"""1/m: where a wave is silent all over a surface it has no wavenumber along it"""
