"""Where drivers sit best: places, corners, delays and edges, looked for together."""

from acoustics.studies.layout_search.answer import Arranged, Freedom, LayoutFound
from acoustics.studies.layout_search.changes import changed_keys
from acoustics.studies.layout_search.dataset import layout_dataset
from acoustics.studies.layout_search.run import search_layout
from acoustics.studies.layout_search.written import written_layout

__all__ = [
    "Arranged",
    "Freedom",
    "LayoutFound",
    "changed_keys",
    "layout_dataset",
    "search_layout",
    "written_layout",
]
