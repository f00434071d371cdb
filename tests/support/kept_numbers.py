"""Comparisons of the same few designs: what is told of a design is found once."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.prediction import predict
from acoustics.studies.comparison import compare
from acoustics.studies.yardsticks.rated_figures import numbers_of


@contextmanager
def found_once() -> Iterator[None]:
    """Within, `compare` predicts equal cases once, and finds the numbers of a prediction once."""
    predictions: dict[Any, xr.Dataset] = {}
    numbers: dict[tuple[Case, int], xr.Dataset] = {}

    def predicted(case: Case, **how: Any) -> xr.Dataset:
        key = case, *sorted(how.items())
        if key not in predictions:
            predictions[key] = predict(case, **how)
        return predictions[key]

    def told(case: Case, prediction: xr.Dataset) -> xr.Dataset:
        # Only predictions that are kept: another may come to lie where a lost one was.
        if not any(prediction is each for each in predictions.values()):
            return numbers_of(case, prediction)
        key = case, id(prediction)
        if key not in numbers:
            numbers[key] = numbers_of(case, prediction)
        return numbers[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compare, "predict", predicted)
        patch.setattr(compare, "numbers_of", told)
        yield
