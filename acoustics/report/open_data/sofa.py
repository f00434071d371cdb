"""The directivity of a prediction as a SOFA file (AES69), netCDF-4 inside."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path

import h5netcdf
import numpy as np
import xarray as xr

from acoustics.conventions import PLANES
from acoustics.files import write_bytes
from acoustics.studies.drawings.names import plain

NO_DATE = "1970-01-01 00:00:00"
"""AES69 asks for dates; no clock is asked, so that equal predictions give equal bytes."""

NOBODY = "none stated"
"""In place of names of people and firms, of which a prediction knows none."""

LICENCE = "No license provided, ask the author for permission"
"""The words that AES69 has for data whose author has said nothing."""


def write_sofa(prediction: xr.Dataset, path: str | os.PathLike[str]) -> Path:
    """Write both arcs as FreeFieldDirectivityTF 1.1 (AES69-2022).

    Data type TF has dimensions for measurements and receivers, none for emitters: the first
    measurement is all drivers together, each further one a driver by itself with its filter. One
    emitter in the source stands for whatever plays, so that every direction is from the reference
    point. Source and listener are that point; the source looks along the reference axis (x), up is
    z, and azimuth is counted to the source's left, a listener's right. Directions that both arcs
    share are there once.

    Args:
        prediction: as `predict` makes it.
        path: the file; an existing one is replaced. Equal predictions give equal bytes.

    Returns:
        The path. Values are rms pressures in Pa, exp(+jωt), flight kept, for the drive voltage.

    Raises:
        RoundoverError: it cannot be written.
    """
    directions, data = arcs(prediction)
    drivers = [plain(str(name)) for name in prediction.driver.values]
    content = BytesIO()
    with h5netcdf.File(content, "w") as file:
        measurements, receivers, frequencies = data.shape
        said = ["all drivers", *(f"driver {name}" for name in drivers)]
        letters = np.array([text.encode() for text in said])
        file.dimensions = {
            "I": 1,
            "C": 3,
            "M": measurements,
            "R": receivers,
            "E": 1,
            "N": frequencies,
            "S": letters.dtype.itemsize,
        }
        _state(file, _attributes(prediction, drivers))
        ahead, up = [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]
        metres = {"Type": "cartesian", "Units": "metre"}
        degrees = {"Type": "spherical", "Units": "degree, degree, metre"}
        _put(file, "ListenerPosition", "IC", [[0.0, 0.0, 0.0]], metres)
        _put(file, "ListenerView", "IC", [ahead], metres)
        _put(file, "ListenerUp", "IC", [up])
        _put(file, "ReceiverPosition", "RC", directions, degrees)
        _put(
            file,
            "SourcePosition",
            "IC",
            [[0.0, 0.0, 0.0]],
            metres | {"Reference": _where(prediction)},
        )
        _put(file, "SourceView", "IC", [ahead], metres | {"Reference": "Square to the front face"})
        _put(file, "SourceUp", "IC", [up], {"Reference": "Upward when the loudspeaker stands"})
        _put(file, "EmitterPosition", "EC", [[0.0, 0.0, 0.0]], metres)
        _put(file, "Description", "MS", letters.view("S1").reshape(measurements, -1))
        hertz = {"LongName": "frequency", "Units": "hertz"}
        _put(file, "N", "N", prediction.frequency.values, hertz)
        pascal = {"LongName": "rms sound pressure", "Units": "pascal"}
        _put(file, "Data.Real", "MRN", data.real, pascal)
        _put(file, "Data.Imag", "MRN", data.imag, pascal)
    return write_bytes(content.getvalue(), Path(path))


def arcs(prediction: xr.Dataset) -> tuple[np.ndarray, np.ndarray]:
    """Directions and pressures of both arcs.

    Returns:
        Azimuth 0 to 360, elevation −90 to 90, both degrees, and distance, m, shape (direction, 3);
        rms pressure, Pa, complex, shape (1 + driver, direction, frequency), the sum first.
    """
    angle = prediction.angle.values
    distance = prediction.attrs["reference_distance"]
    places, parts = [], []
    for plane in PLANES:
        level = plane == "horizontal"
        # Ahead and behind belong to both arcs.
        kept = np.full(angle.size, True) if level else np.abs(np.sin(np.deg2rad(angle))) > 1e-9
        turn = angle[kept]
        over = np.abs(turn) > 90
        azimuth = turn % 360 if level else np.where(over, 180.0, 0.0)
        raised = np.where(over, np.sign(turn) * 180 - turn, turn)
        elevation = np.zeros(turn.size) if level else raised
        places.append(np.stack([azimuth, elevation, np.full(turn.size, distance)], axis=-1))
        here = prediction.sel(plane=plane).isel(angle=np.flatnonzero(kept))
        total = here.arc_total.transpose("angle", "frequency").values
        each = here.arc_pressure.transpose("driver", "angle", "frequency").values
        parts.append(np.concatenate([total[None], each]))
    return np.concatenate(places), np.concatenate(parts, axis=1)


def _attributes(prediction: xr.Dataset, drivers: list[str]) -> dict[str, str]:
    """What the file says of itself; AES69 asks for most of them."""
    stated = prediction.attrs
    version = str(stated["version"])
    return {
        "Conventions": "SOFA",
        "Version": "2.1",
        "SOFAConventions": "FreeFieldDirectivityTF",
        "SOFAConventionsVersion": "1.1",
        "DataType": "TF",
        "RoomType": "free field",
        "Title": plain(str(stated["title"])) or NOBODY,
        "DateCreated": NO_DATE,
        "DateModified": NO_DATE,
        "APIName": "roundover",
        "APIVersion": version,
        "AuthorContact": NOBODY,
        "Organization": NOBODY,
        "License": LICENCE,
        "ApplicationName": "roundover",
        "ApplicationVersion": version,
        "Comment": "Predicted, not measured. rms sound pressure in pascal for "
        f"{stated['drive_voltage']:g} V at the input; time dependence exp(+jwt), an outgoing wave "
        "is exp(-jkR); the flight from the loudspeaker is kept. The dates are no dates: no clock "
        f"is asked, so that equal predictions give equal files. Design {stated['case_digest']}.",
        "Origin": "Prediction by edge diffraction of all orders on a rigid convex body",
        "DatabaseName": NOBODY,
        "Description": "Measurement 1: all drivers with their filters. "
        + " ".join(f"{n}: driver {name} with its filter." for n, name in enumerate(drivers, 2)),
        "SourceType": f"Loudspeaker, drivers: {len(drivers)}",
        "SourceManufacturer": NOBODY,
        "EmitterDescription": "One emitter in the source stands for whatever plays",
    }


def _where(prediction: xr.Dataset) -> str:
    """The reference point in words."""
    right, up = (1e3 * prediction.attrs[f"reference_{axis}"] for axis in "xy")
    return (
        f"In the plane of the front face, {right:g} mm to the right and {up:g} mm up from its "
        "centre, as a listener sees it"
    )


def _put(
    file: h5netcdf.File,
    name: str,
    dims: str,
    values: object,
    attributes: dict[str, str] | None = None,
) -> None:
    array = np.asarray(values)
    _state(file.create_variable(name, tuple(dims), array.dtype, data=array), attributes or {})


def _state(owner: h5netcdf.File | h5netcdf.Variable, attributes: dict[str, str]) -> None:
    """Write attributes as letters of fixed length: some readers know no others."""
    for name, text in attributes.items():
        owner.attrs[name] = np.bytes_(text.encode())
