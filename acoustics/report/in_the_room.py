"""What the surfaces of the room do at the main seat: each by itself, and all of them together."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening import Listener, dips, heard, listeners
from acoustics.listening.bounce import HIGHEST
from acoustics.listening.causes import BAFFLE, CROSSOVER
from acoustics.listening.error import dip_error, level_error
from acoustics.listening.surfaces import deeper, surfaces_of
from acoustics.report.at_the_seat import main_listeners, seat_angle
from acoustics.report.phrases import depth_span, hertz_span, whole
from acoustics.report.plain_text import columns
from acoustics.studies.wording import NULL, dip_depth, hertz, listed, number

MOST = 4
"""dips of the whole response that are told, of all cabinets together"""

FAR_ASIDE = 30.0
"""degrees: farther off the axis a cabinet's own directivity is told"""

LEAST_SHARE = 1.0
"""dB: a cause with a smaller part of a dip is left unsaid"""

MOST_CAUSES = 3
"""the largest causes of a dip that are named one by one"""

SHARED = 3.0
"""dB: a surface with this part of a dip has made it with the others"""


def surface_lines(answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Each surface's first dip, and its deepest where that is deeper, over all ear heights."""
    main = main_listeners(answers, prediction)
    cabinets = _cabinets(prediction)
    lines = []
    for surface in surfaces_of(prediction):
        one = main.sel(surface=surface)
        texts = [_surface(one.isel(listener=i), prediction) for i in range(one.listener.size)]
        if len(set(texts)) == 1:
            lines.append(f"{surface.capitalize()}: {texts[0]}.")
        else:
            apart = [f"{who} {text}" for who, text in zip(cabinets, texts, strict=True)]
            lines.append(f"{surface.capitalize()}: {'; '.join(apart)}.")
    walls = [name for name in surfaces_of(prediction) if name in ("left wall", "right wall")]
    if walls and prediction.speaker.size > 1 and len(cabinets) == 1:
        lines.append(
            "This is the left cabinet; the right one sounds alike, the side walls changing places."
        )
    return lines


def whole_response(prediction: xr.Dataset) -> tuple[list[str], str]:
    """The deepest dips up to 1.5 kHz of everything together at the middle ear height.

    Returns:
        Points to tell of them, and a table of dips, depths, and what part of each is whose.
    """
    ones = [one for one in listeners(prediction) if one.main]
    found = [
        (cabinet, dip)
        for one, cabinet in zip(ones, _cabinets(prediction), strict=True)
        for dip in _deepest(heard(prediction, one), MOST // len(ones))
    ]
    ears = f"{_middle_ear(prediction):.2f} m"
    if not found:
        return [f"All together, ears at {ears}: no dip of 3 dB or more up to {hertz(HIGHEST)}."], ""
    shares = [dip.dip_share for _, dip in found]
    points = _off_the_axis(found, ones, prediction)
    if any(int((_of_surfaces(each) >= SHARED).sum()) > 1 for each in shares):
        points.append(
            "Where surfaces share a dip, other distances from them pull it apart (common practice)."
        )
    fills = "; minus fills it" if any((each <= -LEAST_SHARE).any() for each in shares) else ""
    rows = [[f"all together at {ears}", "depth (dB)", f"made by (dB{fills})"]]
    rows += [_row(cabinet, dip, prediction) for cabinet, dip in found]
    return points, columns(rows, left=3)


def _middle_ear(prediction: xr.Dataset) -> float:
    """The ear height at which the whole response is told, m."""
    return float(prediction.ear_height[prediction.ear_height.size // 2])


def _cabinets(prediction: xr.Dataset) -> list[str]:
    """Which cabinet each listener at the main seat hears; empty where that makes no difference."""
    ones: list[Listener] = [one for one in listeners(prediction) if one.main]
    return [f"{one.speaker} cabinet" if len(ones) > 1 else "" for one in ones]


def _surface(one: xr.Dataset, prediction: xr.Dataset) -> str:
    """One surface and one cabinet, all ear heights: "first dip at 298 to 359 Hz, ..."."""
    if unknown := [str(note) for note in one.dip_note.values if note]:
        first = min(unknown)
    elif np.isnan(one.dip_frequency).all():
        first = "no dip of 1 dB or more"
    else:
        known = np.isfinite(one.dip_frequency).values
        first = f"first dip at {_range(one, 'dip', known, prediction)}"
    more = deeper(one).values
    if not more.any():
        return first
    deepest = _range(one, "deepest_dip", more, prediction)
    return f"{first}; deepest (up to {hertz(HIGHEST)}) at {deepest}"


def _range(one: xr.Dataset, name: str, which: np.ndarray, prediction: xr.Dataset) -> str:
    some = one.isel(ear_height=which)
    ears = [f"{ear:.2f}" for ear in some.ear_height.values]
    at = "" if which.all() else f", ears at {listed(ears)} m"
    drivers = listed(list(dict.fromkeys(map(str, some[f"{name}_driver"].values))), "or")
    frequency, depth = some[f"{name}_frequency"].values, some[f"{name}_depth"].values
    deep = depth_span(depth, dip_error(level_error(prediction, frequency), depth))
    return f"{hertz_span(frequency)}, {deep} deep ({drivers}{at})"


def _deepest(view: xr.Dataset, most: int) -> list[xr.Dataset]:
    """The deepest dips at the middle ear height up to 1.5 kHz, in ascending frequency."""
    found = dips(view).sel(ear_height=_middle_ear(view))
    low = found.isel(dip=np.flatnonzero(found.dip_frequency.values <= HIGHEST))
    chosen = np.sort(np.argsort(-low.dip_depth.values, kind="stable")[:most])
    return [low.isel(dip=int(i)) for i in chosen]


def _row(cabinet: str, dip: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """One dip of the table: "306 Hz", "12.1 ± 0.3", "floor 8, front wall 5, ceiling −1"."""
    frequency, depth = float(dip.dip_frequency), float(dip.dip_depth)
    doubt = float(dip_error(level_error(prediction, np.array(frequency)), np.array(depth)))
    by_size = sorted(
        zip(dip.dip_share.values, map(str, dip.cause.values), strict=True),
        key=lambda part: -abs(part[0]),
    )
    rest = float(sum(part for part, _ in by_size[MOST_CAUSES:]))
    told = [
        f"{cause} {whole(part)}"
        for part, cause in [*by_size[:MOST_CAUSES], (rest, "others")]
        if abs(part) >= LEAST_SHARE
    ]
    place = f"{cabinet}, {hertz(frequency)}" if cabinet else hertz(frequency)
    deep = f"{number(depth, 'dB')} ± {number(doubt, 'dB')}"
    if doubt > NULL:
        deep = dip_depth(depth, doubt).removesuffix(" dB")
    return [place, deep, ", ".join(told)]


def _off_the_axis(
    found: list[tuple[str, xr.Dataset]], ones: list[Listener], prediction: xr.Dataset
) -> list[str]:
    """That a dip is the cabinet's because the seat lies far to the side of where it faces."""
    led = {cabinet for cabinet, dip in found if _leading(dip) == BAFFLE}
    angles = [
        abs(seat_angle(prediction, one))
        for one, cabinet in zip(ones, _cabinets(prediction), strict=True)
        if cabinet in led
    ]
    far = max(angles, default=0.0)
    if far <= FAR_ASIDE:
        return []
    return [f"The seat is {far:.0f}° off the axis, where {BAFFLE} make dips of their own."]


def _leading(dip: xr.Dataset) -> str:
    """The cause with the largest part."""
    return str(dip.cause.values[int(dip.dip_share.values.argmax())])


def _of_surfaces(shares: xr.DataArray) -> xr.DataArray:
    return shares.drop_sel(cause=[CROSSOVER, BAFFLE])
