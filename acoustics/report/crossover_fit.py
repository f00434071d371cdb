"""What a fit found, in plain words."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.listening import phase_tracking, reverse_null
from acoustics.listening.sides import AXIS
from acoustics.report.hand_over import hand_over
from acoustics.report.passive_crossover import impedance_words
from acoustics.report.phrases import hertz_span, slope
from acoustics.report.plain_text import bullet, columns, heading, paragraph
from acoustics.studies.crossover_fit.aims import HANDS_OVER, IMPEDANCE, SPANS, STRAIN
from acoustics.studies.crossover_fit.dataset import AIMS, window_deviation, window_level
from acoustics.studies.crossover_fit.question import HIGHEST, LOWEST
from acoustics.studies.crossover_fit.run import Fitted
from acoustics.studies.wording import amount, hertz, listed, number, part_value

BROKEN = 0.1
"""dB: a limit broken by less is as good as kept"""

HARDLY = 0.2
"""dB: so much more at most is hardly heard, and less than real drivers differ (common practice)"""

AT_END = 1.01
"""A value so near to the least or the largest that is tried is at the end of it."""

IN_WORDS = {
    "listening_window": "listening window",
    "in_room": "estimated in-room curve",
    "directivity": "directivity index",
    "phase": "lost by phase on axis",
    "limits": "limits",
}


def fit_text(
    case: Case, fitted: Fitted, found: xr.Dataset, before: xr.Dataset, after: xr.Dataset
) -> str:
    """Say what was found, how good it is, and what it changed.

    Args:
        case: the design with its new crossover.
        fitted: what the fit found.
        found: the same as a Dataset, as `fit_dataset` makes it.
        before: prediction of the design with the crossover that it had.
        after: prediction of `case`.

    Returns:
        Text ending in a newline.
    """
    sections = [
        f"{case.title}\n{'=' * len(case.title)}",
        paragraph(_answer(fitted, after)),
        f"{heading('How near its aims it comes')}\n{_aims(found)}",
        _points("What it changes", _changes(fitted, before, after)),
        _points("How the drivers hand over", hand_over(after)),
        _points("The load", [impedance_words(case, after)]),
        _points("Limits that are not kept", _broken(fitted)),
        f"{heading('The best that were found')}\n{_others(found)}",
        _points("How sure this is", [*_given(case, fitted), *_at_the_end(found), *_sure(fitted)]),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _answer(fitted: Fitted, after: xr.Dataset) -> str:
    best, fit = fitted.best, fitted.question.fit
    deviation = window_deviation(after, fit)
    shape = "; ".join(
        f"{driver} {topology.name}{', inverted' if turned else ''}"
        for driver, topology, turned in zip(
            fitted.drivers, best.candidate.shapes, best.candidate.turned, strict=True
        )
    )
    straight = "a level line" if fit.tilt == 0 else f"a line of {slope(fit.tilt)}"
    return (
        f"Of {fitted.tried} crossovers the best has {best.outcome.pieces} parts: {shape}. With it "
        f"the listening window stays within ±{amount(float(deviation.max()), 'dB', finer=1)} of "
        f"{straight} from {hertz_span(fit.band)} (1/{fit.smoothing:g} octave)."
        f"{' It does not keep its limits: see below.' if _broken(fitted) else ''}"
    )


def _aims(found: xr.Dataset) -> str:
    rows = [["aim (dB)", "on average", "at most"]]
    for aim in AIMS:
        at = found.isel(finalist=0).sel(aim=aim)
        if aim != "limits":
            rows.append(
                [
                    IN_WORDS[aim],
                    number(float(at.rms), "dB", finer=1),
                    number(float(at.largest), "dB"),
                ]
            )
    return columns(rows)


def _changes(fitted: Fitted, before: xr.Dataset, after: xr.Dataset) -> list[str]:
    fit = fitted.question.fit
    was, now = (window_deviation(each, fit) for each in (before, after))
    levels = [window_level(each, fit.band) for each in (before, after)]
    return [
        f"Listening window: ±{amount(float(was.max()), 'dB', finer=1)} before, "
        f"±{amount(float(now.max()), 'dB', finer=1)} now.",
        f"Its mean level for 2.83 V: {amount(levels[0], 'dB')} before, {amount(levels[1], 'dB')} "
        "now, at 1 m.",
        f"Drivers in step: {_in_step(before)} before, {_in_step(after)} now.",
    ]


def _in_step(prediction: xr.Dataset) -> str:
    """The largest phase at each crossover and the dip with one side reversed, on the axis."""
    both = [of(prediction).sel(place=AXIS) for of in (phase_tracking, reverse_null)]
    found = [
        f"at {hertz(float(frequency))} {amount(float(phase), 'degree')} at most, and a dip of "
        f"{float(depth):.0f} dB with one side reversed"
        for frequency, phase, depth in zip(
            both[0].crossover_frequency, both[0].largest_phase, both[1].null_depth, strict=True
        )
        if not np.isnan(phase)
    ]
    return listed(found) if found else "no two hand over"


def _broken(fitted: Fitted) -> list[str]:
    spans = listed([hertz_span(span) for span in fitted.question.spans])
    least = fitted.question.fit.least_impedance
    words = {
        IMPEDANCE: f"The input impedance falls below the {least or 0.0:g} ohm that are asked "
        "(fit.least_impedance, else what the amplifier is made for, else a usual one) and a little "
        "to spare, by {}. More costs level: set fit.level lower.",
        SPANS: "The drivers hand over elsewhere than they may, "
        f"{spans}: one that should lead by {HANDS_OVER:g} dB lacks up to {{}}. Other shapes in "
        "fit.topologies or another span in fit.crossovers may help.",
        STRAIN: "A driver moves or heats more than it stands of loud pink noise, by up to {}. A "
        "steeper high-pass in fit.topologies, a higher span in fit.crossovers or an amplifier of "
        "less power may help.",
    }
    return [
        words[kind].format(amount(by, "dB"))
        for kind, by in fitted.best.residuals.broken.items()
        if by > BROKEN
    ]


def _others(found: xr.Dataset) -> str:
    priced = bool((found.price > 0).any())
    rows = [["", "parts", *(["price"] if priced else []), "window ± dB", "score (dB)"]]
    for n in range(found.sizes["finalist"]):
        one = found.isel(finalist=n)
        rows.append(
            [
                str(n + 1),
                str(int(one.pieces)),
                *([f"{float(one.price):.0f}"] if priced else []),
                number(float(one.largest.sel(aim="listening_window")), "dB", finer=1),
                number(float(one.score), "dB", finer=1),
            ]
        )
    words = [f"{n + 1}: {found.crossover.values[n]}" for n in range(len(rows) - 1)]
    return "\n".join([columns(rows), "", *map(bullet, [*words, *_simpler(found)])])


def _simpler(found: xr.Dataset) -> list[str]:
    """The finalist with the fewest parts, where it is hardly worse than the best."""
    fewest = int(np.argmin(found.pieces.values))
    saved = int(found.pieces[0] - found.pieces[fewest])
    largest = found.largest.sel(aim=["listening_window", "limits"])
    gap = largest.isel(finalist=fewest) - largest.isel(finalist=0)
    if saved == 0 or bool((gap > HARDLY).any()):
        return []
    parts = "1 part" if saved == 1 else f"{saved} parts"
    shapes = ", ".join(
        f'{driver} = ["{shape}"]'
        for driver, shape in zip(found.driver.values, found.topology.values[fewest], strict=True)
    )
    return [
        f"Number {fewest + 1} takes {parts} less, and hardly anybody would hear the difference. To "
        f"have it: [fit.topologies] with {shapes}."
    ]


def _given(case: Case, fitted: Fitted) -> list[str]:
    """What was taken as it is: amplifiers of others, and impedances nobody measured."""
    points = []
    if active := [each.name for each in case.drivers if each.name not in fitted.drivers]:
        points.append(
            f"Amplifier and filter of its own: {listed(active)}; both stay as they are. All "
            "amplifiers are taken to have the same gain: where they have not, make it up with "
            "gain in [amplifier] or in the branch, and fit again."
        )
    own = [case.driver(name) for name in fitted.drivers]
    if rated := [each for each in own if each.small_signal is None and each.impedance is None]:
        each_load = listed([f"{each.name} {each.rated_impedance:g} ohm" for each in rated])
        points.append(
            f"Taken for a resistor of the rated impedance: {each_load}. Real ones resonate and "
            f"rise, so this is a first look; before you buy parts, add [drivers.{rated[0].name}."
            "small_signal], or impedance, the file of a measured one."
        )
    return points


def _at_the_end(found: xr.Dataset) -> list[str]:
    """Values at the end of what is tried: the crossover wants more than that."""
    columns_of = (found.part_kind, found.part_driver, found.best_value)
    each = zip(*(column.values for column in columns_of), strict=True)
    ends = [
        f"{part_value(kind, value)} ({driver})"
        for kind, driver, value in each
        if not LOWEST[kind] * AT_END < value < HIGHEST[kind] / AT_END
    ]
    if not ends:
        return []
    return [
        f"At the end of the values that are tried: {listed(ends)}. Another shape in "
        "fit.topologies or another span in fit.crossovers may come out with handier parts."
    ]


def _sure(fitted: Fitted) -> list[str]:
    fit = fitted.question.fit
    return [
        "The fit looks at all 70 directions of both arcs, with the drivers as their data have them "
        "in this cabinet. Measure each driver in the finished cabinet before you buy expensive "
        "parts: real ones differ from their data by more than this fit leaves.",
        f"Coils have the resistance of {1e3 * fit.wire:g} mm copper wire; values are of the "
        f"{fit.series} series, coils of {fit.coil_series}. Seed {fit.seed}: the same seed finds "
        "the same crossover.",
    ]


def _points(title: str, points: list[str]) -> str:
    return "\n".join([heading(title), *map(bullet, points)]) if points else ""
