"""A placement map in words: where a driver should go, and how exactly."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.cabinet.names import face_words
from acoustics.case.text.places import place_words
from acoustics.case.text.units import in_unit
from acoustics.conventions import MAIN_SEAT
from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.studies.driver_map.study import BEST, METRICS, PRESENT
from acoustics.studies.wording import amount, hertz, listed, number

NAMES = {
    "relative_ripple": "ripple off axis against the axis",
    "common_ripple": "ripple common to all directions",
    "side_difference": "left against right",
    "driver_relative_ripple": "the driver alone: ripple off axis",
    "driver_common_ripple": "the driver alone: common ripple",
    "driver_side_difference": "the driver alone: left against right",
    "seat_level": "level at the main seat",
    "floor_dip": "floor dip at the main seat",
}

ALIKE = 0.05
"""dB: places whose figures differ by less are alike, whatever else"""


def placement_text(found: xr.Dataset) -> str:
    """Say where the driver of a map should go, what that gains, and how exactly it must be there.

    Args:
        found: as `studies.driver_map.study.placement_map` makes it.

    Returns:
        Text of 88 columns, ending in a newline.
    """
    name, title = str(found.attrs["moved"]), str(found.attrs["title"])
    parts = [
        f"{title}\n{'=' * len(title)}",
        paragraph(f"Where should the {name} go? {_answer(found)}"),
        "\n".join([heading("How exactly"), *map(bullet, _exactness(found))]),
        f"{heading('Figures in dB')}\n{_table(found)}",
        "\n".join([heading("What this rests on"), *map(bullet, _basis(found))]),
    ]
    return "\n\n".join(parts) + "\n"


def _answer(found: xr.Dataset) -> str:
    by = str(found.attrs["by"])
    metric = _at_main(found[f"spot_{by}"])
    present, best = (float(metric.sel(spot=spot)) for spot in (PRESENT, BEST))
    spots = {
        spot: place_words(
            float(found.spot_right.sel(spot=spot)), float(found.spot_up.sel(spot=spot))
        )
        for spot in (PRESENT, BEST)
    }
    face = str(found.driver_face.sel(driver=found.attrs["moved"]).values)
    gain = METRICS[by] * (present - best)
    notable = max(ALIKE, 2 * float(found.attrs["deviation"]))
    if gain < notable:
        return (
            f"Where it is, {spots[PRESENT]} from the middle of the {face_words(face)}: no other "
            f"place there is for it is better by more than {amount(notable, 'dB', finer=1)} "
            f"({NAMES[by]}: {amount(present, 'dB', finer=1)})."
        )
    return (
        f"Best {spots[BEST]} from the middle of the {face_words(face)}: {NAMES[by]} "
        f"{amount(best, 'dB', finer=1)} there, against {amount(present, 'dB', finer=1)} where it "
        f"is now, {spots[PRESENT]}.{_mirrored(found, by, best)}"
    )


def _mirrored(found: xr.Dataset, by: str, best: float) -> str:
    """Whether the best place's mirror image is as good, so that a pair may have it either way."""
    right, up = (float(found[f"spot_{way}"].sel(spot=BEST)) for way in ("right", "up"))
    image = int(np.abs(found.right.values + right).argmin())
    if abs(right) < 1e-6 or abs(float(found.right[image]) + right) > 1e-6:
        return ""
    there = found.isel(right=image).sel(up=up, method="nearest")
    if int(there.zone) != 0 or abs(float(_at_main(there[by])) - best) > ALIKE:
        return ""
    return " Its mirror image is as good by this figure."


