"""The answer of a study of tolerances: one Dataset that explains itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Case
from acoustics.case.design.tolerance_model import Tolerance
from acoustics.conventions import (
    BUILT_CURVES,
    COORDINATES,
    SURROUNDINGS,
    TOLERANCE,
    RoundoverError,
)
from acoustics.listening.aims import MEASURES
from acoustics.listening.standard_curves import in_words
from acoustics.prediction.labels import labelled, origin_of
from acoustics.studies.sweeps.dataset import distinct
from acoustics.studies.tolerance.draws import amounts
from acoustics.studies.tolerance.indices import indices_of
from acoustics.studies.tolerance.record import DIRECTIONS, GENERAL, Told, meaning_of
from acoustics.studies.tolerance.share import share_met
from acoustics.studies.tolerance.work import Done

LARGE = 0.1
"""dB: what is said of deviations above it, as large as the accuracy asked of the solver."""

PAIR = "both cabinets of a pair are built alike: the right one stays the mirror image of the left"


def tolerance_dataset(
    case: Case,
    tolerance: Tolerance,
    draws: np.ndarray,
    told: Told,
    design: xr.Dataset,
    own: Done,
    blocks: Sequence[Done],
    off: Sequence[float],
) -> xr.Dataset:
    """Label the answer.

    Args:
        case: the design.
        tolerance: the spreads asked for.
        draws: standardised, (build, spread).
        told: what is told of builds.
        design: the prediction of the design as a build.
        own: curves and figures of the design.
        blocks: those of the builds, in their order.
        off: deviations of the builds that were solved exactly too, dB, NaN of those that cannot be.
    """
    reasons = np.array([reason for block in blocks for reason in block.reasons], dtype=str)
    sound = reasons == ""
    if not sound.any():
        raise RoundoverError(
            f"not one of {len(reasons)} builds can be: {reasons[0]}; state smaller spreads"
        )
    values = np.concatenate([block.figures for block in blocks])
    shares = [(1 - tolerance.band) / 2, 0.5, (1 + tolerance.band) / 2]
    percentiles = np.round(100 * np.array(shares), 9)  # 5, not 4.999…, to be found by
    arrays: dict[str, Any] = {}
    table = {**COORDINATES, **TOLERANCE}
    for name in own.curves:
        rows = np.concatenate([block.curves[name] for block in blocks if name in block.curves])
        kept = np.concatenate([_sound(block) for block in blocks if name in block.curves])
        meaning = BUILT_CURVES[name]
        table[name] = meaning._replace(dims=("percentile", *meaning.dims))
        table[f"design_{name}"] = meaning._replace(long_name=f"{meaning.long_name}; of the design")
        arrays[name] = _percentiles(rows[kept], percentiles)
        arrays[f"design_{name}"] = own.curves[name][0]
    arrays |= _figures(told, values[sound], values, own.figures[0], percentiles)
    arrays |= {"draw": amounts(tolerance.spreads, draws), "reason": reasons}
    kinds = list(dict.fromkeys(spread.kind for spread in tolerance.spreads))
    count = len(GENERAL) + len(told.aims)
    found = indices_of(
        draws[sound],
        values[sound][:, :count],
        [spread.shape for spread in tolerance.spreads],
        [[n for n, each in enumerate(tolerance.spreads) if each.kind == kind] for kind in kinds],
        tolerance.seed,
    )
    arrays |= {
        "first_order": found.first,
        "total_order": found.total,
        "kind_order": found.grouped,
        "explained": found.explained,
        "index_note": np.array(found.reasons, dtype=str),
    }
    coordinates = {
        **_spreads(tolerance),
        **_places(told, design),
        "build": np.arange(1, len(draws) + 1),
        "percentile": percentiles,
        "kind": np.array(kinds, dtype=str),
        **_names(told),
    }
    return labelled(arrays, coordinates, _attributes(case, tolerance, sound, off), table)


def _sound(block: Done) -> np.ndarray:
    """Which rows of a block are builds that can be."""
    return np.array([reason == "" for reason in block.reasons], dtype=bool)


def _percentiles(rows: np.ndarray, percentiles: np.ndarray) -> np.ndarray:
    """Linear between the builds next to each share, (percentile, …)."""
    answer: np.ndarray = np.percentile(rows, percentiles, axis=0, method="linear")
    return answer.astype(np.float32)


def _figures(
    told: Told, sound: np.ndarray, values: np.ndarray, own: np.ndarray, percentiles: np.ndarray
) -> dict[str, np.ndarray]:
    """Figures and aims; `values` are those of all builds, `sound` of those that can be."""
    count = len(GENERAL) + len(told.aims)
    bands = np.full((percentiles.size, count), np.nan)
    for n in range(count):
        known = sound[np.isfinite(sound[:, n]), n]
        if known.size:
            bands[:, n] = np.percentile(known, percentiles, method="linear")
    met = sound[:, count:]
    known = np.isfinite(met)
    shares = [
        share_met(int(np.nansum(column)), int(np.count_nonzero(on)))
        for column, on in zip(met.T, known.T, strict=True)
    ]
    share, low, high = np.array(shares).reshape(-1, 3).T
    return {
        "figure_value": values[:, :count],
        "design_figure": own[:count],
        "figure_percentile": bands,
        "aim_met": values[:, count:],
        "design_aim_met": own[count:],
        "share_met": share,
        "share_met_low": low,
        "share_met_high": high,
        "share_known": known.mean(axis=0),
    }


def _names(told: Told) -> dict[str, np.ndarray]:
    """Figures and aims by their names; an aim's figure is called as the aim is."""
    aims = [aim.name for aim in told.aims]
    general = [meaning_of(name) for name in GENERAL]
    units = [unit for unit, _ in general] + [MEASURES[aim.measure][1] for aim in told.aims]
    words = [text for _, text in general] + [f"{aim.measure}, {aim.where}" for aim in told.aims]
    return {
        "figure": distinct([*GENERAL, *aims]),
        "figure_units": np.array(units, dtype=str),
        "figure_long_name": np.array(words, dtype=str),
        "aim": distinct(aims).astype(str),
        "aim_at_least": _limits([aim.at_least for aim in told.aims]),
        "aim_at_most": _limits([aim.at_most for aim in told.aims]),
    }


