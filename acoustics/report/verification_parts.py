"""A verification piece by piece: readings, aims, crossovers, enclosures, wrinkles."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np
import xarray as xr

from acoustics.report.phrases import hertz_span, sentence_start
from acoustics.report.plain_text import clipped, columns, paragraph
from acoustics.studies.wording import amount, hertz, listed

NAME_LETTERS = 20
"""of a reading's name in the table"""

SHORT = {"too close to call": "too close"}
"""verdicts that the table writes shorter"""

ORDER = ("missed", "too close to call", "met")
"""in which aims are told"""


def readings_table(found: xr.Dataset) -> str:
    """Every reading against the band of healthy builds; empty without any."""
    if not found.sizes["banded_reading"]:
        return ""
    rows = [["", "", "inside", "usual", "farthest out", "widest outside"]]
    for n in range(found.sizes["banded_reading"]):
        one = found.isel(banded_reading=n)
        verdict, unit = str(one.banded_verdict.values), str(one.banded_unit.values)
        worst = float(one.banded_worst)
        size = f"{worst:+.{1 if unit == 'dB' else 0}f} {unit}".replace("-", "−")
        run = "none"
        if float(one.banded_run) > 0:
            run = hertz_span([float(one.banded_run_low), float(one.banded_run_high)])
        rows.append(
            [
                clipped(str(one.banded_reading.values), NAME_LETTERS),
                SHORT.get(verdict, verdict),
                f"{100 * float(one.banded_share):.0f} %",
                f"{100 * float(one.banded_usual_share):.0f} %",
                f"{size} at {hertz(float(one.banded_worst_at))}",
                run,
            ]
        )
    words = (
        "Inside: share of the values within the band in which 95 % of a healthy build's lie; of "
        "100 healthy builds 95 reach the usual share. Farthest out: measured less designed, where "
        "that is most against how wide the band is there. "
        "Neighbouring frequencies stray together, so a stretch outside is no proof by itself."
    )
    return f"{columns(rows, left=2)}\n\n{paragraph(words)}"


def aim_lines(found: xr.Dataset) -> Iterator[str]:
    """Aims and points of the brief as measured; those that were not, by what would tell them."""
    states = found.aim_measured_state.values.tolist()
    for state in ORDER:
        for n, own in enumerate(states):
            if own == state:
                yield str(found.aim_measured_words.values[n])
    groups = defaultdict[str, list[str]](list)
    for n, own in enumerate(states):
        if own in ORDER:
            continue
        unit = str(found.aim_measured_unit.values[n])
        predicted = float(found.aim_measured_predicted[n])
        name = str(found.aim_measured_name.values[n])
        if np.isfinite(predicted):
            name += f" (predicted {amount(predicted, unit)})"
        groups[str(found.aim_measured_tell.values[n])].append(name)
    for tell, names in groups.items():
        end = f"; {tell}" if tell else ""
        yield f"Not measured: {listed(names)}{end}."


def crossover_lines(found: xr.Dataset) -> Iterator[str]:
    """How drivers hand over, and which reading would tell more, each once."""
    asked = dict[str, None]()
    for n in range(found.sizes["crossover_reading"]):
        readings = str(found.crossover_readings.values[n]).split("; ")
        source = f" (from {listed(readings)})" if readings != [""] else ""
        name = str(found.crossover_found.values[n])
        yield f"{sentence_start(name)}{source}: {found.crossover_words.values[n]}"
        if tell := str(found.crossover_tell.values[n]):
            asked[tell] = None
    yield from (f"{sentence_start(tell)}." for tell in asked)


def tuning_lines(found: xr.Dataset) -> Iterator[str]:
    """What every enclosure is tuned to, and where its peaks lie."""
    for n in range(found.sizes["tuned"]):
        one = found.isel(tuned=n)
        reading, reason = str(one.tuning_reading.values), str(one.tuning_reason.values)
        if reason:
            name = str(one.tuning_enclosure.values)
            yield f"{sentence_start(name)}, from {reading}: nothing can be told; {reason}."
            continue
        yield f"From {reading}: {one.tuning_words.values}.{_peaks(one)}"


def _peaks(one: xr.Dataset) -> str:
    """Where peaks and the dip between them lie, measured and designed."""
    parts = []
    for name, called in PEAKS.items():
        if name not in one.tuning_figure.values:
            continue
        figure = one.sel(tuning_figure=name)
        measured, designed = float(figure.tuning_measured), float(figure.tuning_designed)
        if np.isfinite(measured):
            than = f", designed {hertz(designed)}" if np.isfinite(designed) else ""
            parts.append(f"{called} at {hertz(measured)}{than}")
    return f" The impedance has {listed(parts)}." if parts else ""


PEAKS = {
    "lower_peak": "its lower peak",
    "minimum": "its dip",
    "upper_peak": "its upper peak",
}


def wrinkle_lines(found: xr.Dataset) -> Iterator[str]:
    """Narrow wrinkles of impedances, and what may make them."""
    for reading, words in zip(
        found.wrinkle_reading.values, found.wrinkle_words.values, strict=True
    ):
        yield f"{sentence_start(str(reading))}: {words}."
