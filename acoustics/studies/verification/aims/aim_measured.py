"""An aim or a point of the brief held against what was measured, in words and as a Dataset."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.conventions import Variable
from acoustics.prediction.labels import labelled

NOT_MEASURED = "not measured"


@dataclass(frozen=True)
class AimMeasured:
    """An aim or a point of the brief, as measured and as predicted.

    Attributes:
        name, unit: of the aim.
        where: the place it is taken at.
        at_least, at_most: its limits, None for none.
        measured: figure, None where it was not measured; `uncertainty` how far it may be off, 95 %.
        predicted: figure of the design, None where it has none.
        state: "met", "missed", "too close to call", "not known" or "not measured".
        note: over which band it was judged, or why it was not.
        tell: which measurement would tell.
    """

    name: str
    unit: str
    where: str
    at_least: float | None
    at_most: float | None
    measured: float | None
    uncertainty: float | None
    predicted: float | None
    state: str
    note: str = ""
    tell: str = ""

    @property
    def words(self) -> str:
        """The aim, both figures and the state, in a sentence or two."""
        limits = [
            f"{word} {limit:g}"
            for word, limit in (("at least", self.at_least), ("at most", self.at_most))
            if limit is not None
        ]
        said = f"{self.name} ({' and '.join(limits)} {self.unit}): {self.state}"
        if self.measured is not None:
            said += f", measured {self.measured:.3g}"
            if self.uncertainty is not None:
                said += f" ± {self.uncertainty:.2g}"
            said += f" {self.unit}"
        if self.predicted is not None:
            said += f", predicted {self.predicted:.3g} {self.unit}"
        return " ".join(filter(None, (f"{said}.", _sentence(self.note), _sentence(self.tell))))


_AIM = ("aim_measured",)

AIMS_MEASURED: dict[str, Variable] = {
    "aim_measured": Variable(_AIM, "1", "number of an aim, or of a point of the brief"),
    "aim_measured_name": Variable(_AIM, "1", "what an aim is called"),
    "aim_measured_where": Variable(_AIM, "1", "where it is taken"),
    "aim_measured_unit": Variable(_AIM, "1", "unit of its figures"),
    "aim_measured_at_least": Variable(_AIM, "1", "lower limit, in its unit"),
    "aim_measured_at_most": Variable(_AIM, "1", "upper limit, in its unit"),
    "aim_measured_figure": Variable(_AIM, "1", "figure as measured, in its unit"),
    "aim_measured_uncertainty": Variable(_AIM, "1", "how far that may be off, 95 %, in its unit"),
    "aim_measured_predicted": Variable(_AIM, "1", "figure as predicted, in its unit"),
    "aim_measured_state": Variable(_AIM, "1", "met, missed, too close to call or not measured"),
    "aim_measured_words": Variable(_AIM, "1", "an aim in sentences"),
    "aim_measured_tell": Variable(_AIM, "1", "which measurement would tell"),
}
"""Variables and coordinates of `aims_dataset`."""


def aims_dataset(found: Sequence[AimMeasured]) -> xr.Dataset:
    """All aims, dims (aim_measured); NaN where there is no figure or no limit."""

    def numbers(of: str) -> np.ndarray:
        values = [getattr(each, of) for each in found]
        return np.array([np.nan if each is None else each for each in values], dtype=float)

    arrays: dict[str, np.ndarray] = {"aim_measured": np.arange(len(found))}
    for name in ("name", "where", "unit", "state", "words", "tell"):
        arrays[f"aim_measured_{name}"] = np.array([getattr(e, name) for e in found], dtype=str)
    for name, of in (
        *(("at_least", "at_least"), ("at_most", "at_most"), ("figure", "measured")),
        *(("uncertainty", "uncertainty"), ("predicted", "predicted")),
    ):
        arrays[f"aim_measured_{name}"] = numbers(of)
    return labelled(arrays, {}, {}, AIMS_MEASURED)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""
