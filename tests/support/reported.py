"""Reports of designs for tests, and what a page consists of, read by the standard library."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from html.parser import HTMLParser
from typing import Any

from acoustics.prediction import predict
from acoustics.report.html.compose import report_page
from acoustics.report.html.content import Page
from acoustics.report.html.pictures import draw_pictures
from acoustics.report.summary_parts import summary_parts
from acoustics.studies.papers import beside

VOID = {"meta", "input", "br", "link", "img", "hr"}
"""elements of HTML that have no end tag (HTML standard, void elements)"""


def page_of(case: Any, solve: Any = None, **more: Any) -> Page:
    """The report of a case, its fields by `solve`."""
    return page_from(case, predict(case, solve=solve) if solve else predict(case), **more)


def page_from(case: Any, prediction: Any, **more: Any) -> Page:
    """The report of a prediction."""
    told, draw = summary_parts(case, prediction), partial(draw_pictures, case, prediction)
    return report_page(case, prediction, told, draw, beside(case), "roundover 0", **more)


@dataclass
class Read(HTMLParser):
    """A page as elements, attributes and text."""

    elements: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)
    text: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> at line {self.getpos()[0]}")

    def handle_data(self, data):
        if not self.open or self.open[-1] not in ("script", "style"):
            self.text.append(data)

    def of(self, tag: str) -> list[dict[str, str | None]]:
        """Attributes of all elements of a kind."""
        return [attributes for name, attributes in self.elements if name == tag]


def read(html: str) -> Read:
    """Read a page; `faults` and `open` are empty where it is well formed."""
    page = Read()
    page.feed(html)
    page.close()
    return page
