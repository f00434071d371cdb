"""The studies that take their time, behind one door: tests put quicker ones in their place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from acoustics.case.design.model import Case
from acoustics.field import kernels
from acoustics.field.code_cache import is_kept
from acoustics.studies.live.curves import DraftCurves
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.exact import exact_curves
from acoustics.studies.live.limits import Limits, limits_of
from acoustics.studies.live.stopping import Stop
from acoustics.studies.live.under import MapUnder, map_under
from acoustics.studies.live.why_not import why_not


def is_compiled() -> bool:
    """Whether the solver's code is on disk: where it is not, first curves take half a minute."""
    return is_kept(kernels.light_face)


Told = Callable[[float], None]
"""takes the share that is done, 0 to 1"""


class LiveEngine(Protocol):
    """Curves of drafts of one case, in milliseconds."""

    def quick(self, draft: Draft, figured: bool = True) -> DraftCurves:
        """What can be said at once, with figures if they are wanted."""

    def prepare(self, draft: Draft, stop: Stop, told: Told) -> None:
        """Ask the fields for a draft's ears, distance and edges."""

    def ready(self, draft: Draft) -> bool:
        """Whether they were asked."""

    def close(self) -> None:
        """End its threads."""


@dataclass(frozen=True)
class Studio:
    """Functions as `studies/live` has them, see there."""

    engine: Callable[[Case], LiveEngine]
    exact_curves: Callable[[Case, Draft, Stop], DraftCurves] = exact_curves
    map_under: Callable[[Case, Draft, str, str, Stop, Told], MapUnder] = map_under
    limits_of: Callable[[Case], Limits] = limits_of
    why_not: Callable[[Case, Draft], tuple[str, ...]] = why_not
    is_compiled: Callable[[], bool] = is_compiled
