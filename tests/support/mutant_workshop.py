"""Designs that hold what no shipped one does, so that mutants of everything can be made."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from support.cases import CASES
from support.mutant_originals import impedance_tables

PROCESSED = """
processor.sampling_rate = "48 kHz"
crossover.woofer.sections = [
  { type = "low-pass", alignment = "linkwitz-riley", order = 4, frequency = "2 kHz" },
  { type = "low-shelf", frequency = "200 Hz", gain = 3.0, q = 0.7 },
  { type = "biquad", b = [0.2, 0.4, 0.2], a = [1, -0.5, 0.25] },
]
crossover.tweeter.sections = [
  { type = "high-pass", alignment = "linkwitz-riley", order = 4, frequency = "2 kHz" },
  { type = "all-pass", order = 2, frequency = "1 kHz", q = 0.7 },
  { type = "all-pass", order = 1, frequency = "500 Hz" },
  { type = "high-shelf", frequency = "8 kHz", gain = -2.0, q = 0.7 },
  { type = "fir", taps = [0.25, 1, -0.25] },
  { type = "fir", taps_file = "taps.txt" },
]
drivers.woofer.impedance = "impedance.txt"
ceiling.height = "2.4 m"
floor.reflection = 0.9
front_wall = { distance = "0.8 m", reflection = 0.8 }
rear_wall.distance = "4.2 m"
left_wall.distance = "1.7 m"
right_wall = { distance = "1.9 m", absorber = { thickness = "50 mm", flow_resistivity = "12 kPa s/m2" } }
sweep.sample = { points = 5, seed = 7, over = [{ key = "air.temperature", start = "0 degC", stop = "30 degC" }] }

[place]
aim = "common ripple"
against = "floor dip"
gap = "10 mm"
ear_height = ["0.9 m", "1.0 m"]
band = ["500 Hz", "8 kHz"]
corners = [["1.8 kHz", "2.8 kHz"]]
drivers = { tweeter = { right = ["-40 mm", "4 cm"] }, woofer = {} }
delays = { tweeter = ["0 us", "300 us"] }
treatments = [
  { name = "sharp" },
  { name = "rounded", rounds = [{ radius = "15 mm" }] },
  { name = "cut", chamfers = [{ edges = ["front left", "front right"], setback = "1 in" }] },
]

[tolerance]
builds = 500
positions = "1 mm"
temperature = "9 degF"
drivers = { compliance = "15 %" }
spreads = [
  { key = "cabinet.depth", also = ["cabinet.height"], within = "1 mm", name = "the box" },
  { key = "floor.reflection", within = "10%" },
]
"""  # noqa: E501

SHAPES = {
    "outlined": """
shape = "plate"
base_height = "600 mm"
outline = [
  ["-160 mm", "-200 mm"], ["160 mm", "-200 mm"], ["160 mm", "200 mm"], ["0 mm", "300 mm"],
  ["-160 mm", "200 mm"],
]
""",
    "pyramid": """
shape = "pyramid"
width = "300 mm"
height = "400 mm"
depth = "250 mm"
base_height = "600 mm"
front_width = "200 mm"
front_height = "360 mm"
shift = ["10 mm", "-20 mm"]
""",
    "sloped": """
shape = "sloped front"
width = "220 mm"
height = "380 mm"
depth = "300 mm"
base_height = "600 mm"
lean = "8 deg"
rounds = [{ radius = "15 mm", edges = ["front left", "front right"] }]
""",
    "house": """
shape = "corners"
base_height = "600 mm"
corners = [
  ["1 m", "2 m", "0 m"], ["1.3 m", "2 m", "0 m"], ["1.3 m", "2.4 m", "0 m"], ["1 m", "2.4 m", "0 m"],
  ["1 m", "2 m", "-0.2 m"], ["1.3 m", "2 m", "-0.2 m"], ["1.3 m", "2.4 m", "-0.2 m"],
  ["1 m", "2.4 m", "-0.2 m"], ["1.15 m", "2 m", "-0.3 m"], ["1.15 m", "2.4 m", "-0.3 m"],
]
""",  # noqa: E501
}

NETWORK = """
slopes = "passive"
polarity = "inverted"
parts = [
  { place = "series", capacitor = "5.6 uF", resistance = "0.05 ohm" },
  { place = "across", inductor = "0.27 mH", resistance = "0.2 ohm", core_resistance = "300 ohm" },
  { place = "series", resistor = "2.2 ohm", name = "pad" },
  { place = "across", resistor = "8.2 ohm", capacitor = "3.3 uF" },
  { place = "series", inductor = "0.5 mH", capacitor = "10 uF", resistor = "4.7 ohm", joined = "side by side" },
]
"""  # noqa: E501

BRIDGED = """
slopes = "passive"
parts = [
  { between = ["amplifier", "middle"], resistor = "4 ohm" },
  { between = ["middle", "driver"], resistor = "4 ohm" },
  { between = ["amplifier", "driver"], capacitor = "3.3 uF", resistance = "0.05 ohm" },
  { between = ["middle", "return"], inductor = "0.2 mH", resistor = "1 ohm" },
]
"""


def workshop_designs(folder: Path) -> dict[str, Any]:
    """Designs by name, each with a folder of its own below `folder`, all without a fault."""
    plain = _shipped("compact-centred")
    bare = {key: value for key, value in plain.items() if key not in ("enclosures", "structure")}
    found = {"workshop": {**bare, **tomllib.loads(PROCESSED)}}
    found["workshop"]["drivers"] = {
        **plain["drivers"],
        "woofer": {**plain["drivers"]["woofer"], "impedance": "impedance.txt"},
    }
    for name, text in SHAPES.items():
        found[name] = {**bare, "cabinet": tomllib.loads(text)}
    for name, text in (("network", NETWORK), ("bridged", BRIDGED)):
        passive = _shipped("compact-passive")
        passive.pop("verification", None)
        passive["crossover"]["tweeter"] = tomllib.loads(text)
        found[name] = passive
    for name in found:
        (folder / "cases" / name).mkdir(parents=True, exist_ok=True)
    files = folder / "cases" / "workshop"
    (files / "impedance.txt").write_bytes(impedance_tables()[0])
    (files / "taps.txt").write_text("# made up\n0.5\n-1e-3\n2\n", encoding="utf-8")
    return found


def _shipped(name: str) -> dict[str, Any]:
    return tomllib.loads((CASES / name / "case.toml").read_text(encoding="utf-8"))
