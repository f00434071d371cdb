"""Text for people: what a prediction or a comparison says, in plain words.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.report.box import box_text
    from acoustics.report.coefficients import write_coefficients
    from acoustics.report.comparison import comparison_csv, comparison_text
    from acoustics.report.compatibility import compatibility_csv, compatibility_text
    from acoustics.report.cut_list import boards_csv
    from acoustics.report.driver_map import placement_text
    from acoustics.report.layout_search import layout_text
    from acoustics.report.measured import measured_text
    from acoustics.report.structure import structure_text
    from acoustics.report.sweep import sweep_summary
    from acoustics.report.tolerance import tolerance_csv, tolerance_text
    from acoustics.report.verification import verification_text
    from acoustics.report.verification_table import verification_csv

__all__ = [
    "boards_csv",
    "box_text",
    "comparison_csv",
    "comparison_text",
    "compatibility_csv",
    "compatibility_text",
    "layout_text",
    "measured_text",
    "placement_text",
    "structure_text",
    "sweep_summary",
    "tolerance_csv",
    "tolerance_text",
    "verification_csv",
    "verification_text",
    "write_coefficients",
]

__getattr__ = on_first_use(
    __name__,
    {
        "box": ("box_text",),
        "coefficients": ("write_coefficients",),
        "comparison": ("comparison_csv", "comparison_text"),
        "compatibility": ("compatibility_csv", "compatibility_text"),
        "cut_list": ("boards_csv",),
        "layout_search": ("layout_text",),
        "measured": ("measured_text",),
        "driver_map": ("placement_text",),
        "structure": ("structure_text",),
        "sweep": ("sweep_summary",),
        "tolerance": ("tolerance_csv", "tolerance_text"),
        "verification": ("verification_text",),
        "verification_table": ("verification_csv",),
    },
)
