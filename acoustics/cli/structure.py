"""`roundover structure`: walls, braces, the air inside, and the boards to cut."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.together import together


@click.command(short_help="Say how walls and air ring, what to change, and which boards to cut.")
@click.argument("case", type=click.Path(path_type=str))
@folder_option("NAME of the case-structure")
def structure(case: str, out: Path | None) -> None:
    """Say where walls and air of a cabinet ring, how loud, and what to change before the saw.

    Modes of every wall, what each brace does and what others would, standing waves of the air
    inside against drivers and crossover, what lining does, volumes, and the boards to cut with
    their place on sheets. Writes structure.nc, summary.txt, boards.csv and figures, and prints the
    summary.
    """
    from acoustics.case import read_case
    from acoustics.cli.progress import progress_bar

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    folder = out or Path("roundover-out") / f"{case_name(checked)}-structure"

    from acoustics.studies.structure import structure_dataset, structure_study
    from acoustics.studies.structure.usual import require_walls
    from acoustics.studies.structure.wall_fields import HIGHEST, solved_frequencies

    require_walls(checked)
    writable_folder(folder, "structure.nc", "summary.txt", "boards.csv")
    reach = HIGHEST if checked.structure is None else min(checked.structure.reach, HIGHEST)
    with progress_bar(checked.title, len(solved_frequencies(reach))) as progress:
        found = structure_study(checked, progress=progress)

    from acoustics.files import write_text
    from acoustics.report import boards_csv, structure_text
    from acoustics.storage import save

    with together(folder):
        # First of all: what was computed is not lost when something goes wrong with a figure.
        save(structure_dataset(checked, found), folder / "structure.nc")
        text = structure_text(checked, found)
        write_text(text, folder / "summary.txt")
        tables = "structure.nc, summary.txt"
        if found.cut_list is not None:
            write_text(boards_csv(found.cut_list), folder / "boards.csv")
            tables += ", boards.csv"
        else:
            (folder / "boards.csv").unlink(missing_ok=True)
        click.echo(text)

        from acoustics.figures.save import save_sheets
        from acoustics.figures.structure_sheets import structure_sheets

        drawn = save_sheets(structure_sheets(checked), found, folder / FIGURES)
    click.echo(f"Written to {folder}: {tables}, {drawn} figures (PNG and SVG).")
