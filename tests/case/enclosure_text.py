"""Enclosures, amplifier and brief for tests to put into the bench text and to put faults into."""

from __future__ import annotations

from bench_text import GOOD, replaced

WALLS = replaced(GOOD, 'base_height = "600 mm"', 'base_height = "600 mm"\nwall_thickness = "18 mm"')

VENTED = """
[enclosures.bass]
kind = "vented"
drivers = ["woofer"]
volume = "14 l"
tuning = "42 Hz"
braces = "0.4 l"
fill = 0.2
absorption_q = 50.0

[enclosures.bass.ports.rear]
diameter = "50 mm"
face = "back"
position = ["0 mm", "100 mm"]
"""

PASSIVE = """
[enclosures.bass]
kind = "passive radiator"
drivers = ["woofer"]
volume = "14 l"
tuning = "40 Hz"

[enclosures.bass.passive_radiators.rear]
piston_diameter = "130 mm"
frame_diameter = "170 mm"
face = "back"
position = ["0 mm", "0 mm"]
moving_mass = "28 g"
resonance = "22 Hz"
mechanical_q = 6.0
most_displacement = "10 mm"
displaced_volume = "0.3 l"
"""

CLOSED = """
[enclosures.bass]
kind = "closed"
drivers = ["woofer"]
volume = "12 l"
"""

AMPLIFIER = """
[amplifier]
power = "60 W"
into = "8 ohm"
lowest_impedance = "4 ohm"
resistance = "0.1 ohm"
"""

BRIEF = """
[brief]
level = 82.0
tilt = [-1.0, 0.3]
reach = "45 Hz"
seat_level = 96.0
width = "230 mm"
height = "400 mm"
depth = "320 mm"
distance = "2.5 m"
ear_height = "0.95 m"
surfaces = ["floor", "front wall"]
budget = 400
"""

ENCLOSED = VENTED + AMPLIFIER + BRIEF
"""What may follow a case."""
