"""Field per driver: its own cone and all that it moves, ports, passive radiators, other cones."""

from __future__ import annotations

import numpy as np


def together(field: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Pressure per volume velocity of each driver, all that it moves included.

    Args:
        field: of every radiator by itself, shape (radiator, …, frequency).
        shares: of a driver's volume velocity in each, shape (radiator, driver, frequency); or
            their size, where `field` is an error.

    Returns:
        Shape (driver, …, frequency). A driver that moves nothing else keeps its own to the bit.
    """
    between = (1,) * (field.ndim - 2)
    answer = np.array(field[: shares.shape[1]])
    for driver in range(shares.shape[1]):
        movers = np.flatnonzero(np.any(shares[:, driver] != 0, axis=-1))
        if movers.tolist() == [driver]:
            continue
        spread = shares[movers, driver].reshape(movers.size, *between, -1)
        answer[driver] = (spread * field[movers]).sum(axis=0)
    return answer
