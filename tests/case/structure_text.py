"""A structure for tests to put into the bench text and to put faults into."""

from __future__ import annotations

from bench_text import replaced
from enclosure_text import VENTED, WALLS

STRUCTURE = """
[structure]
material = "MDF"
edges = "in between"
joint = "butt"

[structure.walls.back]
material = "panel"

[structure.materials.panel]
density = "700 kg/m3"
youngs_modulus = "4 GPa"

[[structure.braces]]
name = "side bar"
kind = "bar"
walls = ["left", "right"]
at = "100 mm"
width = "18 mm"
height = "40 mm"

[[structure.braces]]
name = "stay"
kind = "strut"
walls = ["left", "right"]
position = ["-80 mm", "-120 mm"]
width = "20 mm"
height = "30 mm"

[[structure.braces]]
name = "ring"
kind = "shelf"
at = "-140 mm"
open = 0.6

[[structure.linings]]
walls = "all but front and bottom"
material = "mineral wool"
thickness = "30 mm"

[structure.sheet]
length = "2500 mm"
width = "1250 mm"
kerf = "3.2 mm"
trim = "10 mm"
turn = false
"""

BOXED = replaced(VENTED, 'volume = "14 l"\n', "").replace('braces = "0.4 l"\n', "")
"""An enclosure whose volume is what is left of the inside."""

BUILT = WALLS + BOXED + STRUCTURE
"""A case without faults."""
