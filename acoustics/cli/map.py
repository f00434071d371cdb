"""`roundover map`: where on its face a driver should go."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.quantity import quantity
from acoustics.cli.together import together

BY = {
    "ripple-off-axis": "relative_ripple",
    "common-ripple": "common_ripple",
    "sides": "side_difference",
    "driver-ripple-off-axis": "driver_relative_ripple",
    "driver-common-ripple": "driver_common_ripple",
    "driver-sides": "driver_side_difference",
    "seat-level": "seat_level",
    "floor-dip": "floor_dip",
}
"""What the best place may be sought by, as it is said on the command line."""


@click.command("map", short_help="Map every place of a driver on its face.")
@click.argument("case", type=click.Path(path_type=str))
@click.option("--driver", required=True, metavar="NAME", help="The driver that is moved.")
@click.option(
    "--spacing",
    type=quantity("LENGTH")(),
    metavar="LENGTH",
    help='Between places, such as "2.5 mm".  [default: 5 mm]',
)
@click.option(
    "--gap",
    type=quantity("LENGTH")(),
    default=0.0,
    metavar="LENGTH",
    help='Wood that stays between frames and at the edges, such as "10 mm".  [default: none]',
)
@click.option(
    "--band",
    type=quantity("FREQUENCY")(),
    nargs=2,
    metavar="LOW HIGH",
    help='By which places are judged, such as "500 Hz" "8 kHz".  [default: 300 Hz to 10 kHz]',
)
@click.option(
    "--window",
    type=quantity("ANGLE")(),
    default=30.0,
    metavar="ANGLE",
    help='How far to either side counts, such as "60 deg".  [default: 30 deg, as in CTA-2034-A]',
)
@click.option(
    "--by",
    type=click.Choice(list(BY)),
    default="ripple-off-axis",
    show_default=True,
    help="What makes a place the best: ripple against the axis, ripple common to all directions, "
    "left against right, of all drivers or (driver-…) of the one that is moved; level or floor dip "
    "at the seat.",
)
@folder_option("NAME of the case-map-NAME of the driver")
def map_(
    case: str,
    driver: str,
    spacing: float | None,
    gap: float,
    band: tuple[float, float] | None,
    window: float,
    by: str,
    out: Path | None,
) -> None:
    """Map every place of a driver on its face: ripple, sides, level and floor dip at the seat.

    Everything else stays as the case has it; with acoustic slopes the driver's filter is computed
    anew for every place. Writes map.nc, summary.txt and figures, and prints the summary.
    """
    from acoustics.case import read_case
    from acoustics.case.design.model import BAND
    from acoustics.cli.progress import SHARE, progress_bar

    checked = read_case(case)

    from acoustics.studies.labels import case_name, file_name

    folder = out or Path("roundover-out") / f"{case_name(checked)}-map-{file_name(driver)}"

    from acoustics.studies.driver_map.face_places import driver_index, face_places
    from acoustics.studies.driver_map.study import STEPS, placement_map

    driver_index(checked, driver)
    face_places(checked, driver, spacing, gap)
    writable_folder(folder, "map.nc", "summary.txt")

    from acoustics.storage import save

    with progress_bar(f"{checked.title}, {driver}", STEPS, SHARE) as progress:
        found = placement_map(
            checked,
            driver,
            spacing=spacing,
            band=band or BAND,
            gap=gap,
            window=window,
            by=BY[by],
            progress=progress,
        )
    with together(folder):
        # First of all: what was computed is not lost when something goes wrong with a figure.
        save(found, folder / "map.nc")

        from acoustics.figures import PLACEMENT_SHEETS, save_sheets
        from acoustics.files import write_text
        from acoustics.report import placement_text

        text = placement_text(found)
        write_text(text, folder / "summary.txt")
        click.echo(text)
        drawn = save_sheets(PLACEMENT_SHEETS, found, folder / FIGURES)
    click.echo(f"Written to {folder}: map.nc, summary.txt, {drawn} figures (PNG and SVG).")
