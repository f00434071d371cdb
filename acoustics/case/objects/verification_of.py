"""From the checked table [verification] to its model."""

from __future__ import annotations

from dataclasses import replace

from acoustics.case.design.model import Case
from acoustics.case.design.verification_model import TakenImpedance, TakenResponse, Verification
from acoustics.case.tables.verification_table import TakenResponseTable, VerificationTable


def verification_of(text: VerificationTable, case: Case) -> Verification:
    """How the finished loudspeaker of a case was measured."""
    usual = TakenResponse(
        name="",
        file="",
        distance=case.reference.distance if text.distance is None else text.distance,
        voltage=text.voltage,
        unit=text.unit,
        calibrated=text.calibrated,
        timing=text.timing,
        band=_band(text.band),
        uncertainty=text.uncertainty,
    )
    return Verification(
        responses=tuple(_response(name, usual, each) for name, each in text.responses.items()),
        impedances=tuple(
            TakenImpedance(
                name=name,
                file=each.file,
                driver=each.driver or only_driver(case),
                band=_band(each.band),
                uncertainty=each.uncertainty,
            )
            for name, each in text.impedances.items()
        ),
        microphone=text.microphone,
        level=text.level,
        usual=usual,
    )


def only_driver(case: Case) -> str | None:
    """The driver whose terminals are the loudspeaker's, if there is no crossover between them."""
    passive = any(branch.slopes == "passive" for branch in case.crossover)
    return case.drivers[0].name if len(case.drivers) == 1 and not passive else None


def _response(name: str, usual: TakenResponse, text: TakenResponseTable) -> TakenResponse:
    stated = text.model_dump(exclude={"playing", "reversed", "band"}, exclude_none=True)
    return replace(
        usual,
        name=name,
        playing=tuple(dict.fromkeys(text.playing)),
        reversed=tuple(dict.fromkeys(text.reversed)),
        band=_band(text.band) or usual.band,
        **stated,
    )


def _band(band: list[float] | None) -> tuple[float, float] | None:
    return None if band is None else (band[0], band[1])
