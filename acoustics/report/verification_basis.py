"""What a verification set right first, what it rests on, and what it cannot tell."""

from __future__ import annotations

import math
from collections.abc import Iterator

import xarray as xr

from acoustics.report.phrases import sentence_start
from acoustics.report.verification_answer import MATCHES
from acoustics.studies.verification.misfit.allowances import USUAL
from acoustics.studies.verification.readings.readings import COVERED
from acoustics.studies.wording import listed

FAR = 2.0
"""standard deviations: what strayed less is not told"""

MOST_TOLD = 6
"""of what strayed"""


def aligned_lines(found: xr.Dataset) -> Iterator[str]:
    """Level, delays and the microphone's place as found, 95 %; then what was not to be expected."""
    place = []
    for n, name in enumerate(found.aligned.values.tolist()):
        value, unit = float(found.aligned_value[n]), str(found.aligned_unit.values[n])
        doubt = COVERED * float(found.aligned_deviation[n])
        if name in WAYS:
            place.append(f"{_with_doubt(abs(value), doubt, unit)} {WAYS[name][value < 0]}")
        elif name == "level":
            sign = "lower" if value < 0 else "higher"
            told = _with_doubt(abs(value), doubt, unit)
            yield f"All levels were read {told} {sign} than they are."
        else:
            yield f"{sentence_start(name)}: {_with_doubt(value, doubt, unit)}."
    if place:
        yield f"The microphone stood {listed(place)} of where it was stated."
    yield from (str(words) for words in found.aligned_words.values if words)
    if found.sizes["aligned"] and str(found.attrs["verdict"]) != MATCHES:
        yield "All this is with the design as drawn; what is wrong with it may pull at these."


WAYS = {
    "microphone to the right": ("to the right", "to the left"),
    "microphone higher": ("above", "below"),
    "microphone farther away": ("behind", "in front"),
}
"""name of what was set → where that is, and where it is if it is negative"""

SHOWN = {"dB": (1.0, "dB", 2), "s": (1e3, "ms", 3), "m": (1e3, "mm", 1)}
"""unit of the data → factor, unit and digits of the text"""


def _with_doubt(value: float, doubt: float, unit: str) -> str:
    factor, own, digits = SHOWN[unit]
    text = f"{factor * value:.{digits}f} ± {factor * doubt:.{digits}f} {own}"
    return text.replace("-", "−")


def strayed_lines(found: xr.Dataset) -> Iterator[str]:
    """What seems to have strayed far, as the likeliest explanation has it, the farthest first."""
    share, doubt = found.strayed_share.values, found.strayed_deviation.values
    order = sorted(range(share.size), key=lambda n: -abs(float(share[n])))
    far = [n for n in order if abs(float(share[n])) > FAR]
    for n in far[:MOST_TOLD]:
        way = "above" if share[n] > 0 else "below"
        yield (
            f"{sentence_start(str(found.strayed.values[n]))}: {abs(float(share[n])):.1f} ± "
            f"{float(doubt[n]):.1f} standard deviations {way} the design."
        )
    if len(far) > MOST_TOLD:
        yield f"{len(far) - MOST_TOLD} more; verification.nc has them all."


def limits(found: xr.Dataset) -> Iterator[str]:
    """What these readings cannot tell."""
    heard = found.told_unit.values == "Pa"
    phases = found.told_has_phase.values
    names = [str(name) for name in found.told_reading.values[heard & ~phases]]
    if not heard.any():
        yield "No response was given: nothing is known of what is heard."
    elif not phases[heard].any():
        yield (
            "No response has phase: a wrong polarity or delay shows only where drivers add up, and "
            "one of all drivers together not at all."
        )
    elif names:
        yield f"Without phase: {listed(names)}; wrong polarities and delays show less there."
    if heard.all():
        yield (
            "No impedance was given: tuning, leaks and voice coils are told from the sound alone, "
            "if at all."
        )
    yield (
        "Faults are looked for alone and in twos, among those that are on the list; buzzes, "
        "distortion and what changes with level are not in curves of one level."
    )
    yield "It holds for the cabinet that was measured, where and how it was measured."


def basis_lines(found: xr.Dataset) -> Iterator[str]:
    """What the answer rests on."""
    has = USUAL
    yield (
        "Probabilities are odds before the measurement times how well each explanation foretells "
        "the readings, everything that strays and every size integrated over (Kass and Raftery, "
        "Bayes factors, J. Am. Stat. Assoc. 90, 1995, 773)."
    )
    yield (
        f"Odds before: as designed {100 * has.healthy:.0f} %, one fault {100 * has.single:.0f} %, "
        f"two {100 * has.pair:.0f} %, what is on no list {100 * has.other:.0f} %. Common practice, "
        "no source."
    )
    yield (
        f"Predicted levels may be off by {has.response:g} dB (standard deviation; {has.beyond:g} "
        f"dB an octave and more above where a piston is rigid) and impedances by "
        f"{100 * has.impedance:g} %, alike over {has.octaves:g} octave. Common practice, no source."
    )
    yield (
        "What strays without being a fault is as the case has it in [tolerance] and else as usual "
        "(common practice, no source); of sizes the ends hold 95 %."
    )
    chance = float(found.attrs["chance"])
    if math.isfinite(chance):
        yield (
            f"Were the likeliest explanation right, {_share(chance)} of such readings would fit "
            "worse than these."
        )


def _share(chance: float) -> str:
    if chance > 0.995:
        return "nearly all"
    return "less than 0.1 %" if chance < 1e-3 else f"{100 * chance:.2g} %"
