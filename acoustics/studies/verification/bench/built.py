"""What stands on the bench: a loudspeaker as it was built, and how it is being measured."""

from __future__ import annotations

from dataclasses import dataclass

from acoustics.case.design.model import Case


@dataclass(frozen=True)
class Built:
    """A loudspeaker as it was built and is measured; the design itself has nothing beside its case.

    Attributes:
        case: the design with what is built otherwise; body and places of drivers are the design's.
        levels: dB by which each driver plays louder than the case has it, by its number; empty for
            none.
        delays: s by which each comes later, likewise.
        microphone: m by which it stood to the right, higher and farther away than stated, at every
            place alike.
        gain: dB by which all levels are read too high.
    """

    case: Case
    levels: tuple[float, ...] = ()
    delays: tuple[float, ...] = ()
    microphone: tuple[float, float, float] = (0.0, 0.0, 0.0)
    gain: float = 0.0
