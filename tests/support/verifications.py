"""Answers of a verification made by hand, in every state that text and figures must tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr

from acoustics.conventions import SCHEMA
from acoustics.prediction.labels import labelled
from acoustics.studies.verification.aims.aim_measured import AIMS_MEASURED
from acoustics.studies.verification.crossings.words import CROSSOVER_FOUND
from acoustics.studies.verification.diagnosis.dataset import DIAGNOSIS
from acoustics.studies.verification.enclosures.impedance_found import TUNING
from acoustics.studies.verification.enclosures.wrinkles_dataset import WRINKLES
from acoustics.studies.verification.healthy.aligned_dataset import ALIGNED
from acoustics.studies.verification.healthy.bands import BANDED
from acoustics.studies.verification.study import NOTES
from support.verification_pieces import aims, crossover, tuning, wrinkles

FREQUENCY = np.geomspace(20.0, 20_000.0, 31)
"""Hz"""

RESPONSES, IMPEDANCES = ("axis", "woofer alone", "tweeter alone"), ("terminals",)


@dataclass(frozen=True)
class Member:
    """A cause as the Dataset has it; sizes in SI."""

    words: str
    remedy: str = "Look at it."
    kind: str = "polarity: tweeter"
    size: float = np.nan
    low: float = np.nan
    high: float = np.nan
    designed: float = np.nan
    unit: str = ""


TURNED = Member(
    "the tweeter is connected the wrong way round: plus to minus, not plus to plus",
    "With the amplifier switched off, compare plus and minus at the tweeter.",
)
PART = Member(
    "C1 of the tweeter is about 14 µF, not 10 µF",
    "Read what is printed on C1.",
    "part off in value: capacitor C1 of the tweeter",
    14e-6, 13.1e-6, 15e-6, 10e-6, "F",
)  # fmt: skip

Causes = Sequence[tuple[float, Sequence[Member]]]


def verification(
    verdict: str = "matches the design",
    *,
    sure: bool = True,
    healthy: float = 0.97,
    unknown: float = 0.01,
    causes: Causes = (),
    following: str = "",
    shown: Sequence[tuple[str, str]] = (),
    strayed: Sequence[tuple[str, float]] = (("woofer compliance", 0.3),),
    outside: Sequence[str] = (),
    has_phase: bool = True,
    responses: Sequence[str] = RESPONSES,
    impedances: Sequence[str] = IMPEDANCES,
    microphone: float = -2e-3,
    far: bool = False,
    notes: Sequence[str] = (),
    title: str = "A two-way made by hand",
) -> xr.Dataset:
    """What `verify_design` answers, with curves of a known difference.

    Every reading of `outside` is 3 dB, or a third, above the design at its middle frequencies; the
    likeliest cause, where there is one, explains two thirds of that.
    """
    names = [*responses, *impedances]
    arrays = {
        **_causes(causes),
        "strayed": np.array([name for name, _ in strayed], dtype=str),
        "strayed_share": np.array([share for _, share in strayed], dtype=float),
        "strayed_deviation": np.full(len(strayed), 0.4),
        **_told(names, len(responses), outside, bool(causes), has_phase),
        "shown_explanation": np.array([each for each, _ in shown], dtype=str),
        "shown_words": np.array([words for _, words in shown], dtype=str),
        **_aligned(microphone, bool(responses), far),
        **_banded(names, len(responses), outside, has_phase),
        **aims(),
        **crossover(has_phase and "tweeter alone" in responses),
        **tuning(impedances),
        **wrinkles(impedances),
        "note": np.array(notes, dtype=str),
    }
    own = {"tuned": "tuned", "figure": "tuning_figure"}
    of_tuning = {
        f"tuning_{name}": each._replace(dims=tuple(own[dim] for dim in each.dims))
        for name, each in TUNING.items()
    }
    table = {**DIAGNOSIS, **ALIGNED, **BANDED, **AIMS_MEASURED, **CROSSOVER_FOUND, **WRINKLES}
    table |= {**of_tuning, **NOTES}
    return labelled(arrays, {}, {}, table).assign_attrs(
        title=title,
        verdict=verdict,
        sure=int(sure),
        healthy=healthy,
        unknown=unknown,
        chance=0.4,
        next_measurement=following,
        schema=SCHEMA,
    )


def _causes(causes: Causes) -> dict[str, np.ndarray]:
    most = max((len(members) for _, members in causes), default=0)

    def column(name: str, none: Any, dtype: Any) -> np.ndarray:
        rows = [
            [getattr(one, name) for one in members] + [none] * (most - len(members))
            for _, members in causes
        ]
        return np.array(rows, dtype=dtype).reshape(len(causes), most)

    texts = {name: column(name, "", str) for name in ("words", "remedy", "kind", "unit")}
    sizes = {name: column(name, np.nan, float) for name in ("size", "low", "high", "designed")}
    return {
        "cause": np.arange(1, len(causes) + 1),
        "cause_probability": np.array([share for share, _ in causes], dtype=float),
        **{f"cause_{name}": texts[name] for name in texts},
        "cause_size": sizes["size"],
        "cause_size_low": sizes["low"],
        "cause_size_high": sizes["high"],
        "cause_designed": sizes["designed"],
    }


def _shift(names: Sequence[str], outside: Sequence[str]) -> np.ndarray:
    """Share of the difference, 1 in the middle of readings that are outside."""
    middle = (FREQUENCY > 500) & (FREQUENCY < 5000)
    return np.array([np.where(middle & (name in outside), 1.0, 0.0) for name in names])


def _told(
    names: Sequence[str], heard: int, outside: Sequence[str], caused: bool, has_phase: bool
) -> dict[str, np.ndarray]:
    is_response = np.arange(len(names)) < heard
    shape = (len(names), FREQUENCY.size)
    designed = np.where(is_response[:, None], 0.2, 8.0) * np.ones(shape, dtype=complex)
    ratio = np.where(is_response[:, None], 10 ** (3.0 / 20), 4 / 3)
    measured = designed * ratio ** _shift(names, outside)
    best = designed * ratio ** (_shift(names, outside) * 2 / 3) if caused else designed
    return {
        "told_reading": np.array(names, dtype=str),
        "told_frequency": FREQUENCY,
        "told_unit": np.where(is_response, "Pa", "ohm"),
        "told_has_phase": np.full(len(names), has_phase),
        "told_misfit": np.full(len(names), 0.5),
        "told_misfit_design": np.full(len(names), 0.9),
        "told_measured": measured,
        "told_designed": designed,
        "told_found": best,
    }


def _aligned(microphone: float, heard: bool, far: bool) -> dict[str, np.ndarray]:
    rows = [
        ("level", 0.3, 0.1, "dB"),
        ("delay of clock one", 4.3e-3, 1e-5, "s"),
        ("microphone to the right", microphone, 1e-3, "m"),
        ("microphone higher", 1e-3, 1e-3, "m"),
        ("microphone farther away", 2e-3, 1e-3, "m"),
    ]
    rows = rows if heard else []
    return {
        "aligned": np.array([row[0] for row in rows], dtype=str),
        "aligned_value": np.array([row[1] for row in rows], dtype=float),
        "aligned_deviation": np.array([row[2] for row in rows], dtype=float),
        "aligned_unit": np.array([row[3] for row in rows], dtype=str),
        "aligned_words": np.array(["Far off."] * len(rows) if far else [""] * len(rows), dtype=str),
    }


def _banded(
    names: Sequence[str], heard: int, outside: Sequence[str], has_phase: bool
) -> dict[str, np.ndarray]:
    is_response = np.arange(len(names)) < heard
    out = np.isin(np.array(names, dtype=str), np.array(outside, dtype=str))
    size = np.where(is_response, 3.0, 100 / 3)
    difference = size[:, None] * _shift(names, outside)
    phase = np.zeros(difference.shape) if has_phase else np.full(difference.shape, np.nan)
    half = np.where(is_response, 0.9, 5.0)[:, None] * np.ones(difference.shape)
    return {
        "banded_reading": np.array(names, dtype=str),
        "banded_frequency": FREQUENCY,
        "banded_unit": np.where(is_response, "dB", "%"),
        "banded_difference": difference,
        "banded_phase_difference": phase,
        "banded_half_width": half,
        "banded_phase_half_width": np.where(np.isnan(phase), np.nan, 5.0),
        "banded_share": np.where(out, 0.6, 0.98),
        "banded_usual_share": np.full(len(names), 0.85),
        "banded_worst": np.where(out, size, 0.4),
        "banded_worst_at": np.full(len(names), 1000.0),
        "banded_run": np.where(out, 3.0, 0.0),
        "banded_run_low": np.where(out, 501.0, np.nan),
        "banded_run_high": np.where(out, 4890.0, np.nan),
        "banded_usual_run": np.full(len(names), 0.3),
        "banded_verdict": np.where(out, "outside", "within"),
        "banded_words": np.array([f"{name}: as it is" for name in names], dtype=str),
    }
