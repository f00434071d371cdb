"""How far each reading lies from the design, against what a healthy build may differ by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import xarray as xr

from acoustics.conventions import Variable
from acoustics.listening.error import NEPER
from acoustics.prediction.labels import labelled
from acoustics.studies.verification.healthy.aligned import Aligned
from acoustics.studies.verification.healthy.outside import odds_of, widest, widths
from acoustics.studies.verification.readings.readings import COVERED
from acoustics.studies.verification.strays.stacked import Rows

Verdict = Literal["within", "outside", "too close to call"]

USUAL, RARE = 0.05, 0.005
"""Of healthy builds, that fare no better: above the first a reading is within, below the second
outside, between them too close to call (common practice, no source)."""

DRAWS, SEED = 2000, 20
"""healthy builds that are drawn to say so"""


@dataclass(frozen=True, eq=False)
class Banded:
    """One reading against the band in which 95 % of a healthy build's values lie.

    Attributes:
        name: of the reading.
        unit: of differences: dB for what was heard, % for impedances.
        frequency: Hz, (frequency,).
        difference: measured less design, in `unit`; `phase_difference` in degrees, NaN without.
        band: half its width, in `unit`; `phase_band` in degrees.
        share: of the values in the band, levels and phases.
        worst: the difference that is farthest out, in `unit`, and `worst_at` its frequency (Hz).
        run: octaves of the widest stretch outside, `run_low` and `run_high` (Hz) its ends.
        usual_share: share that 95 % of healthy builds reach; `usual_run` octaves that as many stay
            below.
        verdict: see `banded`.
    """

    name: str
    unit: str
    frequency: np.ndarray
    difference: np.ndarray
    phase_difference: np.ndarray
    band: np.ndarray
    phase_band: np.ndarray
    share: float
    worst: float
    worst_at: float
    run: float
    run_low: float
    run_high: float
    usual_share: float
    usual_run: float
    verdict: Verdict

    @property
    def words(self) -> str:
        """What was found, in a sentence or two."""
        worst = f"{self.worst:+.1f} {self.unit} at {self.worst_at:.0f} Hz"
        said = (
            f"{self.name}: {self.verdict}: {100 * self.share:.0f} % of the values lie in the band "
            f"of a healthy build ({100 * self.usual_share:.0f} % or more are usual), the farthest "
            f"out is {worst}."
        )
        if self.run > 0:
            said += (
                f" The widest stretch outside is {self.run:.2f} octave, from "
                f"{self.run_low:.0f} to {self.run_high:.0f} Hz."
            )
        return said


def banded(aligned: Aligned) -> tuple[Banded, ...]:
    """Hold every reading against its band.

    The band is 1.96 standard deviations of what is left of a healthy build after the alignment:
    what strays, linearised, each value's own uncertainty and what the prediction may be off by.
    Neighbouring values stray together, so how many of 95 % may lie outside is not told by counting:
    healthy builds are drawn. For each of them, as for what was built, the share of all that have as
    few values inside and the share of all that have as wide a run outside (any up to `WIDE` being
    no matter) are found, and the smaller of the two is taken. A reading is "within" where at least
    `USUAL` of the drawn have it as small, "outside" where fewer than `RARE` have, and "too close to
    call" between the two. Were both shares held against these limits by themselves, nearly twice as
    many healthy builds would come out.
    """
    deviation = aligned.healthy.deviation
    draws = aligned.healthy.draws(DRAWS, SEED)
    return tuple(_banded(row, aligned.left, deviation, draws) for row in aligned.rows)


def _banded(row: Rows, left: np.ndarray, deviation: np.ndarray, draws: np.ndarray) -> Banded:
    octaves = np.log2(row.frequency)
    stretches = [widest(octaves, np.abs(left[p]) > COVERED * deviation[p]) for p in row.parts]
    outside = np.concatenate([np.abs(left[p]) > COVERED * deviation[p] for p in row.parts])
    drawn = [np.abs(draws[p]) > COVERED * deviation[p, None] for p in row.parts]
    run, first, last = max(stretches, key=lambda each: each[0])
    share, shares = 1 - outside.mean(), 1 - np.concatenate(drawn).mean(axis=0)
    runs = np.max([widths(octaves, each) for each in drawn], axis=0)
    odds = odds_of(np.append(shares, share), np.append(runs, run))
    verdict: Verdict = (
        "within" if odds >= USUAL else "outside" if odds < RARE else "too close to call"
    )
    measure = _in_db if row.is_response else _in_percent
    level = left[row.level]
    farthest = int(np.argmax(np.abs(level) / deviation[row.level]))
    nothing = np.full(row.frequency.size, np.nan)
    phase, phase_band = nothing, nothing
    if row.phase is not None:
        phase = np.degrees(left[row.phase])
        phase_band = np.degrees(COVERED * deviation[row.phase])
    return Banded(
        name=row.reading.name,
        unit="dB" if row.is_response else "%",
        frequency=row.frequency,
        difference=measure(level),
        phase_difference=phase,
        band=measure(COVERED * deviation[row.level]),
        phase_band=phase_band,
        share=float(share),
        worst=float(measure(level)[farthest]),
        worst_at=float(row.frequency[farthest]),
        run=run,
        run_low=float(2**first),
        run_high=float(2**last),
        usual_share=float(np.quantile(shares, USUAL)),
        usual_run=float(np.quantile(runs, 1 - USUAL)),
        verdict=verdict,
    )


def _in_db(nepers: np.ndarray) -> np.ndarray:
    answer: np.ndarray = nepers / NEPER
    return answer


def _in_percent(nepers: np.ndarray) -> np.ndarray:
    answer: np.ndarray = 100 * np.expm1(nepers)
    return answer


_READING = ("banded_reading",)
_CURVE = ("banded_reading", "banded_frequency")

BANDED: dict[str, Variable] = {
    "banded_reading": Variable(_READING, "1", "reading"),
    "banded_frequency": Variable(("banded_frequency",), "Hz", "frequency"),
    "banded_unit": Variable(_READING, "1", "unit of differences: dB, or % of an impedance"),
    "banded_difference": Variable(_CURVE, "1", "measured less design, in the reading's unit"),
    "banded_phase_difference": Variable(_CURVE, "degree", "phase measured less design"),
    "banded_half_width": Variable(_CURVE, "1", "within which 95 % of healthy builds lie, likewise"),
    "banded_phase_half_width": Variable(_CURVE, "degree", "within which 95 % of phases lie"),
    "banded_share": Variable(_READING, "1", "share of the values inside the band"),
    "banded_usual_share": Variable(_READING, "1", "share that 95 % of healthy builds reach"),
    "banded_worst": Variable(_READING, "1", "difference that is farthest out, in its unit"),
    "banded_worst_at": Variable(_READING, "Hz", "where that is"),
    "banded_run": Variable(_READING, "octave", "widest stretch outside the band"),
    "banded_run_low": Variable(_READING, "Hz", "where that stretch begins"),
    "banded_run_high": Variable(_READING, "Hz", "where it ends"),
    "banded_usual_run": Variable(_READING, "octave", "which 95 % of healthy builds stay below"),
    "banded_verdict": Variable(_READING, "1", "within, outside or too close to call"),
    "banded_words": Variable(_READING, "1", "what was found of a reading"),
}
"""Variables and coordinates of `bands_dataset`."""


def bands_dataset(found: Sequence[Banded]) -> xr.Dataset:
    """All bands on all frequencies, NaN where a reading is not compared."""
    frequency = np.unique(np.concatenate([each.frequency for each in found] or [np.zeros(0)]))

    def spread(curves: Sequence[np.ndarray]) -> np.ndarray:
        answer = np.full((len(found), frequency.size), np.nan)
        for row, each, curve in zip(answer, found, curves, strict=True):
            row[np.searchsorted(frequency, each.frequency)] = curve
        return answer

    arrays: dict[str, np.ndarray] = {
        "banded_reading": np.array([each.name for each in found], dtype=str),
        "banded_frequency": frequency,
        "banded_unit": np.array([each.unit for each in found], dtype=str),
        "banded_difference": spread([each.difference for each in found]),
        "banded_phase_difference": spread([each.phase_difference for each in found]),
        "banded_half_width": spread([each.band for each in found]),
        "banded_phase_half_width": spread([each.phase_band for each in found]),
        "banded_verdict": np.array([each.verdict for each in found], dtype=str),
        "banded_words": np.array([each.words for each in found], dtype=str),
    }
    for name in (
        *("share", "usual_share", "worst", "worst_at"),
        *("run", "run_low", "run_high", "usual_run"),
    ):
        arrays[f"banded_{name}"] = np.array([getattr(each, name) for each in found], dtype=float)
    return labelled(arrays, {}, {}, BANDED)
