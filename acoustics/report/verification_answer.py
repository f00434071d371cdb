"""The answer of a verification: whether it is what was designed, and if not, what is wrong."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import xarray as xr

from acoustics.report.phrases import sentence_start
from acoustics.report.verification_sizes import size_range
from acoustics.studies.wording import hertz, listed, number, per_cent

MATCHES, FAULT, NOTHING_KNOWN = (
    "matches the design",
    "fault",
    "none of the known faults explains this",
)

LEAST_TOLD = 0.01
"""probability from which another cause is told"""

MOST_TOLD = 5
"""other causes, and members of one, that are told"""

EVEN = 0.5


def answer(found: xr.Dataset) -> str:
    """What was found, in a few sentences."""
    verdict = str(found.attrs["verdict"])
    healthy, unknown = float(found.attrs["healthy"]), float(found.attrs["unknown"])
    if verdict == MATCHES:
        text = f"It matches the design ({per_cent(healthy)} likely)."
        if not int(found.attrs["sure"]):
            text += f" That is not sure: {_rest(found)}."
        return f"{text}{_outside(found, but=True)}"
    if verdict == FAULT:
        return _fault(found)
    if verdict == NOTHING_KNOWN:
        text = "None of the known faults explains this."
        if unknown > EVEN:
            text += f" Something else is wrong ({per_cent(unknown)} likely), alone or beside one."
        else:
            text += (
                " Even the likeliest explanation fits worse than readings of such a build hardly "
                "ever would."
            )
        text += _outside(found)
        if found.sizes["cause"]:
            text += (
                f" What comes closest ({per_cent(float(found.cause_probability[0]))}): "
                f"{told(found, 0, 0)}."
            )
        return text
    return f"Not sure: {_rest(found)}. No one of these is likelier than all else together."


def _fault(found: xr.Dataset) -> str:
    first = float(found.cause_probability[0])
    words = told(found, 0, 0)
    if first <= EVEN:
        whole = float(found.cause_probability.sum())
        return (
            f"It does not match the design ({per_cent(whole)} likely), and the readings leave open "
            f"why. Likeliest ({per_cent(first)}): {words}."
        )
    alone = members(found, 0) == 1
    share = per_cent(first) if alone else f"{per_cent(first)} with what would look the same, below"
    start = "It does not match the design. Most likely"
    if _of_measuring(str(found.cause_kind.values[0, 0])):
        start = "The readings do not match the design, and the measurement is why, most likely"
    text = f"{start} ({share}): {words}."
    if not alone:
        text += " These readings do not tell them apart."
    elif not int(found.attrs["sure"]):
        text += f" That is not sure: {_rest(found, skip=1)}."
    return text


OF_MEASURING = ("microphone", "levels read wrong")
"""how kinds of faults begin that are none of the loudspeaker"""


def _of_measuring(kinds: str) -> bool:
    """Whether all faults of an explanation are of the measurement."""
    return all(kind.startswith(OF_MEASURING) for kind in kinds.split("; "))


def _rest(found: xr.Dataset, skip: int = 0) -> str:
    """What else it may be, the likeliest first."""
    options = [
        (float(found.cause_probability[n]), str(found.cause_words.values[n, 0]))
        for n in range(skip, found.sizes["cause"])
    ]
    if str(found.attrs["verdict"]) != MATCHES:
        options.append((float(found.attrs["healthy"]), "it is as designed"))
    options.append((float(found.attrs["unknown"]), "something is wrong that is on no list"))
    options = sorted((each for each in options if each[0] >= LEAST_TOLD), key=lambda one: -one[0])
    words = [f"{text} ({per_cent(share)})" for share, text in options[:3]]
    return "; ".join(words) or "nothing else is likely either"


def _outside(found: xr.Dataset, *, but: bool = False) -> str:
    """Where readings deviate most from the design."""
    outside = found.banded_verdict.values == "outside"
    parts = []
    for n in np.flatnonzero(outside):
        unit = str(found.banded_unit.values[n])
        worst = number(float(found.banded_worst[n]), "dB" if unit == "dB" else "Hz")
        sign = "+" if float(found.banded_worst[n]) > 0 else ""
        part = f"{found.banded_reading.values[n]} by {sign}{worst} {unit} at "
        parts.append(part + hertz(float(found.banded_worst_at[n])))
    if not parts:
        return ""
    start = " Yet outside their bands" if but else " It deviates most in"
    return f"{start}: {listed(parts)}." if but else f"{start} {listed(parts)}."


def members(found: xr.Dataset, cause: int) -> int:
    """How many members of a cause are told."""
    return int(np.count_nonzero(found.cause_words.values[cause] != ""))


def told(found: xr.Dataset, cause: int, member: int) -> str:
    """A member of a cause in words, with the ends between which its size lies."""
    words = str(found.cause_words.values[cause, member])
    ends = size_range(
        float(found.cause_size_low[cause, member]),
        float(found.cause_size_high[cause, member]),
        str(found.cause_unit.values[cause, member]),
        str(found.cause_kind.values[cause, member]),
    )
    return f"{words} (95 %: {ends})" if ends else words


def alike(found: xr.Dataset) -> Iterator[str]:
    """What would look the same as the likeliest cause."""
    if not found.sizes["cause"] or str(found.attrs["verdict"]) == MATCHES:
        return
    count = members(found, 0)
    for member in range(1, min(count, MOST_TOLD + 1)):
        yield f"{sentence_start(told(found, 0, member))}."
    if count > MOST_TOLD + 1:
        yield f"{count - MOST_TOLD - 1} more; causes.csv has them all."


def others(found: xr.Dataset) -> Iterator[str]:
    """Everything else it may be, with its probability."""
    healthy, unknown = float(found.attrs["healthy"]), float(found.attrs["unknown"])
    # A fault's first cause, and what comes closest to one, stand in the answer.
    first = 1 if str(found.attrs["verdict"]) in (FAULT, NOTHING_KNOWN) else 0
    options = []
    for cause in range(first, found.sizes["cause"]):
        words = [told(found, cause, m) for m in range(min(members(found, cause), MOST_MEMBERS))]
        more = members(found, cause) - len(words)
        words += [f"{more} more like it"] if more > 0 else []
        options.append((float(found.cause_probability[cause]), "; or ".join(words)))
    if str(found.attrs["verdict"]) != MATCHES:
        options.append((healthy, "it is as designed, and chance made the rest"))
    if str(found.attrs["verdict"]) != NOTHING_KNOWN or unknown <= EVEN:
        options.append((unknown, "something that is on no list"))
    options = sorted((each for each in options if each[0] >= LEAST_TOLD), key=lambda one: -one[0])
    for share, what in options[:MOST_TOLD]:
        yield f"{per_cent(share)}: {what}."


MOST_MEMBERS = 3
"""members of another cause that are told"""


def remedies(found: xr.Dataset) -> Iterator[str]:
    """What to look at, the likeliest first, each once."""
    if not found.sizes["cause"] or str(found.attrs["verdict"]) == MATCHES:
        return
    texts = [str(text) for text in found.cause_remedy.values[0] if text]
    if float(found.cause_probability[0]) <= EVEN:
        texts += [str(row[0]) for row in found.cause_remedy.values[1:MOST_MEMBERS]]
    yield from list(dict.fromkeys(texts))[:MOST_TOLD]


def following(found: xr.Dataset) -> Iterator[str]:
    """The measurement to make next, and what each explanation would have it show."""
    name = str(found.attrs["next_measurement"])
    if not name:
        return
    first, *rest = found.shown_explanation.values.tolist()
    yield (
        f"{sentence_start(name)}: of all that is usual it tells the likeliest causes apart best. "
        f"Against what it shows if {first}:"
    )
    for explanation, words in zip(rest, found.shown_words.values[1:], strict=True):
        yield f"if {explanation}: {words}."
