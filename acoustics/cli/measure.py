"""`roundover measure`: from recordings to drivers' curves that can be trusted."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.quantity import quantity
from acoustics.cli.together import together

if TYPE_CHECKING:
    from acoustics.case import Case

LEVEL = -20.0
"""dB re full scale, of a test sweep's peak unless told otherwise"""


@click.command(short_help="Turn recordings into drivers' curves; write a test sweep.")
@click.argument("case", type=click.Path(path_type=str))
@click.option(
    "--sweep", type=click.Path(path_type=Path), help="Write the test sweep (WAV) instead."
)
@click.option("--driver", metavar="NAME", help="With --sweep: the driver that will play it.")
@click.option(
    "--from",
    "lowest",
    type=quantity("FREQUENCY")(),
    metavar="FREQUENCY",
    help="With --sweep: where it begins, whatever the driver's resonance.",
)
@click.option(
    "--level",
    type=click.FloatRange(-80, 0),
    metavar="DB",
    help=f"With --sweep: of its peak, dB re full scale.  [default: {LEVEL:g}]",
)
@folder_option("NAME of the case-measured")
def measure(
    case: str,
    sweep: Path | None,
    driver: str | None,
    lowest: float | None,
    level: float | None,
    out: Path | None,
) -> None:
    """Turn the recordings that a case names into drivers' curves, with the band of each.

    Writes a text table of every driver's response, measurement.nc, summary.txt, measured.toml (the
    lines that let predictions use the tables) and figures, and prints the summary. With --sweep it
    writes the sweep to be played.
    """
    if sweep is None and (driver, lowest, level) != (None, None, None):
        raise click.UsageError("--driver, --from and --level go with --sweep")
    if sweep is not None and out is not None:
        raise click.UsageError("--sweep writes one file and --out a folder; leave one away")

    if sweep is not None and sweep.suffix.lower() not in (".wav", ".wave"):
        raise click.UsageError(f"--sweep writes a WAV file; give '{sweep.name}' the ending .wav")

    checked = _read(case)
    if sweep is not None:
        _refuse_measured(checked, [sweep], "give the sweep another name")
        from acoustics.cli.sweep_file import write_test_sweep

        write_test_sweep(checked, sweep, driver, lowest, LEVEL if level is None else level)
        return

    from acoustics.studies.labels import case_name

    folder = out or Path("roundover-out") / f"{case_name(checked)}-measured"

    from acoustics.studies.measure import measure_study
    from acoustics.studies.measure.recorded import read_recorded, require_measurement

    recorded = read_recorded(checked)

    from acoustics.report.measured_tables import case_lines, response_table, table_name

    names = [each.driver for each in require_measurement(checked).drivers]
    files = ("measurement.nc", "summary.txt", "measured.toml", *map(table_name, names))
    _refuse_measured(checked, [folder / name for name in files], "choose another --out")
    writable_folder(folder, *files)
    study = measure_study(checked, recorded)

    from acoustics.files import write_text
    from acoustics.report import measured_text
    from acoustics.storage import save

    with together(folder):
        save(study, folder / "measurement.nc")
        for name in names:
            table = response_table(study, name)
            if table is None:  # nothing of an earlier run may be taken for this one's
                (folder / table_name(name)).unlink(missing_ok=True)
            else:
                write_text(table, folder / table_name(name))
        lines = case_lines(study, _from_case(folder, Path(checked.path).parent))
        write_text(lines, folder / "measured.toml")
        text = measured_text(study, lines, folder.as_posix())
        write_text(text, folder / "summary.txt")
        click.echo(text)

        from acoustics.figures.measured_sheets import measured_sheets
        from acoustics.figures.save import save_sheets

        drawn = save_sheets(measured_sheets(study), study, folder / FIGURES)
    click.echo(
        f"Written to {folder}: a table for each driver, measurement.nc, summary.txt, "
        f"measured.toml, {drawn} figures (PNG and SVG)."
    )


def _read(case: str) -> Case:
    """The case; a table that measuring has still to write may not be named in it yet."""
    from acoustics.case import read_case
    from acoustics.conventions import CaseError, RoundoverError

    try:
        return read_case(case)
    except CaseError as error:
        if all(fault.key.endswith(".measured.response") for fault in error.faults):
            raise RoundoverError(
                f"{error}\nTake those tables [drivers.NAME.measured] out until what they name is "
                "written; the lines for them come with it."
            ) from error
        raise


def _refuse_measured(case: Case, written: list[Path], way_out: str) -> None:
    """Refuse to write over recordings: nobody makes them twice alike."""
    from acoustics.conventions import RoundoverError
    from acoustics.studies.measure.recorded import named_files

    given = {file.resolve() for file in named_files(case)}
    for file in written:
        if file.resolve() in given:
            raise RoundoverError(
                f"{file}: the case names this file in [measurement], and it would be written "
                f"over; {way_out}"
            )


def _from_case(folder: Path, case: Path) -> str:
    """The folder counted from that of the case, empty for the same."""
    try:
        way = Path(os.path.relpath(folder.resolve(), case.resolve())).as_posix()
    except ValueError:  # on another drive
        way = folder.resolve().as_posix()
    return "" if way == "." else way
