"""Parts that short the amplifier, whatever driver hangs behind them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest
from bench_text import with_parts

from acoustics.case import Element, read_case
from acoustics.case.checks.short_circuit_check import least_way
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


def branch(*parts: str) -> str:
    lines = "".join(f"  {{ {part} }},\n" for part in parts)
    return with_parts(f'[crossover.tweeter]\nslopes = "passive"\nparts = [\n{lines}]\n')


COIL = 'place = "across", inductor = "0.3 mH", resistance = "0.2 ohm"'
PAD = 'place = "series", resistor = "2.2 ohm"'


@pytest.mark.parametrize(
    ("parts", "key", "told"),
    [
        # |0.2 + jωL| at 20 Hz; 1/ωC at 20 kHz
        ([COIL], "parts.1", "through L1 the amplifier's terminals are only 0.2 ohm apart at 20 Hz"),
        (
            ['place = "across", capacitor = "100 uF"', PAD],
            "parts.1",
            "through C1 the amplifier's terminals are only 0.08 ohm apart at 20 kHz",
        ),
        (
            ['place = "series", inductor = "0.01 mH", name = "choke"', COIL],
            "parts",
            "through choke and L1 the amplifier's terminals are only 0.2 ohm apart at 20 Hz",
        ),
        (
            ['place = "across", inductor = "0.33 mH", capacitor = "10 uF"'],
            "parts.1",
            "through L1 and C1 the amplifier's terminals are less than 0.01 ohm apart at 2.77 kHz",
            # 1/(2π√(LC))
        ),
        (
            [
                'between = ["amplifier", "a"], resistor = "1 ohm"',
                'between = ["a", "driver"], resistor = "1 ohm"',
                'between = ["a", "return"], capacitor = "1 uF"',
                'between = ["return", "amplifier"], resistor = "0.1 ohm", name = "slip"',
            ],
            "parts.4",
            "through slip the amplifier's terminals are only 0.1 ohm apart at 20 Hz",
        ),
    ],
)
def test_a_short_is_a_fault(parts: Sequence[str], key: str, told: str, faults_of: FaultsOf) -> None:
    (fault,) = faults_of(branch(*parts))
    assert fault.key == f"crossover.tweeter.{key}"
    assert told in fault.message
    assert "put a resistor into that way" in fault.message


@pytest.mark.parametrize(
    "parts",
    [
        [PAD, COIL],
        ['place = "series", capacitor = "5.6 uF"', COIL],
        ['place = "across", inductor = "0.33 mH", capacitor = "10 uF", resistance = "0.51 ohm"'],
        ['place = "series", inductor = "0.01 mH"'],
    ],
)
def test_no_short(parts: Sequence[str], tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(branch(*parts), encoding="utf-8")
    assert len(read_case(tmp_path).crossover[0].elements) == len(parts)


def test_the_way_is_the_least_of_all() -> None:
    """Against all ways of a small bridge, written out."""
    ohm = {"ab": 3.0, "ac": 1.0, "cb": 0.5, "bg": 2.0, "cg": 9.0}
    nodes = {"a": "amplifier", "b": "driver", "c": "c", "g": "return"}
    bridge = [
        Element(between=(nodes[start], nodes[end]), resistor=value)
        for (start, end), value in ohm.items()
    ]
    found = least_way(bridge)
    assert found is not None
    assert found.elements == (1, 2, 3)  # a c b g: 3.5, against 5, 10 and 12.5
    assert found.impedance == pytest.approx(3.5)
    assert least_way([Element("series", resistor=1.0)]) is None


@pytest.mark.parametrize("pieces", [(10e-6, None), (6.8e-6, 3.2e-6)])
def test_at_the_resonance_of_a_trap_only_its_resistance_is_left(
    pieces: tuple[float, float | None],
) -> None:
    capacitor, second = pieces
    trap = {"capacitor": capacitor, "second_capacitor": second, "resistance": 0.04}
    found = least_way([Element("across", inductor=0.33e-3, **trap)])  # type: ignore[arg-type]
    assert found is not None
    assert found.impedance == pytest.approx(0.04, rel=1e-9)
    assert found.frequency == pytest.approx(1 / (2 * np.pi * np.sqrt(0.33e-3 * 10e-6)))


def test_negative_values_are_refused(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(branch('place = "series", capacitor = "-5.6 uF"'))
    assert fault.key == "crossover.tweeter.parts.1.capacitor"
    assert "is out of range; write a value from 1 pF to 0.1 F" in fault.message