def _limits(limits: Sequence[float | None]) -> np.ndarray:
    return np.array([np.nan if limit is None else limit for limit in limits], dtype=float)


def _places(told: Told, design: xr.Dataset) -> dict[str, Any]:
    """What curves are given over."""
    names = [one.label or "main seat" for one in told.who]
    frequency = design.frequency.values
    pairs = design.attrs["crossover_pairs"].split("; ") if told.crossovers else []
    return {
        "frequency": frequency,
        "driver": design.driver.values,
        "ear_height": design.ear_height.values,
        "height": design.height.values,
        "surroundings": np.array(SURROUNDINGS),
        "direction": np.array([in_words(one) for one in DIRECTIONS]),
        "listener": np.array(names),
        "crossover": distinct(pairs).astype(str),
        "crossover_frequency": frequency[list(told.crossovers)],
    }


def _spreads(tolerance: Tolerance) -> dict[str, Any]:
    spreads = tolerance.spreads
    return {
        "spread": distinct([spread.name for spread in spreads]).astype(str),
        "spread_kind": np.array([spread.kind for spread in spreads], dtype=str),
        "spread_key": np.array([", ".join(spread.keys) for spread in spreads], dtype=str),
        "spread_value": np.array([spread.values[0] for spread in spreads], dtype=float),
        "spread_within": np.array([spread.within for spread in spreads], dtype=float),
        "spread_relative": np.array([spread.relative for spread in spreads], dtype=bool),
        "spread_units": np.array([_unit(spread) for spread in spreads], dtype=str),
        "spread_shape": np.array([spread.shape for spread in spreads], dtype=str),
    }


def _unit(spread: Any) -> str:
    return "dB" if spread.kind == "level" else spread.unit or "1"


def _attributes(
    case: Case, tolerance: Tolerance, sound: np.ndarray, off: Sequence[float]
) -> dict[str, Any]:
    known = [each for each in off if np.isfinite(each)]
    deviation = max(known, default=0.0)
    return {
        **origin_of(case),
        "accuracy": case.accuracy,
        "figure_band": np.array(BAND),
        "smoothing": SMOOTHING,
        "builds": tolerance.builds,
        "builds_failed": int(np.count_nonzero(~sound)),
        "seed": tolerance.seed,
        "band": tolerance.band,
        "usual": int(tolerance.usual),
        "pair": PAIR if case.placement.pair else "",
        "deviation": deviation,
        "deviation_builds": len(known),
        "deviation_note": _why(deviation),
    }


def _why(deviation: float) -> str:
    """Why fields near the design may be as far off as they are."""
    if deviation <= LARGE:
        return ""
    return (
        f"levels of builds that were solved exactly too differ by up to {deviation:.2f} dB from "
        "those expanded about the design: spreads of places, distances or the air are so wide that "
        "what the edges send back turns by more than a parabola follows, or two of them change "
        "each other's effect; highest frequencies and dips suffer first. Smaller spreads leave less"
    )
