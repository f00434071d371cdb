"""The body that a prediction was made for: its corners and its faces."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.cabinet.place import FaceFrame, right_and_up


def body_corners(prediction: xr.Dataset) -> np.ndarray:
    """Corners of the body in the cabinet's own coordinates, m, shape (corner, 3)."""
    corners: np.ndarray = prediction.body_corner.transpose("corner", "axis").values
    return corners


def frame_of(prediction: xr.Dataset, face: str = "front") -> FaceFrame:
    """Coordinates in the front face or one that carries a driver; see `cabinet.face_frame`."""
    one = prediction.sel(face=face)
    outward = one.face_normal.values
    return FaceFrame(one.face_centre.values, *right_and_up(outward), outward)


def seen_in(frame: FaceFrame, points: np.ndarray) -> np.ndarray:
    """Points as one sees them looking straight at a face.

    Args:
        frame: coordinates in the face.
        points: in the cabinet's own coordinates, m, shape (…, 3).

    Returns:
        To the right of the face's centre and above it, m, shape (…, 2).
    """
    from_centre = points - frame.centre
    return np.stack([from_centre @ frame.right, from_centre @ frame.up], axis=-1)


def reference_point(prediction: xr.Dataset) -> np.ndarray:
    """Where the reference axis leaves the front face's plane, m, shape (3,)."""
    x, y = (float(prediction.attrs[f"reference_{axis}"]) for axis in "xy")
    frame = frame_of(prediction)
    across, up, ahead = frame.outward
    z = (frame.outward @ frame.centre - across * x - up * y) / ahead
    return np.array([x, y, float(z)])
