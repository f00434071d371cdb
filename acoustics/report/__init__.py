"""Text for people: what a prediction or a comparison says, in plain words.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from acoustics.report.box import box_text
    from acoustics.report.coefficients import write_coefficients
    from acoustics.report.comparison import comparison_csv, comparison_text
    from acoustics.report.compatibility import compatibility_csv, compatibility_text
    from acoustics.report.cut_list import boards_csv
    from acoustics.report.layout_search import layout_text
    from acoustics.report.measured import measured_text
    from acoustics.report.placement import placement_text
    from acoustics.report.structure import structure_text
    from acoustics.report.sweep import sweep_summary
    from acoustics.report.tolerance import tolerance_csv, tolerance_text
    from acoustics.report.verification import verification_text
    from acoustics.report.verification_table import verification_csv

_HOMES = {
    "boards_csv": "acoustics.report.cut_list",
    "box_text": "acoustics.report.box",
    "comparison_csv": "acoustics.report.comparison",
    "comparison_text": "acoustics.report.comparison",
    "compatibility_csv": "acoustics.report.compatibility",
    "compatibility_text": "acoustics.report.compatibility",
    "layout_text": "acoustics.report.layout_search",
    "measured_text": "acoustics.report.measured",
    "placement_text": "acoustics.report.placement",
    "structure_text": "acoustics.report.structure",
    "sweep_summary": "acoustics.report.sweep",
    "tolerance_csv": "acoustics.report.tolerance",
    "tolerance_text": "acoustics.report.tolerance",
    "verification_csv": "acoustics.report.verification_table",
    "verification_text": "acoustics.report.verification",
    "write_coefficients": "acoustics.report.coefficients",
}

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


def __getattr__(name: str) -> Any:
    """Load a name from the file where it lives (PEP 562)."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
