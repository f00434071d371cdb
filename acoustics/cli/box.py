"""`roundover box`: which box, how low, how loud."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.quantity import quantity
from acoustics.cli.together import together


@click.command(short_help="Say how low and how loud the enclosures play.")
@click.argument("case", type=click.Path(path_type=str))
@click.option(
    "--find",
    type=click.Choice(["flat", "deep", "loud"]),
    help="Look for the best volume and tuning first, and tell of that box.",
)
@click.option(
    "--within",
    type=quantity("VOLUME")(),
    metavar="VOLUME",
    help='Largest net volume to look at, such as "20 l".  [default: what the cabinet holds]',
)
@click.option(
    "--reach",
    type=quantity("FREQUENCY")(),
    metavar="FREQUENCY",
    help='Down to where a flat or loud box is judged, such as "45 Hz".  [default: the brief\'s]',
)
@folder_option("NAME of the case-box")
def box(
    case: str,
    find: str | None,
    within: float | None,
    reach: float | None,
    out: Path | None,
) -> None:
    """Say how low and how loud the enclosures of a case play, and what would suit its drivers.

    Curves of response, highest level, impedance, displacement, port speed and group delay, limits,
    volumes, ports and classic alignments. Writes box.nc, summary.txt and figures, and prints the
    summary.
    """
    if find is None and (within is not None or reach is not None):
        raise click.UsageError("--within and --reach go with --find; say what is looked for")

    from acoustics.case import read_case

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    folder = out or Path("roundover-out") / f"{case_name(checked)}-box"

    from acoustics.studies.box.study import box_study, require_boxes

    require_boxes(checked)
    writable_folder(folder, "box.nc", "summary.txt")
    study = box_study(checked, find=find, most_volume=within, reach=reach)  # type: ignore[arg-type]

    from acoustics.files import write_text
    from acoustics.report import box_text
    from acoustics.storage import save

    with together(folder):
        # First of all: what was computed is not lost when something goes wrong with a figure.
        save(study, folder / "box.nc")
        text = box_text(study)
        write_text(text, folder / "summary.txt")
        click.echo(text)

        from acoustics.figures.box_sheets import box_sheets
        from acoustics.figures.save import save_sheets

        drawn = save_sheets(box_sheets(study), study, folder / FIGURES)
    click.echo(f"Written to {folder}: box.nc, summary.txt, {drawn} figures (PNG and SVG).")
