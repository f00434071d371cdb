"""Cabinets of every shape, to put into the case without faults."""

from __future__ import annotations

from bench_text import GOOD, replaced

BOX = """\
width = "220 mm"
height = "380 mm"
depth = "300 mm"
base_height = "600 mm"
"""
PLATE = 'shape = "plate"\nwidth = "320 mm"\nheight = "500 mm"\nbase_height = "600 mm"\n'
# A house with its roof 100 mm above its walls.
OUTLINED = """\
shape = "plate"
base_height = "600 mm"
outline = [
    ["-160 mm", "-200 mm"], ["160 mm", "-200 mm"], ["160 mm", "200 mm"],
    ["0 mm", "300 mm"], ["-160 mm", "200 mm"],
]
"""
PYRAMID = (
    'shape = "pyramid"\nwidth = "300 mm"\nheight = "400 mm"\ndepth = "250 mm"\n'
    'front_width = "200 mm"\nfront_height = "360 mm"\nshift = ["10 mm", "-20 mm"]\n'
)
SLOPED = f'shape = "sloped front"\n{BOX}lean = "8 deg"\n'
# A house lying on its back: a box of 0.3 x 0.4 x 0.2 m with a roof of 0.1 m behind it.
HOUSE = """\
shape = "corners"
base_height = "600 mm"
corners = [
    ["1 m", "2 m", "0 m"], ["1.3 m", "2 m", "0 m"], ["1.3 m", "2.4 m", "0 m"], ["1 m", "2.4 m", "0 m"],
    ["1 m", "2 m", "-0.2 m"], ["1.3 m", "2 m", "-0.2 m"],
    ["1.3 m", "2.4 m", "-0.2 m"], ["1 m", "2.4 m", "-0.2 m"],
    ["1.15 m", "2 m", "-0.3 m"], ["1.15 m", "2.4 m", "-0.3 m"],
]
"""  # noqa: E501


def with_cabinet(cabinet: str) -> str:
    return replaced(GOOD, BOX, cabinet)


def cut(edge: str, sizes: str) -> str:
    """A chamfer of one edge."""
    return f'chamfers = [{{ edges = ["{edge}"], {sizes} }}]\n'
