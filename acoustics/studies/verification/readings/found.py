"""What was found in the file of a measurement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np

Reading = TypeVar("Reading")


@dataclass(frozen=True, eq=False)
class Found(Generic[Reading]):
    """A reading, what to know of it, and what its file holds, by which copies are told."""

    reading: Reading
    notes: tuple[str, ...]
    content: np.ndarray
