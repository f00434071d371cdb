"""Builds to be judged, each with what it truly has, and whether a diagnosis of it is right."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from acoustics.studies.verification.fault.fault import Fault
from support.build_plans import Plan
from support.built_loudspeakers import Workshop
from support.faults_to_plant import faults_to_plant
from support.noisy_readings import is_gated
from support.planted_faults import Planted, Truth
from support.unlisted_faults import UNLISTED

SEEN_LEVEL, SEEN_IMPEDANCE = 0.5, 0.05
"""dB and a share: another part is a fault where it changes a level or an impedance by as much
somewhere. Those that do not are drawn anew: parts that are sound do as much together."""

MAY_HIDE = ("part value", "part open", "parts swapped", "coil wire")

TRIES = 50

EACH_ALONE, OFF_AXIS, NO_PHASE = 0.25, 0.25, 0.15
"""Shares of builds with more readings, or less in them."""

KINDS = {
    "part value": "part off in value",
    "part open": "part missing",
    "part shorted": "part shorted",
    "attenuator missing": "attenuator missing",
    "parts swapped": "parts swapped",
    "drivers swapped": "leads swapped",
    "coil wire": "coil of thinner wire",
    "polarity": "wrong way round",
    "polarity of all": "wrong way round",
    "port length": "port length",
    "port width": "port width",
    "port stopped": "port stopped up",
    "leak": "air leak",
    "fill": "fill",
    "volume": "volume off",
    "compliance": "suspension of a driver",
    "moving_mass": "moving mass of a driver",
    "force_factor": "magnet of a driver",
    "dc_resistance": "voice coil of a driver",
    "depth": "depth of a driver",
    "microphone aside": "microphone off the axis",
    "microphone distance": "microphone at another distance",
    "level": "levels read wrong",
}
"""What a planted fault is called in the list of faults."""


def drawn_builds(
    workshop: Workshop, count: int, seed: int, drivers_stray: bool = False
) -> list[tuple[Plan, Truth]]:
    """Builds of which a fifth have nothing and a fifth what is on no list.

    Of the others every kind of fault is equally likely, then everything that it may befall. More
    builds of one seed begin with those of fewer.
    """
    faults = faults_to_plant(workshop)
    return [
        _drawn(workshop, faults, n % 5, 100_000 * seed + n, drivers_stray) for n in range(count)
    ]


def _drawn(
    workshop: Workshop, faults: Sequence[Planted], turn: int, seed: int, drivers_stray: bool
) -> tuple[Plan, Truth]:
    rng = np.random.default_rng([seed, 4])
    each_alone, off_axis, no_phase = rng.uniform(size=3) < (EACH_ALONE, OFF_AXIS, NO_PHASE)
    how: dict[str, Any] = {
        "each_alone": bool(each_alone),
        "off_axis": bool(off_axis),
        "with_phase": not no_phase,
        "drivers_stray": drivers_stray,
    }
    if turn == 0:
        return Plan(seed, **how), Truth("healthy")
    if turn == 1:
        name = str(rng.choice(list(UNLISTED)))
        return Plan(seed, heard=UNLISTED[name](rng), **how), Truth("unlisted", (name,))
    for _ in range(TRIES):
        kind = str(rng.choice(list(dict.fromkeys(fault.kind for fault in faults))))
        of_kind = [fault for fault in faults if fault.kind == kind]
        fault = of_kind[int(rng.integers(len(of_kind)))]
        amount = fault.drawn(rng)
        if fault.kind == "polarity of all" and no_phase:
            continue
        if fault.kind not in MAY_HIDE or _seen(workshop, fault, amount):
            return fault.planted(seed, amount, **how)
    raise AssertionError("no fault of this design shows")


def _seen(workshop: Workshop, fault: Planted, amount: float) -> bool:
    """Whether a fault changes anything enough to be one."""
    edit = fault.edit
    assert edit is not None
    design = workshop.nominal(None)
    other = workshop.nominal(lambda data: edit(data, amount))
    gated = is_gated(workshop.frequency)
    sums = [heard.pressure[:, 0].sum(axis=0)[gated] for heard in (design, other)]
    levels = 20 * np.abs(np.log10(np.abs(sums[1] / sums[0])))
    shares = [
        np.abs(other.impedances[key] / impedance - 1).max()
        for key, impedance in design.impedances.items()
    ]
    return bool(levels.max() >= SEEN_LEVEL or max(shares) >= SEEN_IMPEDANCE)


def is_it(fault: Fault, truth: Truth) -> bool:
    """Whether a fault of the list is the one that was planted."""
    if truth.kind not in KINDS or fault.kind != KINDS[truth.kind]:
        return False
    if truth.kind == "polarity of all":
        return "all" in fault.subject.split()
    return all(re.search(rf"\b{re.escape(name)}\b", fault.subject) for name in truth.names)


@dataclass(frozen=True)
class Member:
    """One of the explanations that are not told apart: names of its faults, and a size if single.

    `right` says whether it is the truth, and nothing but it.
    """

    names: tuple[str, ...]
    right: bool
    size: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Judged:
    """What a diagnosis says of a build, beside what is true.

    `causes` are the members and the probability of each class, the likeliest first; `chance` how
    many readings of what it found would fit worse, `seconds` the core time it took.
    """

    truth: Truth
    plan: Plan
    verdict: str
    healthy: float
    unknown: float
    causes: tuple[tuple[tuple[Member, ...], float], ...]
    chance: float
    seconds: float

    def right_at(self) -> int | None:
        """Place of the class that has the truth in it, from 0; None for nowhere."""
        places = [n for n, (members, _) in enumerate(self.causes) if any(m.right for m in members)]
        return places[0] if places else None

    @property
    def said(self) -> str:
        """What it takes to be likeliest: "healthy", "unlisted" or "fault"."""
        if self.verdict.startswith("none"):
            return "unlisted"
        first = self.causes[0][1] if self.causes else 0.0
        if self.healthy >= max(first, self.unknown):
            return "healthy"
        return "fault" if first >= self.unknown else "unlisted"

    @property
    def right(self) -> bool:
        """Whether that is so."""
        if self.truth.kind in ("healthy", "unlisted"):
            return self.said == self.truth.kind
        return self.said == "fault" and self.right_at() == 0

    @property
    def confidence(self) -> float:
        """The probability stated for what it takes to be likeliest."""
        if self.said == "fault":
            return self.causes[0][1]
        return self.healthy if self.said == "healthy" else self.unknown

    @property
    def found(self) -> Member | None:
        """The true fault as the diagnosis has it, if it has a size and comes first."""
        if not self.right or self.truth.size is None:
            return None
        return next(member for member in self.causes[0][0] if member.right)

    @property
    def true_size(self) -> float | None:
        """Of the fault: of levels read wrong with the error that every calibration has."""
        return self.plan.drawn.gain if self.truth.kind == "level" else self.truth.size

    @property
    def off(self) -> tuple[float, float] | None:
        """By how much its size is off: as a share of the size, and of what it is off the design.

        Sizes without sign where right and left sound alike.
        """
        found, size, design = self.found, self.true_size, self.truth.design
        if found is None or found.size is None or size is None or design is None:
            return None
        told = found.size
        if self.truth.names == ("sideways",):
            told, size = abs(told), abs(size)
        return abs(told - size) / abs(size), abs(told - size) / abs(size - design)


def judged(diagnosis: Any, plan: Plan, truth: Truth, seconds: float) -> Judged:
    """A diagnosis beside the truth."""
    return Judged(
        truth,
        plan,
        diagnosis.verdict,
        diagnosis.healthy,
        diagnosis.unknown,
        tuple(
            (tuple(_member(one.blames, truth) for one in cause.members), cause.probability)
            for cause in diagnosis.causes
        ),
        diagnosis.as_found.chance,
        seconds,
    )


def _member(blames: Sequence[Any], truth: Truth) -> Member:
    names = tuple(blame.fault.name for blame in blames)
    if len(blames) != 1:
        return Member(names, False)
    (only,) = blames
    return Member(names, is_it(only.fault, truth), only.size, only.low, only.high)
