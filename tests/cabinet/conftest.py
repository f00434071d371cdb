"""What holds for every convex body, whatever its shape."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from acoustics.cabinet import Body, face_areas, outer_volume


def check_sound(body: Body) -> None:
    """Euler's formula, and volume and surface as qhull finds them from the corners alone."""
    assert len(body.corners) - len(body.edges) + len(body.faces) == 2
    hull = ConvexHull(body.points)
    assert outer_volume(body) == pytest.approx(hull.volume, rel=1e-9)
    assert face_areas(body).sum() == pytest.approx(hull.area, rel=1e-9)
    assert (body.wedge_angles > np.pi).all()
    assert (body.wedge_angles < 2 * np.pi).all()


@pytest.fixture(scope="session")
def assert_sound() -> Callable[[Body], None]:
    return check_sound


@pytest.fixture(scope="session")
def box() -> Body:
    return Body.box(width=0.22, height=0.38, depth=0.30)
