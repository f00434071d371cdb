"""One figure per file: data and axes in, axes out.

The draw functions compute nothing; the sheets take their curves from `listening` and `studies`.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.figures.at_the_seat import draw_at_the_seat
    from acoustics.figures.comparison_sheets import COMPARISON_SHEETS
    from acoustics.figures.driver_map import draw_placement
    from acoustics.figures.driver_map_sheets import PLACEMENT_SHEETS
    from acoustics.figures.ear_height import draw_ear_height
    from acoustics.figures.filters import draw_filters
    from acoustics.figures.height_overlay import draw_height_overlay
    from acoustics.figures.layout import draw_layout
    from acoustics.figures.layout_search_sheets import LAYOUT_SHEETS, Shown
    from acoustics.figures.lobe_change import draw_lobe_change
    from acoustics.figures.loudest import draw_loudest
    from acoustics.figures.off_axis_curves import draw_off_axis_curves
    from acoustics.figures.off_axis_map import draw_off_axis_map
    from acoustics.figures.overlay import draw_overlay
    from acoustics.figures.phase_tracking import draw_phase_tracking
    from acoustics.figures.reference_axis import draw_reference_axis
    from acoustics.figures.reverse_null import draw_reverse_null
    from acoustics.figures.room import draw_room
    from acoustics.figures.save import save_figure, save_sheets
    from acoustics.figures.sheets import SHEETS
    from acoustics.figures.span_map import draw_span_map
    from acoustics.figures.standard_curves import draw_directivity_indices, draw_standard_curves
    from acoustics.figures.sweep_sheets import SWEEP_SHEETS
    from acoustics.figures.tolerance_sheets import TOLERANCE_SHEETS

__all__ = [
    "COMPARISON_SHEETS",
    "LAYOUT_SHEETS",
    "PLACEMENT_SHEETS",
    "SHEETS",
    "SWEEP_SHEETS",
    "TOLERANCE_SHEETS",
    "Shown",
    "draw_at_the_seat",
    "draw_directivity_indices",
    "draw_ear_height",
    "draw_filters",
    "draw_height_overlay",
    "draw_layout",
    "draw_lobe_change",
    "draw_loudest",
    "draw_off_axis_curves",
    "draw_off_axis_map",
    "draw_overlay",
    "draw_phase_tracking",
    "draw_placement",
    "draw_reference_axis",
    "draw_reverse_null",
    "draw_room",
    "draw_span_map",
    "draw_standard_curves",
    "save_figure",
    "save_sheets",
]

__getattr__ = on_first_use(
    __name__,
    {
        "at_the_seat": ("draw_at_the_seat",),
        "comparison_sheets": ("COMPARISON_SHEETS",),
        "ear_height": ("draw_ear_height",),
        "filters": ("draw_filters",),
        "height_overlay": ("draw_height_overlay",),
        "layout": ("draw_layout",),
        "layout_search_sheets": ("LAYOUT_SHEETS", "Shown"),
        "lobe_change": ("draw_lobe_change",),
        "loudest": ("draw_loudest",),
        "off_axis_curves": ("draw_off_axis_curves",),
        "off_axis_map": ("draw_off_axis_map",),
        "overlay": ("draw_overlay",),
        "phase_tracking": ("draw_phase_tracking",),
        "driver_map": ("draw_placement",),
        "driver_map_sheets": ("PLACEMENT_SHEETS",),
        "reference_axis": ("draw_reference_axis",),
        "reverse_null": ("draw_reverse_null",),
        "room": ("draw_room",),
        "save": ("save_figure", "save_sheets"),
        "sheets": ("SHEETS",),
        "span_map": ("draw_span_map",),
        "standard_curves": ("draw_directivity_indices", "draw_standard_curves"),
        "sweep_sheets": ("SWEEP_SHEETS",),
        "tolerance_sheets": ("TOLERANCE_SHEETS",),
    },
)
