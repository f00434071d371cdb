"""What is said beside files of numbers: what each is, and how to open it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.studies.drawings.names import plain

README = "README.txt"

TABLES = {
    "reference-axis.csv": "level and phase on the reference axis, of all drivers and of each; the "
    "flight from the reference point is taken out of the phase",
    "standard-curves.csv": "listening window, early reflections, sound power, estimated in-room "
    "curve and directivity indices after CTA-2034-A",
    "seat.csv": "level at every seat and ear height, in free space and with reflections",
    "off-axis-horizontal.csv": "level at every angle of the horizontal arc; positive is right",
    "off-axis-vertical.csv": "level at every angle of the vertical arc; positive is up",
    "crossover-filters.csv": "what the crossover does to each driver",
    "impedance.csv": "impedance of each driver in its box, and at the amplifier where a passive "
    "crossover is connected",
}

DATASET = (
    "All that was predicted, netCDF-4, every variable with its unit and meaning. Complex numbers "
    "have a last dim of two, real and imaginary part. With Python and pip install xarray h5netcdf:"
)

DIRECTIVITY = (
    "Both arcs in the open format AES69 (SOFA, FreeFieldDirectivityTF). Measurement 1 is all "
    "drivers, then each driver by itself with its filter. The loudspeaker looks along x; azimuth "
    "is counted to a listener's right."
)

EXAMPLE = """\
import xarray as xr
data = xr.open_dataset("prediction.nc", engine="h5netcdf")
total = data.arc_total.isel(complex=0) + 1j * data.arc_total.isel(complex=1)
axis = total.sel(plane="horizontal", angle=0)
print(axis.to_series())
"""
"""Opens the Dataset without this package."""


def readme(
    case: Case,
    prediction: xr.Dataset,
    tables: Sequence[str],
    sounds: Mapping[Path, str],
    responses: xr.Dataset | None,
    unit: float,
) -> str:
    """The text beside the files.

    Args:
        case: the design.
        prediction: of it.
        tables: names of the files of curves.
        sounds: files of impulse responses, with what each is.
        responses: what they were made of; None where there are none.
        unit: Pa, that a sample of 1 stands for.
    """
    stated = prediction.attrs
    pressures = (
        "Everything is predicted, not measured. Pressures are rms, in pascal, for "
        f"{stated['drive_voltage']:g} V at the input; levels are in dB re 20 µPa. The reference "
        f"axis is {stated['reference_distance']:g} m long. Time goes as exp(+jwt): what comes "
        "later has a phase that falls."
    )
    digest = f"Design {stated['case_digest'][:12]}, made by {stated['source']}."
    curves = (
        "The first row names the columns with their units, the first column is the frequency. "
        "Decimal points, commas between. Any spreadsheet opens them; a program that asks for "
        "frequency, level and phase takes the first three columns of reference-axis.csv. A name "
        "that a spreadsheet would run as a formula has an apostrophe in front."
    )
    return (
        "\n\n".join(
            (
                paragraph(f"{plain(case.title)}: data of the prediction"),
                paragraph(pressures),
                paragraph(digest),
                heading("prediction.nc"),
                paragraph(DATASET),
                EXAMPLE.rstrip(),
                heading("directivity.sofa"),
                paragraph(DIRECTIVITY),
                heading("Curves"),
                paragraph(curves),
                "\n".join(bullet(f"{name}: {TABLES[name]}.") for name in tables),
                heading("Impulse responses"),
                *_sounds(sounds, responses, unit),
            )
        )
        + "\n"
    )


def _sounds(sounds: Mapping[Path, str], responses: xr.Dataset | None, unit: float) -> Iterator[str]:
    if responses is None:
        yield paragraph(
            "None: they need 12 frequencies per octave or more. Give the case more, such as "
            "per_octave = 24 under [frequencies], and write the files again."
        )
        return
    said = responses.attrs
    yield paragraph(
        f"WAV, {said['sampling_rate']:g} Hz, 32-bit floating point, one channel each. A sample of "
        f"1 is {unit:g} Pa; the Fourier sum over the samples is the pressure at a frequency. The "
        f"signal reaches the input {said['lead']:g} s after the start of the file, and the flight "
        "from there to the microphone or seat is kept. They hold what was predicted from "
        f"{2 * said['lowest']:.0f} Hz to {0.92 * said['highest']:.0f} Hz "
        "to 0.1 dB wherever they are within 60 dB of their loudest; below "
        f"{said['lowest']:.0f} Hz they fall with 24 dB per octave, above {said['highest']:.0f} Hz "
        f"they close. Ears at the seat are {said['ear_height']:g} m high, and every reflection of "
        "the case is heard."
    )
    yield paragraph("Turn the volume down before you play one: it is a click.")
    yield "\n".join(bullet(f"{file.name}: {words}") for file, words in sounds.items())
