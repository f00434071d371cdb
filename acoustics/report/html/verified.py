"""The part of a report that holds what was built and measured against what was predicted."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.report.html.content import Chart, Picture, Section, section
from acoustics.report.html.told import blocks_of_text

TITLE = "Is it what was designed?"


def verification_section(text: str = "", figures: Sequence[Chart | Picture] = ()) -> Section:
    """What a verification says, and its figures.

    Args:
        text: laid out by `plain_text`, its title underlined with "=", its headings with "-".
        figures: curves or drawings that go with it.

    Returns:
        The section; without text and figures it is empty, and a report leaves it out.
    """
    return section("verification", TITLE, blocks_of_text(text) if text else None, figures)
