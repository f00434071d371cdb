"""The conventions behind the numbers of a report, in short."""

from __future__ import annotations

import xarray as xr

from acoustics.conventions import DRIVE_VOLTAGE


def convention_lines(prediction: xr.Dataset) -> tuple[str, ...]:
    """What a reader must know to use the numbers elsewhere."""
    given = prediction.attrs
    return (
        "Axes: x to the right as the listener sees the cabinet, y up, z out of the front toward "
        "the listener; the origin is the middle of the front face. Lengths of files in metres.",
        "Time dependence is exp(+jωt): sound that travels outward falls behind in phase.",
        f"Levels are of the rms pressure for {DRIVE_VOLTAGE:g} V rms at the input, in dB re "
        "20 µPa, "
        f"at {given['reference_distance']:g} m from the reference point unless it is said.",
        f"Air: {given['speed_of_sound']:.1f} m/s, {given['density']:.3f} kg/m³.",
        "Angles count from the reference axis: positive to the right and up.",
        "Ripple is half of what the smoothed level spans about the straight line through it; "
        "smoothing and band are told where it is.",
    )
