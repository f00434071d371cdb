"""`roundover verify`: the finished loudspeaker against its design."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.together import together

ANSWER, SUMMARY, TABLE = "verification.nc", "summary.txt", "causes.csv"


@click.command(short_help="Hold a finished loudspeaker against its design: what is wrong?")
@click.argument("case", type=click.Path(path_type=str))
@click.option(
    "--response",
    "responses",
    multiple=True,
    metavar="[DRIVER=]FILE",
    help="A measured response: all drivers playing, or that one alone. Can be given again.",
)
@click.option(
    "--impedance",
    "impedances",
    multiple=True,
    metavar="[DRIVER=]FILE",
    help="A measured impedance: at the terminals, or that driver's. Can be given again.",
)
@folder_option("NAME of the case-verification")
def verify(
    case: str, responses: tuple[str, ...], impedances: tuple[str, ...], out: Path | None
) -> None:
    """Hold measurements of a finished loudspeaker against its design, and say what is wrong.

    FILE is a text table or a recording; those that the case names in [verification] are read too,
    and how each was taken is said there. Writes verification.nc, summary.txt, causes.csv and
    figures, and prints the summary. A fault that is found is an answer: the exit code is 0.
    """
    from acoustics.case import read_case
    from acoustics.cli.progress import SO_FAR, progress_bar

    checked = read_case(case)

    from acoustics.studies.labels import case_name
    from acoustics.studies.verification.readings.given import files_of, verification_with
    from acoustics.studies.verification.readings.read import read_readings

    given = verification_with(checked, responses, impedances)
    folder = out or Path("roundover-out") / f"{case_name(checked)}-verification"
    files = (ANSWER, SUMMARY, TABLE)
    _refuse_given(files_of(checked, given), [folder / name for name in files])
    readings = read_readings(checked, given)
    writable_folder(folder, *files)

    from acoustics.storage import save
    from acoustics.studies.verification.study import verify_design

    with progress_bar(checked.title, 1, SO_FAR) as progress:
        found = verify_design(checked, readings)
        progress(1, 1)
    with together(folder):
        # First of all: what was computed is not lost when something goes wrong with a figure.
        save(found, folder / ANSWER)

        from acoustics.figures.save import save_sheets
        from acoustics.figures.verification_sheets import verification_sheets
        from acoustics.files import write_text
        from acoustics.report import verification_csv, verification_text

        text = verification_text(checked, found)
        write_text(text, folder / SUMMARY)
        write_text(verification_csv(found), folder / TABLE)
        click.echo(text)
        drawn = save_sheets(verification_sheets(found), found, folder / FIGURES)
    drawing = "1 figure" if drawn == 1 else f"{drawn} figures"
    click.echo(f"Written to {folder}: {', '.join(files)}, {drawing} (PNG and SVG).")


def _refuse_given(read: Sequence[Path], written: Sequence[Path]) -> None:
    """Refuse to write over a measurement."""
    from acoustics.conventions import RoundoverError

    given = {file.resolve() for file in read}
    for file in written:
        if file.resolve() in given:
            raise RoundoverError(
                f"{file}: this file is read as a measurement, and it would be written over; "
                "choose another --out"
            )
