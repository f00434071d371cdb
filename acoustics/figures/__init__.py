"""One figure per file: data and axes in, axes out.

The draw functions compute nothing; the sheets take their curves from `listening` and `studies`.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from acoustics.figures.at_the_seat import draw_at_the_seat
    from acoustics.figures.comparison_sheets import COMPARISON_SHEETS
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
    from acoustics.figures.placement import draw_placement
    from acoustics.figures.placement_sheets import PLACEMENT_SHEETS
    from acoustics.figures.reference_axis import draw_reference_axis
    from acoustics.figures.reverse_null import draw_reverse_null
    from acoustics.figures.room import draw_room
    from acoustics.figures.save import save_figure, save_sheets
    from acoustics.figures.sheets import SHEETS
    from acoustics.figures.span_map import draw_span_map
    from acoustics.figures.standard_curves import draw_directivity_indices, draw_standard_curves
    from acoustics.figures.sweep_sheets import SWEEP_SHEETS
    from acoustics.figures.tolerance_sheets import TOLERANCE_SHEETS

_HOMES = {
    "COMPARISON_SHEETS": "acoustics.figures.comparison_sheets",
    "LAYOUT_SHEETS": "acoustics.figures.layout_search_sheets",
    "PLACEMENT_SHEETS": "acoustics.figures.placement_sheets",
    "SHEETS": "acoustics.figures.sheets",
    "SWEEP_SHEETS": "acoustics.figures.sweep_sheets",
    "Shown": "acoustics.figures.layout_search_sheets",
    "TOLERANCE_SHEETS": "acoustics.figures.tolerance_sheets",
    "draw_at_the_seat": "acoustics.figures.at_the_seat",
    "draw_directivity_indices": "acoustics.figures.standard_curves",
    "draw_ear_height": "acoustics.figures.ear_height",
    "draw_filters": "acoustics.figures.filters",
    "draw_height_overlay": "acoustics.figures.height_overlay",
    "draw_layout": "acoustics.figures.layout",
    "draw_lobe_change": "acoustics.figures.lobe_change",
    "draw_loudest": "acoustics.figures.loudest",
    "draw_off_axis_curves": "acoustics.figures.off_axis_curves",
    "draw_off_axis_map": "acoustics.figures.off_axis_map",
    "draw_overlay": "acoustics.figures.overlay",
    "draw_phase_tracking": "acoustics.figures.phase_tracking",
    "draw_placement": "acoustics.figures.placement",
    "draw_reference_axis": "acoustics.figures.reference_axis",
    "draw_reverse_null": "acoustics.figures.reverse_null",
    "draw_room": "acoustics.figures.room",
    "draw_span_map": "acoustics.figures.span_map",
    "draw_standard_curves": "acoustics.figures.standard_curves",
    "save_figure": "acoustics.figures.save",
    "save_sheets": "acoustics.figures.save",
}

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


def __getattr__(name: str) -> Any:
    """Load a name from the file where it lives (PEP 562)."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
