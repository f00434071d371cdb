"""Where the microphones of a SOFA file stood, seen from the loudspeaker."""

from __future__ import annotations

import numpy as np

from acoustics.measurement.sofa_file import SofaFile

FRONT, UP = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
"""Where a listener or source looks and its up, unless stated (AES69: x ahead, y left, z up)."""

FARTHEST = 1e6
"""m or degrees: nothing that is heard stands farther away"""


def positions_of(file: SofaFile, shape: tuple[int, int, int]) -> np.ndarray:
    """Every receiver's place from every emitter.

    AES69 gives listener and source in one frame, receivers relative to the listener and emitters
    to the source, each in its owner's own axes. The source's axes become those of the cabinet,
    whose right is the listener's, so what the source has on its left.

    Args:
        file: the open file.
        shape: how many measurements, receivers and emitters there are.

    Returns:
        m, (right, up, toward the listener) from the emitter, shape (*shape, 3).

    Raises:
        RecordingError: a position is missing or of a kind that is no place.
    """
    measurements, receivers, emitters = shape
    listener, listener_axes = _owner(file, "Listener", measurements)
    source, source_axes = _owner(file, "Source", measurements)
    receiver = _parts(file, "ReceiverPosition", receivers, measurements)
    emitter = _parts(file, "EmitterPosition", emitters, measurements)
    # axes[m] has front, left and up as its rows.
    heard = listener[:, None] + np.einsum("mra,mac->mrc", receiver, listener_axes)
    seen = np.einsum("mrc,mac->mra", heard - source[:, None], source_axes)
    front, left, up = np.moveaxis(seen[:, :, None] - emitter[:, None], -1, 0)
    return np.stack([left, up, front], axis=-1)


def _owner(file: SofaFile, name: str, measurements: int) -> tuple[np.ndarray, np.ndarray]:
    """Position (measurement, 3) and axes (measurement, 3, 3) of the listener or the source."""
    places = _cartesian(file, f"{name}Position", (0.0, 0.0, 0.0))
    view = _cartesian(file, f"{name}View", FRONT)
    up = _cartesian(file, f"{name}Up", UP, like=f"{name}View")
    for what, rows in ((f"{name}Position", places), (f"{name}View", view), (f"{name}Up", up)):
        if rows.ndim != 2 or rows.shape[0] not in (1, measurements):
            raise file.fault(
                f"{what} has the shape {rows.shape}, expected was 1 or {measurements} rows of 3; "
                "export it again"
            )
    left = np.cross(up, view)
    lengths = np.linalg.norm(left, axis=-1, keepdims=True)
    if np.any(lengths < 1e-9):
        raise file.fault(f"{name}View and {name}Up point the same way; export it again")
    left = left / lengths
    front = view / np.linalg.norm(view, axis=-1, keepdims=True)
    axes = np.stack(np.broadcast_arrays(front, left, np.cross(front, left)), axis=-2)
    return (
        np.broadcast_to(places, (measurements, 3)),
        np.broadcast_to(axes, (measurements, 3, 3)),
    )


def _parts(file: SofaFile, name: str, count: int, measurements: int) -> np.ndarray:
    """Positions of receivers or emitters, shape (measurement, count, 3)."""
    rows = _cartesian(file, name, (0.0, 0.0, 0.0))
    rows = rows[:, :, None] if rows.ndim == 2 else rows
    if rows.shape[0] not in (1, count) or rows.shape[2] not in (1, measurements):
        raise file.fault(
            f"{name} has {rows.shape[0]} places in {rows.shape[2]} measurements, the data "
            f"{count} in {measurements}; export it again"
        )
    return np.broadcast_to(rows, (count, 3, measurements)).transpose(2, 0, 1)


def _cartesian(
    file: SofaFile, name: str, otherwise: tuple[float, ...], like: str = ""
) -> np.ndarray:
    """A variable of places in m, its second dimension x, y, z; `otherwise` where there is none."""
    if not file.has(name):
        return np.array([otherwise])
    rows = file.numbers(name)
    if rows.ndim not in (2, 3) or rows.shape[1] != 3:
        raise file.fault(
            f"{name} has the shape {rows.shape}, expected was rows of 3; export it again"
        )
    if not np.all(abs(rows) <= FARTHEST):  # false where a number is none, too
        raise file.fault(
            f"{name} has something that is no number up to {FARTHEST:g}; export it again"
        )
    # An Up without a type of its own follows its View (AES69).
    kind = file.text("Type", name) or (file.text("Type", like) if like and file.has(like) else "")
    units = file.text("Units", name).lower()
    if kind == "spherical":
        if "rad" in units:
            raise file.fault(f"{name} is in '{units}', expected was degree, degree, metre")
        azimuth, elevation = np.radians(rows[:, 0]), np.radians(rows[:, 1])
        level = rows[:, 2] * np.cos(elevation)
        parts = [level * np.cos(azimuth), level * np.sin(azimuth), rows[:, 2] * np.sin(elevation)]
        return np.stack(parts, axis=1)
    if kind not in ("cartesian", ""):
        raise file.fault(f"{name} is of type '{kind}', expected was cartesian or spherical")
    return rows
