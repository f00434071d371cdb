"""Parts of an answer of a verification made by hand: aims, crossover, enclosure, wrinkles."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.studies.verification.crossings.words import CROSSOVER_FOUND


def aims() -> dict[str, np.ndarray]:
    states = ["met", "missed", "too close to call", "not measured", "not measured"]
    names = ["smooth", "level wanted", "tilt wanted", "loud", "wide"]
    tell = ["", "", "", "a reading at the seat tells it", "a reading at the seat tells it"]
    nothing = np.full(len(names), np.nan)
    return {
        "aim_measured": np.arange(len(names)),
        "aim_measured_name": np.array(names),
        "aim_measured_where": np.array(["axis"] * len(names)),
        "aim_measured_unit": np.array(["dB", "dB", "dB/octave", "dB", "degree"]),
        "aim_measured_at_least": nothing,
        "aim_measured_at_most": nothing,
        "aim_measured_figure": nothing,
        "aim_measured_uncertainty": nothing,
        "aim_measured_predicted": np.array([0.8, 82.0, -0.4, 73.7, 129.3]),
        "aim_measured_state": np.array(states),
        "aim_measured_words": np.array(
            [f"{name}: {state}." for name, state in zip(names, states, strict=True)]
        ),
        "aim_measured_tell": np.array(tell),
    }


def crossover(alone: bool) -> dict[str, np.ndarray]:
    texts = {"found", "told_from", "readings", "verdict", "words", "tell", "reading"}
    numbers = {
        name: np.array([np.nan])
        for name in CROSSOVER_FOUND
        if name.removeprefix("crossover_") not in texts
    }
    numbers["crossover_crossing"] = np.array([2000.0 if alone else np.nan])
    numbers["crossover_phase_doubt"] = np.array([5.0 if alone else np.nan])
    return {
        **numbers,
        "crossover_reading": np.arange(1),
        "crossover_found": np.array(["woofer to tweeter"]),
        "crossover_told_from": np.array(["each driver alone" if alone else "sum"]),
        "crossover_readings": np.array(["woofer alone; tweeter alone" if alone else "axis"]),
        "crossover_verdict": np.array(["in step"]),
        "crossover_words": np.array(["Woofer and tweeter are 8° apart: in step."]),
        "crossover_tell": np.array(["" if alone else "the same with the tweeter reversed tells"]),
    }


def tuning(impedances: Sequence[str]) -> dict[str, np.ndarray]:
    figures = {"lower_peak": 25.0, "minimum": 42.0, "upper_peak": 70.0, "tuning": 41.5}
    count = min(len(impedances), 1)
    values = np.tile(list(figures.values()), (count, 1))
    return {
        "tuning_figure": np.array(list(figures)),
        "tuning_figure_unit": np.array(["Hz"] * len(figures)),
        **{f"tuning_{name}": values for name in ("measured", "designed")},
        **{
            f"tuning_{name}": np.zeros(values.shape)
            for name in ("measured_uncertainty", "difference", "allowed")
        },
        "tuning_within": np.full(values.shape, "yes"),
        "tuning_untold": np.full(values.shape, ""),
        "tuning_enclosure": np.array(["bass"] * count, dtype=str),
        "tuning_reading": np.array(impedances[:count], dtype=str),
        "tuning_kind": np.array(["vented"] * count, dtype=str),
        "tuning_drivers": np.array(["woofer"] * count, dtype=str),
        **{f"tuning_{name}": np.ones(count) for name in ("trusted_from", "trusted_up_to")},
        "tuning_misfit": np.zeros(count),
        "tuning_reason": np.array([""] * count, dtype=str),
        "tuning_words": np.array(["the box bass is tuned to 41.5 Hz"] * count, dtype=str),
    }


def wrinkles(impedances: Sequence[str]) -> dict[str, np.ndarray]:
    count = min(len(impedances), 1)
    return {
        "wrinkle": np.arange(1, count + 1),
        "wrinkle_reading": np.array(impedances[:count], dtype=str),
        **{f"wrinkle_{name}": np.full(count, 408.0) for name in ("frequency", "size", "share")},
        "wrinkle_q": np.full(count, 30.0),
        "wrinkle_words": np.array(["a narrow wrinkle at 408 Hz"] * count, dtype=str),
    }
