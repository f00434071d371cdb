"""One driver from its recordings: far and near field, joined, with the band to trust."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from acoustics.case.design.measurement_model import DriverMeasurement
from acoustics.case.design.model import Case
from acoustics.conventions import CaseError, Fault, RoundoverError
from acoustics.curves import CurveError
from acoustics.measurement.findings import Finding
from acoustics.measurement.recording import RecordingError
from acoustics.studies.measure.distortion import Harmonics, harmonics_of
from acoustics.studies.measure.evaluated import heard_in
from acoustics.studies.measure.far import Far, far_field
from acoustics.studies.measure.low import Low, low_end
from acoustics.studies.measure.place import place_of
from acoustics.studies.measure.recorded import CONE, Recorded, at_key, require_measurement

Answer = TypeVar("Answer")


@dataclass(frozen=True, eq=False)
class Measured:
    """What was found of one driver.

    `response` is complex, (frequency,), flight kept, in Pa for 2.83 V or of full scale; `band` (Hz)
    is where it can be trusted, None nowhere; `doubtful` says where within it less so.
    """

    name: str
    far: Far
    low: Low | None
    harmonics: Harmonics | None
    response: np.ndarray
    band: tuple[float, float] | None
    doubtful: Finding | None = None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that should be known."""
        more = () if self.low is None else self.low.findings
        nothing = (NOTHING,) if self.band is None else ()
        more = (*more, self.doubtful) if self.doubtful else more
        return tuple(dict.fromkeys((*nothing, *self.far.findings, *more)))


NOTHING = Finding(
    "Nowhere does the response stand far enough above its noise to be trusted",
    "",
    True,
    "Measure louder, closer, or average more sweeps.",
)


def measured_driver(
    case: Case, each: DriverMeasurement, recorded: Recorded, frequency: np.ndarray
) -> Measured:
    """What was found of one driver.

    Raises:
        CaseError: recordings that say nothing, at the keys that name them.
    """
    measurement = require_measurement(case)
    calibration, here = recorded.calibration, ("measurement", "drivers", each.driver)

    def at(key: tuple[str, ...], work: Callable[[], Answer]) -> Answer:
        """What the work gives; its error is told at the key."""
        try:
            return work()
        except (CaseError, RecordingError):
            raise
        except CurveError as error:
            raise CaseError([at_key(case, ("measurement", "calibration"), error.fault)]) from error
        except RoundoverError as error:
            raise CaseError([at_key(case, (*here, *key), Fault(str(error)))]) from error

    heard = at(
        ("far",),
        lambda: heard_in(recorded.far[each.driver], measurement, each.sweep, recorded.played),
    )
    place = place_of(case, each)
    far = at(("far",), lambda: far_field(case, each.voltage, heard, place, calibration, frequency))
    low = None
    if recorded.near[each.driver]:
        near = {
            port: at(
                ("near",) if port == CONE else ("near_ports", port),
                lambda takes=takes: heard_in(  # type: ignore[misc]
                    takes, measurement, each.sweep, recorded.played, heard.gain
                ),
            )
            for port, takes in recorded.near[each.driver].items()
        }
        low = at(("near",), lambda: low_end(case, each, near, far, calibration))
    harmonics = at(
        ("far",), lambda: harmonics_of(far, low, calibration, measurement.calibration_is)
    )
    response, band, doubtful = far.response, far.band, None
    if low is not None and low.splice is not None:
        response = low.splice.response
        if band is not None and low.band is not None and low.band[1] >= low.splice.faded[1]:
            doubtful = between_both(low.splice.faded[1], low.band[1], band[0])
            band = (min(low.band[0], band[0]), band[1])
    return Measured(each.driver, far, low, harmonics, response, band, doubtful)


def between_both(joined: float, near: float, far: float) -> Finding | None:
    """What to know where neither near nor far field can be trusted by itself.

    Up to where the near field ends it agrees with the far one, or the splice says otherwise.

    Args:
        joined: where the far field counts alone, Hz.
        near: up to where the near field says something, Hz.
        far: from where on the far field is trusted by itself, Hz.
    """
    first = max(joined, near)
    if far <= first:
        return None
    return Finding(
        what=(
            "The near field ends below where the far field can be trusted by itself: in between "
            "it may be off by some tenths of a decibel"
        ),
        where=f"{first:.0f} to {far:.0f} Hz",
        certain=True,
        advice=(
            "Let the gate be longer, with cabinet and microphone higher up and further from walls, "
            "or closer together."
        ),
    )
