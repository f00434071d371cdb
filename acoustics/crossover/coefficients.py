"""The numbers to put into a digital processor: what each of its channels does."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.case.design.model import Branch, Case, Fir
from acoustics.case.design.section_model import whole_samples
from acoustics.case.design.section_words import section_words
from acoustics.case.text.phrases import listed
from acoustics.conventions import RoundoverError
from acoustics.crossover.branch import before_amplifier, branches_of
from acoustics.crossover.digital import fir_response, stages_of, stages_response

PASSIVE = "passive crossover"
"""The channel behind whose amplifier the passive crossover hangs."""


@dataclass(frozen=True)
class Stage:
    """A second-order section, what it belongs to in words, and its b0, b1, b2, 1, a1, a2.

    y[n] = b0 x[n] + b1 x[n−1] + b2 x[n−2] − a1 y[n−1] − a2 y[n−2].
    """

    words: str
    row: tuple[float, ...]


@dataclass(frozen=True)
class Channel:
    """One output of the processor: all of it in cascade.

    `drivers` hang on it. `gain` in dB, `delay` in samples; `taps` are impulse responses.
    """

    name: str
    drivers: tuple[str, ...]
    stages: tuple[Stage, ...]
    taps: tuple[np.ndarray, ...]
    gain: float
    delay: int
    inverted: bool

    def response(self, frequency: np.ndarray, rate: float) -> np.ndarray:
        """Transfer function at a sampling rate (Hz), V/V, complex, shape (frequency,)."""
        frequency = np.asarray(frequency, dtype=float)
        sign = -1.0 if self.inverted else 1.0
        answer = sign * 10 ** (self.gain / 20) * np.exp(-2j * np.pi * frequency / rate * self.delay)
        for stage in self.stages:
            answer = answer * stages_response(np.array([stage.row]), frequency, rate)
        for taps in self.taps:
            answer = answer * fir_response(taps, frequency, rate)
        return answer


def channels_of(case: Case, prediction: xr.Dataset) -> tuple[Channel, ...]:
    """What the channels of a design's processor do.

    Args:
        case: the design, with a processor.
        prediction: of that same design; it holds the taps of computed filters.

    Returns:
        One for each driver with an amplifier of its own, then one for the passive crossover.

    Raises:
        RoundoverError: there is no processor, none of the crossover is in it, a computed filter has
            no taps, or the prediction belongs to another design.
    """
    if prediction.attrs["case_digest"] != case.digest:
        raise RoundoverError(
            f"{case.path}: the prediction belongs to another design; predict this one anew"
        )
    branches = branches_of(case)
    if case.processor is None:
        raise RoundoverError(
            f"{case.path}: the crossover is analogue, so it has no coefficients; add [processor] "
            'with sampling_rate = "48 kHz", say'
        )
    computed = [each.driver for each in branches if each.slopes == "acoustic"]
    if computed and "taps" not in prediction:
        raise RoundoverError(
            f"{case.path}: the filters of {listed(computed)} are computed for acoustic slopes, and "
            "a processor plays them as impulse responses; add taps = 1023, say, to [processor]"
        )
    rate = case.processor.sampling_rate
    late = whole_samples(float(prediction.attrs.get("latency", 0.0)), rate)
    found = [
        _computed(each.driver, prediction)
        if each.slopes == "acoustic"
        else _channel(each, rate, late)
        for each in branches
        if each.slopes != "passive"
    ]
    passive = tuple(each.driver for each in branches if each.slopes == "passive")
    if passive:
        before = _channel(before_amplifier(case), rate, late)
        found.append(replace(before, name=PASSIVE, drivers=passive))
    return tuple(found)


def _channel(branch: Branch, rate: float, late: int) -> Channel:
    stages = [
        Stage(section_words(section), tuple(map(float, row)))
        for section in branch.sections
        if not isinstance(section, Fir)
        for row in stages_of(section, rate)
    ]
    return Channel(
        name=branch.driver,
        drivers=(branch.driver,),
        stages=tuple(stages),
        taps=tuple(np.array(each.taps) for each in branch.sections if isinstance(each, Fir)),
        gain=branch.gain,
        delay=whole_samples(branch.delay, rate) + late,
        inverted=branch.inverted,
    )


def _computed(driver: str, prediction: xr.Dataset) -> Channel:
    """Level, polarity and latency are in the taps."""
    own = prediction.sel(driver=driver)
    return Channel(driver, (driver,), (), (own.taps.values,), 0.0, int(own.tap_delay), False)
