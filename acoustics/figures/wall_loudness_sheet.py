"""The figure of how loud walls are: on the reference axis, and in all directions together."""

from __future__ import annotations

from matplotlib.figure import Figure

from acoustics.figures.style import head, head_height, key, labels, new_figure, panel_title
from acoustics.figures.wall_loudness import draw_wall_loudness
from acoustics.studies.structure.found import StructureFound
from acoustics.studies.structure.sound import ALL
from acoustics.studies.wording import amount

PANEL = 2.9
"""inches"""

KEY_LINE = 0.22
"""inches"""


def wall_loudness_sheet(title: str, found: StructureFound) -> Figure | None:
    """Levels of all walls beside the drivers; None: nothing can be told of them."""
    sound, after = found.sound, found.sound_after
    if sound is None or not sound.walls:
        return None
    worst = next((each for each in found.closest if each.wall == ALL), None)
    words = (
        "How loud are the walls beside the drivers?",
        title,
        "guides hold for a third of an octave; grey: where closest",
    )
    figure, axes = new_figure(
        2 * PANEL + KEY_LINE * (len(sound.walls) // 2 + 3) + head_height(*words),
        rows=2,
        sharex=True,
    )
    named = "axis_level", "power_level"
    titles = (
        f"On the reference axis, at {amount(sound.distance, 'm')}",
        "In all directions together (power)",
    )
    for panel, levels, text in zip(axes[:, 0], named, titles, strict=True):
        draw_wall_loudness(
            panel,
            sound,
            getattr(sound, levels),
            closest=worst,
            after=None if after is None else getattr(after, levels)[-1],
        )
        panel_title(panel, text)
    labels(axes[-1, 0], "Frequency in Hz", "dB re drivers")
    key(axes[0, 0])
    head(figure, *words)
    return figure
