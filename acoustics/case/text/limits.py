"""How much of anything a case may hold.

Checks across tables grow with the square of what is wrong in them, so every list and every table
of names has an end. Designs stay far below.
"""

from __future__ import annotations

MOST_KEYS = 10_000
"""of a file; a design has some hundreds"""

MOST_DRIVERS = 24
"""and of what is said by driver, or between drivers"""

MOST_AIMS = 200
MOST_SECTIONS = 60
"""in a row, before one driver or the amplifier"""

MOST_EDGES = 64
"""chamfers or rounds, each of which may be of several edges"""

MOST_SHAPES = 60
"""of a driver's crossover that are tried"""

MOST_BOARDS = 64
"""walls or materials that are described by themselves"""

MOST_READINGS = 64
"""responses or impedances of a finished loudspeaker"""
