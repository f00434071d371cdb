"""One figure per file: data and axes in, axes out.

The draw functions compute nothing; the sheets take their curves from `listening` and `studies`.
"""

from acoustics.figures.comparison_sheets import COMPARISON_SHEETS
from acoustics.figures.ear_height import draw_ear_height
from acoustics.figures.floor_bounce import draw_floor_bounce
from acoustics.figures.height_overlay import draw_height_overlay
from acoustics.figures.layout import draw_layout
from acoustics.figures.off_axis_curves import draw_off_axis_curves
from acoustics.figures.off_axis_map import draw_off_axis_map
from acoustics.figures.overlay import draw_overlay
from acoustics.figures.reference_axis import draw_reference_axis
from acoustics.figures.save import save_figure, save_sheets
from acoustics.figures.sheets import SHEETS

__all__ = [
    "COMPARISON_SHEETS",
    "SHEETS",
    "draw_ear_height",
    "draw_floor_bounce",
    "draw_height_overlay",
    "draw_layout",
    "draw_off_axis_curves",
    "draw_off_axis_map",
    "draw_overlay",
    "draw_reference_axis",
    "save_figure",
    "save_sheets",
]
