"""The air in a cabinet: what its standing waves do to the drivers, and what lining does to them."""

from __future__ import annotations

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure

from acoustics.case.design.model import Case
from acoustics.figures.lining import draw_absorption, draw_qualities
from acoustics.figures.standing_waves import draw_standing_waves, name_waves
from acoustics.figures.style import (
    head,
    head_height,
    key,
    labels,
    named_curves,
    new_figure,
    panel_title,
)
from acoustics.structure.lining_layer import LINING_RESISTIVITY, absorption_coefficient
from acoustics.structure.lining_table import THICKNESSES
from acoustics.studies.structure.found import StructureFound

PANEL = 2.5
"""inches: of one driver"""

ABSORPTION = 100.0 * 2 ** (np.arange(0, 6 * 24 + 1) / 24)
"""Hz: frequencies of the absorption that is shown"""

ROW = 0.3
"""inches: of the table of Q"""


def standing_waves_sheet(case: Case, found: StructureFound) -> Figure | None:
    """What every driver feels of the standing waves; None: none stands, or none is known."""
    lined, bare = found.air_response, found.air_bare
    if found.air is None or lined is None or bare is None:
        return None
    if not (found.air.count and lined.drivers):
        return None
    bands = {each.driver: each.band for each in found.bands}
    planned = bool(found.structure.linings) or any(box.fill > 0 for box in case.enclosures)
    words = (
        "What do the standing waves inside do to the drivers?",
        case.title,
        "pressure behind each, over that of the air as a spring",
    )
    rows = len(lined.drivers)
    figure, axes = new_figure(PANEL * rows + 1.0 + head_height(*words), rows=rows)
    for panel, name in zip(axes[:, 0], lined.drivers, strict=True):
        at = lined.names.index(name)
        draw_standing_waves(
            panel,
            lined.frequency,
            bare.level[at, at],
            lined.level[at, at] if planned else None,
            found.air.frequency,
            bands.get(name),
        )
        panel_title(panel, name, clear=10.0)
        name_waves(panel, found.air.frequency, found.air.names)
    labels(axes[-1, 0], "Frequency in Hz", "dB re spring")
    curves: dict[str, Artist] = {}
    for panel in axes[:, 0]:
        curves |= {str(curve.get_label()): curve for curve in named_curves(panel)}
    key(axes[0, 0], curves=list(curves.values()))
    head(figure, *words)
    return figure


def lining_sheet(case: Case, found: StructureFound) -> Figure | None:
    """What lining takes, and what treatments make of every standing wave that is known."""
    table, planned = found.linings, found.structure.linings
    known = table is not None and len(table.frequency) > 0
    if not known and not planned:
        return None
    resistivity = planned[0].flow_resistivity if planned else LINING_RESISTIVITY
    thicknesses = sorted({*THICKNESSES, *(lining.thickness for lining in planned)})
    layers = {
        thickness: absorption_coefficient(thickness, resistivity, ABSORPTION, case.air)
        for thickness in thicknesses
    }
    words = (
        "What does lining do about the standing waves?" if known else "What does lining take?",
        case.title,
        f"flow resistivity {resistivity / 1e3:.3g} kPa s/m²",
    )
    heights = [2.6]
    if table is not None and known:
        heights.append(ROW * (len(table.treatments) + 3) + 0.5)
    figure, axes = new_figure(
        sum(heights) + 0.6 + head_height(*words), rows=len(heights), height_ratios=heights
    )
    draw_absorption(axes[0, 0], ABSORPTION, layers, case.air.speed_of_sound)
    panel_title(axes[0, 0], "Share of sound straight onto a hard wall that a layer takes")
    if table is not None and known:
        draw_qualities(axes[1, 0], table)
        panel_title(axes[1, 0], "Q of the first standing waves: high rings long, – all but gone")
    key(axes[0, 0])
    head(figure, *words)
    return figure
