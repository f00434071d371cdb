"""Passive networks of any form in a case file: parts between nodes, and loose ends."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import BRIDGED_T, replaced, unwrapped, with_parts
from click.testing import CliRunner

from acoustics.case import Element, read_case
from acoustics.cli.main import main
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

LATTICE = """\
[crossover.tweeter]
slopes = "passive"
parts = [
  { between = ["amplifier", "driver"], inductor = "0.5 mH" },
  { between = ["driver return", "return"], inductor = "0.5 mH" },
  { between = ["amplifier", "driver return"], capacitor = "8.2 uF" },
  { between = ["return", "driver"], capacitor = "8.2 uF" },
]
"""
SWEEP = """
[[sweep.over]]
key = "crossover.tweeter.parts.3.capacitor"
values = ["2.2 uF", "3.3 uF"]
"""


def written(*ends: tuple[str, str]) -> str:
    """A branch with a resistor between each two nodes."""
    lines = (f'  {{ between = ["{a}", "{b}"], resistor = "4 ohm" }},\n' for a, b in ends)
    head = '[crossover.tweeter]\nslopes = "passive"\nparts = [\n'
    return with_parts(f"{head}{''.join(lines)}]\n")


def test_parts_between_nodes(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(with_parts(BRIDGED_T), encoding="utf-8")
    (branch,) = read_case(tmp_path).crossover
    assert branch.elements == (
        Element(between=("amplifier", "middle"), resistor=4.0),
        Element(between=("middle", "driver"), resistor=4.0),
        Element(between=("amplifier", "driver"), capacitor=3.3e-6, resistance=0.05),
        Element(between=("middle", "return"), inductor=0.2e-3, resistor=1.0),
    )


def test_nodes_count_in_the_digest_and_values_can_be_swept(tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_text(with_parts(LATTICE), encoding="utf-8")
    lattice = read_case(tmp_path)
    file.write_text(
        with_parts(LATTICE.replace('"return", "driver"]', '"driver return", "driver"]'))
    )
    assert read_case(tmp_path).digest != lattice.digest
    file.write_text(with_parts(BRIDGED_T) + SWEEP, encoding="utf-8")
    sweep = read_case(tmp_path).sweep
    assert sweep is not None
    assert sweep.over[0].values == (2.2e-6, 3.3e-6)


def test_check_shows_where_the_parts_lie(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(with_parts(LATTICE), encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(tmp_path)])
    assert result.exit_code == 0, result.output
    described = result.stdout.partition("warning")[0]
    (line,) = [line for line in unwrapped(described) if line.startswith("  parts")]
    assert line == (
        "  parts      tweeter: L1 0.5 mH from amplifier to driver; L2 0.5 mH from driver return to "
        "return; C1 8.2 uF from amplifier to driver return; C2 8.2 uF from return to driver"
    )


ONE_FAULT = [
    # what replaces what in the bridged T, the key, and what is told
    ('["amplifier", "middle"]', '["middle", "middle"]', "1.between", "both ends are on 'middle'"),
    ('["amplifier", "middle"]', '["middle"]', "1.between", "has the wrong length, not 2"),
    ('["amplifier", "middle"]', '["a.b", "middle"]', "1.between.1", "write a name of letters"),
    ('["amplifier", "middle"]', '["amplifer", "middle"]', "1.between.1", "did you mean 'amplifier"),
    ('["middle", "return"]', '["midle", "return"]', "4.between.1", "did you mean 'middle'?"),
    ('["middle", "return"]', '["x", "return"]', "4.between.1", "nothing else ends on 'x', so no"),
    ('between = ["middle", "return"]', 'place = "across"', "4.place", "the same way"),
    ('between = ["middle", "return"]', 'betwen = ["x", "return"]', "4.betwen", "'between'?"),
    (
        'between = ["middle", "return"]',
        'place = "across", between = ["middle", "return"]',
        "4.place",
        "leave one of the two out",
    ),
    ('between = ["middle", "return"], ', "", "4.place", "or write between which nodes"),
]


@pytest.mark.parametrize(("old", "new", "key", "told"), ONE_FAULT)
def test_one_slip_is_one_fault(
    old: str, new: str, key: str, told: str, faults_of: FaultsOf
) -> None:
    (fault,) = faults_of(replaced(with_parts(BRIDGED_T), old, new))
    assert fault.key == f"crossover.tweeter.parts.{key}"
    assert told in fault.message
    assert fault.line is not None


UNJOINED = [
    ([("a", "return"), ("a", "driver")], "no part ends on 'amplifier', so no signal comes in"),
    ([("amplifier", "a"), ("a", "return")], "no part ends on 'driver', so the driver gets none"),
    (
        [("amplifier", "driver"), ("a", "b"), ("b", "a")],
        "no way through parts leads from 'a' and 'b' to 'amplifier' or 'return'",
    ),
    (
        [("amplifier", "return"), ("driver", "return")],
        "no way through parts leads from 'amplifier' to the driver",
    ),
    (
        [("amplifier", "a"), ("a", "driver"), ("a", "driver return")],
        "no way through parts leads back from the driver to 'return'",
    ),
]


@pytest.mark.parametrize(("ends", "told"), UNJOINED)
def test_a_driver_without_current(
    ends: list[tuple[str, str]], told: str, faults_of: FaultsOf
) -> None:
    (fault,) = faults_of(written(*ends))
    assert fault.key == "crossover.tweeter.parts"
    assert told in fault.message


@pytest.mark.parametrize(
    "ends",
    [
        [("amplifier", "driver")],
        [("driver return", "return"), ("amplifier", "driver")],
        [("amplifier", "driver return"), ("driver", "return")],  # turned round
        [("amplifier", "a"), ("a", "return"), ("driver", "a")],
    ],
)
def test_a_driver_with_current(ends: list[tuple[str, str]], tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(written(*ends), encoding="utf-8")
    (branch,) = read_case(tmp_path).crossover
    assert len(branch.elements) == len(ends)
