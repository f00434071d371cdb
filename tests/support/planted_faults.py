"""Faults that may be planted in a build, and what a build truly has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from support.build_plans import Plan
from support.fault_edits import Change


@dataclass(frozen=True)
class Truth:
    """What a build truly has.

    `kind` in words of these files: "healthy", "unlisted" or that of a planted fault; `names` are
    the things it befell, as the schematic and the case call them. `size` and `design` in SI units
    where it has a size: of what is changed.
    """

    kind: str
    names: tuple[str, ...] = ()
    size: float | None = None
    design: float | None = None

    @property
    def words(self) -> str:
        """In one line."""
        told = " ".join((self.kind, *self.names))
        return told if self.size is None else f"{told} {self.design:.3g} → {self.size:.3g}"


@dataclass(frozen=True)
class Planted:
    """A fault that may be planted in one thing.

    `edit` changes the text by a factor or a difference, one `way` or either; `plan`
    says what else stands otherwise, by keywords of `Plan`. `size` is what the changed quantity is
    then, SI.
    """

    kind: str
    names: tuple[str, ...]
    sizes: tuple[float, float] | None = None
    by_factor: bool = True
    way: Literal["either", "up", "down"] = "either"
    edit: Change | None = None
    plan: Callable[[float], dict[str, Any]] = field(default=lambda _: {})
    size: Callable[[float], float] | None = None
    fixed: tuple[str, ...] = ()

    def drawn(self, rng: np.random.Generator) -> float:
        """A size from the least to the largest, by factor or by difference."""
        if self.sizes is None:
            return 1.0
        low, high = self.sizes
        share = float(rng.uniform())
        up = self.way == "up" or (self.way == "either" and bool(rng.integers(2)))
        if self.by_factor:
            factor = low * (high / low) ** share
            return factor if up else 1 / factor
        difference = low + (high - low) * share
        return difference if up else -difference

    def planted(self, seed: int, amount: float, **how: Any) -> tuple[Plan, Truth]:
        """A build with it, and what it truly has."""
        edit = self.edit
        change = None if edit is None else (lambda data: edit(data, amount))
        size = None if self.size is None else self.size(amount)
        design = None if self.size is None else self.size(1.0 if self.by_factor else 0.0)
        truth = Truth(self.kind, self.names, size, design)
        return Plan(seed, change, fixed=self.fixed, **self.plan(amount), **how), truth
