"""A case without faults for tests to put faults into."""

from __future__ import annotations

GOOD = """\
title = "Two-way on a test bench"

[cabinet]
width = "220 mm"
height = "380 mm"
depth = "300 mm"
base_height = "600 mm"

[drivers.tweeter]
piston_diameter = "25 mm"
frame_diameter = "100 mm"
position = ["0 mm", "125 mm"]
sensitivity = 90.0
polarity = "normal"

[drivers.woofer]
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
sensitivity = 88.0

[crossover.tweeter]
gain = -5.0
delay = "0.05 ms"
sections = [
    { type = "high-pass", alignment = "linkwitz-riley", order = 4, frequency = "2.2 kHz" },
    { type = "band-pass", alignment = "bessel", order = 2, low_frequency = "1 kHz", high_frequency = "9 kHz" },
    { type = "peak", frequency = "3 kHz", gain = -2.0, q = 2 },
]

[reference]
driver = "tweeter"
distance = "2 m"

[seat]
distance = "2.5 m"
ear_heights = ["0.85 m", "0.95 m"]

[floor]
reflection = 0.9

[[aims]]
measure = "ripple"
band = ["300 Hz", "10 kHz"]
at_most = 2.5

[[aims]]
measure = "beamwidth"
at_least = "90 deg"

[[aims]]
measure = "floor dip"
at_most = 8.0

[frequencies]
lowest = "20 Hz"
highest = "20 kHz"
per_octave = 24

[arcs]
step = "5 deg"

[solver]
accuracy = 0.05
"""  # noqa: E501

ROOM = """
[placement]
cabinets = "mirrored pair"
spacing = "2 m"
toe_in = "10 deg"

[seat.others.left-end]
distance = "2.7 m"
aside = "-0.7 m"

[seat.others.next]
aside = "0.6 m"

[front_wall]
distance = "0.8 m"
reflection = 0.8

[rear_wall]
distance = "4.2 m"

[left_wall]
distance = "1.7 m"

[right_wall]
distance = "1.9 m"
absorber = { thickness = "50 mm", flow_resistivity = "12 kPa s/m2" }

[ceiling]
height = "2.4 m"
"""
SWEEP = """
[sweep]

[[sweep.over]]
key = "cabinet.width"
values = ["220 mm", "22.5 cm", "10 in"]

[[sweep.over]]
key = "crossover.tweeter.sections.1.frequency"
name = "corner"
start = "1.6 kHz"
stop = "3.2 kHz"
number = 3
spacing = "logarithmic"

[[sweep.over]]
key = "drivers.tweeter.position.2"
also = ["drivers.woofer.acoustic_depth"]
start = "100 mm"
stop = "131 mm"
step = "10 mm"

[[sweep.over]]
key = "crossover.tweeter.sections.1.order"
values = [2, 4]

[sweep.sample]
points = 5
seed = 7

[[sweep.sample.over]]
key = "air.temperature"
start = "0 degC"
stop = "30 degC"
"""
FURNISHED = GOOD + ROOM
"""GOOD with a second cabinet, further seats and a room around them."""


def replaced(text: str, old: str, new: str) -> str:
    """`text` with its only `old` replaced."""
    assert text.count(old) == 1, old
    return text.replace(old, new)


def line_with(text: str, words: str) -> int:
    """The number of the only line of `text` that starts with `words`."""
    (number,) = (
        number for number, line in enumerate(text.splitlines(), 1) if line.startswith(words)
    )
    return number


def with_line(old: str, new: str) -> tuple[str, int]:
    """GOOD with its only line `old` replaced, and that line's number."""
    lines = GOOD.splitlines()
    assert [line.strip() for line in lines].count(old) == 1
    number = [line.strip() for line in lines].index(old)
    lines[number] = new
    return "\n".join(lines) + "\n", number + 1


SOURCE = """
[drivers.woofer.small_signal]
resonance = "40 Hz"
mechanical_q = 4.0
electrical_q = 0.43
total_q = 0.39
equivalent_volume = "19 l"
dc_resistance = "5.7 ohm"
moving_mass = "15.1 g"
measured = "free air"

[drivers.woofer.voice_coil]
inductance = "0.08 mH"
semi_inductance = "0.025 sH"
exponent = 0.6
"""
"""What moves the woofer of GOOD."""


PARTS = """\
[crossover.tweeter]
slopes = "passive"
polarity = "inverted"
parts = [
  { place = "series", capacitor = "5.6 uF", resistance = "0.05 ohm" },
  { place = "across", inductor = "0.27 mH", resistance = "0.2 ohm", core_resistance = "300 ohm" },
  { place = "series", resistor = "2.2 ohm", name = "pad" },
  { place = "across", resistor = "8.2 ohm", capacitor = "3.3 uF" },
  { place = "series", inductor = "0.5 mH", capacitor = "10 uF", resistor = "4.7 ohm", \
joined = "side by side" },
]
"""
"""A tweeter behind a passive crossover with every kind of part."""

BRIDGED_T = """\
[crossover.tweeter]
slopes = "passive"
parts = [
  { between = ["amplifier", "middle"], resistor = "4 ohm" },
  { between = ["middle", "driver"], resistor = "4 ohm" },
  { between = ["amplifier", "driver"], capacitor = "3.3 uF", resistance = "0.05 ohm" },
  { between = ["middle", "return"], inductor = "0.2 mH", resistor = "1 ohm" },
]
"""
"""Likewise, of a form that is no ladder."""


def unwrapped(output: str) -> list[str]:
    """Lines of what a check prints, those that were broken joined again."""
    assert max(map(len, output.splitlines())) <= 88
    return output.replace("\n" + 15 * " ", " ").splitlines()


def with_parts(parts: str = PARTS) -> str:
    """The good case with a passive branch to its tweeter, whose impedance is stated."""
    before, after = GOOD.split("[crossover.tweeter]")
    _, after = after.split("[reference]")
    text = before + parts + "\n[reference]" + after
    return text.replace("sensitivity = 90.0", 'sensitivity = 90.0\nrated_impedance = "8 ohm"')
