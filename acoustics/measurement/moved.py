"""Whether microphone or cabinet moved between drivers: arrivals and levels against geometry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from acoustics.case.design.model import Case
from acoustics.measurement.excess_delay import COVERAGE
from acoustics.measurement.findings import Finding
from acoustics.prediction.layout import layout_of

MOVED = 0.02
"""m: paths that differ by more from those of the drawing were not measured as drawn (common
practice: a tape, and the acoustic centre of a cone, are good to a centimetre each)."""

LEVEL_MOVED = 3.0
"""dB: drivers of one kind differ by half as much from their data (common practice)."""


def expected_arrivals(case: Case, microphone: Sequence[float] | np.ndarray) -> dict[str, float]:
    """When the sound of every driver reaches a microphone, s after it was sent.

    Args:
        case: the design; cones are behind their face by their `acoustic_depth`.
        microphone: m in the cabinet's own coordinates, (3,).
    """
    centres = layout_of(case).centres
    way = np.linalg.norm(np.asarray(microphone, dtype=float) - centres, axis=1)
    return {
        driver.name: float(length + driver.acoustic_depth) / case.air.speed_of_sound
        for driver, length in zip(case.drivers, way, strict=True)
    }


def arrivals_off(
    found: Mapping[str, tuple[float, float]],
    expected: Mapping[str, float],
    speed_of_sound: float,
    *,
    loopback: bool,
) -> tuple[Finding, ...]:
    """Drivers whose sound comes earlier or later than geometry has it.

    Args:
        found: time of arrival and its uncertainty (95 %), s, of every driver: of `arrival`, or,
            closer, the expected one and `delay_against` the prediction.
        expected: s, as `expected_arrivals` has it.
        speed_of_sound: m/s.
        loopback: whether times are from a loopback. Else they share an unknown delay, and only
            differences between drivers say something.
    """
    names = [name for name in found if name in expected]
    findings = []
    early = [name for name in names if loopback and found[name][0] + found[name][1] < 0]
    if early:
        findings.append(
            Finding(
                what="The sound seems to come before it was sent",
                where=", ".join(early),
                certain=True,
                advice=(
                    "Microphone and loopback are exchanged: look at measurement.channel and "
                    "loopback, and at the cables."
                ),
            )
        )
        names = [name for name in names if name not in early]
    off = {name: speed_of_sound * (found[name][0] - expected[name]) for name in names}
    spread = {name: speed_of_sound * found[name][1] for name in names}
    least = min((abs(off[name]) - spread[name] for name in names), default=0.0)
    one_way = len({way > 0 for way in off.values()}) == 1
    if loopback and one_way and least > MOVED:
        findings.append(
            Finding(
                what=(
                    f"The sound comes {_way(float(np.mean(list(off.values()))))} than from where "
                    "the case has the microphone"
                ),
                where=", ".join(names),
                certain=False,
                advice="Measure the distance again, and look whether the loopback was recorded.",
            )
        )
    if len(names) < 2:
        return tuple(findings)
    for first, second in _pairs(names):
        apart = off[second] - off[first]
        if abs(apart) <= MOVED + np.hypot(spread[first], spread[second]):
            continue
        findings.append(
            Finding(
                what=(
                    f"Against the {first} the {second}'s sound comes {_way(apart)} than the "
                    "drawing has it"
                ),
                where=f"{first} and {second}",
                certain=abs(apart) > MOVED + COVERAGE * np.hypot(spread[first], spread[second]),
                advice=(
                    "Microphone and cabinet must stay where they are between drivers: measure both "
                    "again, or correct the positions and the acoustic depth."
                ),
            )
        )
    return tuple(findings)


def levels_off(
    found: Mapping[str, float], expected: Mapping[str, float], most: float = LEVEL_MOVED
) -> tuple[Finding, ...]:
    """Drivers whose level against the others' is not that of their distance.

    Args:
        found: mean level in the driver's band, dB, of every driver, or of one at several places.
        expected: likewise as predicted, or −20·lg of the distances of one driver.
        most: dB that may be between any two.
    """
    names = [name for name in found if name in expected]
    off = {name: found[name] - expected[name] for name in names}
    findings = []
    for first, second in _pairs(names):
        apart = off[second] - off[first]
        if abs(apart) <= most:
            continue
        ratio = 10 ** (abs(apart) / 20)
        findings.append(
            Finding(
                what=(
                    f"Against the {first} the {second} is {abs(apart):.1f} dB "
                    f"{'louder' if apart > 0 else 'quieter'} than expected"
                ),
                where=f"{first} and {second}",
                certain=False,
                advice=(
                    f"A gain that was turned, or a microphone {ratio:.2g} times as "
                    f"{'near' if apart > 0 else 'far'}, would do that: measure both again with "
                    "nothing touched in between."
                ),
            )
        )
    return tuple(findings)


def _pairs(names: Sequence[str]) -> list[tuple[str, str]]:
    """Every name with the first one."""
    return [(names[0], other) for other in names[1:]]


def _way(metres: float) -> str:
    return f"{abs(1e3 * metres):.0f} mm {'later' if metres > 0 else 'earlier'}"