def _exactness(found: xr.Dataset) -> list[str]:
    given = found.attrs
    best = found.sel(spot=BEST)
    spot = place_words(float(best.spot_right), float(best.spot_up))
    reach = {side: float(given[f"best_{side}"]) for side in ("left", "right", "down", "up")}
    ways = [f"{in_unit(size, 'mm', digits=3)} {side}" for side, size in reach.items() if size]
    held = [side for side, size in reach.items() if not size]
    free = f"may go {listed(ways)}" if ways else "may not go a step of the map to any side"
    if ways and held:
        free += f", but not a step of the map {listed(held, 'or')},"
    within = amount(float(given["best_within"]), "dB", finer=1)
    area = 1e4 * float(given["best_area"])
    step = in_unit(_spacing(found), "mm", digits=3)
    lines = [
        f"From the best place of the map, {spot}, the driver {free} before this figure is worse "
        f"by more than {within} or the frame has no room; all places as good that hang together "
        f"with it make {area:.3g} cm². The map has a place every {step}."
    ]
    allowed = _at_main(found[str(given["by"])]).where(found.zone == 0)
    low, high = float(allowed.min()), float(allowed.max())
    share = 100 * float((found.zone == 0).mean())
    lines.append(
        f"Over all places where the frame has room ({share:.0f} % of the map) the figure goes from "
        f"{number(low, 'dB', finer=1)} to {amount(high, 'dB', finer=1)}."
    )
    return lines


def _table(found: xr.Dataset) -> str:
    rows = [["", "present", "best place", "lowest", "highest"]]
    for name, words in NAMES.items():
        if name not in found:
            continue
        allowed = _at_main(found[name]).where(found.zone == 0)
        spot = _at_main(found[f"spot_{name}"])
        values = [spot.sel(spot=PRESENT), spot.sel(spot=BEST), allowed.min(), allowed.max()]
        rows.append([words, *(number(float(value), "dB", finer=1) for value in values)])
    more = "Lowest and highest are over all places where the frame has room."
    return f"{columns(rows)}\n\n{paragraph(more)}"


def _basis(found: xr.Dataset) -> list[str]:
    given = found.attrs
    low, high = (hertz(float(f)) for f in given["band"])
    own = [hertz(float(f)) for f in given["own_band"]]
    smoothing = f", 1/{given['smoothing']:g} octave" if given["smoothing"] else ""
    window = float(given["window"])
    sides = "the listening window of CTA-2034-A" if window == 30 else f"±{window:g}° and ±10° up"
    filters = (
        f"the {given['moved']}'s filter is computed anew for every place"
        if given["filters"] == "for every place"
        else "all filters stay"
    )
    trusted = float(found.trusted_to.sel(driver=given["moved"]))
    doubt = (
        f" Above {hertz(trusted)} the {given['moved']} no longer moves as a flat piston, and what "
        "it does off axis is doubtful."
        if trusted < given["band"][1]
        else ""
    )
    return [
        f"{low} to {high}{smoothing}; directions: {sides}. Ripple is half the peak-to-peak about a "
        "straight line. The part common to all directions can be taken away by a filter, the part "
        f"relative to the axis cannot. The driver alone is unfiltered, {own[0]} to {own[1]}."
        f"{doubt}",
        "The cabinet, the other drivers, the reference axis and the seats stay where they are, "
        f"also where the axis goes through the driver now; {filters}.",
        f"Some places were solved by themselves: the map was off by at most "
        f"{amount(max(float(given['deviation']), 0.01), 'dB', finer=1)}. What holds for any "
        "prediction holds here: `roundover predict` says how sure that is.",
        "Frames stay on the face and clear of each other"
        + (f" by {in_unit(float(given['gap']), 'mm')}" if given["gap"] else "")
        + ". Nothing here knows of braces, cut-outs or how deep a driver is.",
    ]


def _at_main(metric: xr.DataArray) -> xr.DataArray:
    """At the main seat of the first cabinet."""
    if "seat" in metric.dims:
        return metric.sel(seat=MAIN_SEAT).isel(speaker=0)
    return metric


def _spacing(found: xr.Dataset) -> float:
    steps = np.concatenate([np.diff(found.right.values), np.diff(found.up.values)])
    return float(steps.min())
