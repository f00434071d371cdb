"""Answers about builds as arrays, as they are kept in files."""

from __future__ import annotations

import numpy as np

from acoustics.studies.kept_files import Arrays, named_with
from acoustics.studies.tolerance.work import Done, Question

LAYOUT = 3
"""Counts up whenever what is computed of a build, or how it is laid out, changes."""

KIND = "builds"

_CURVE = "curve "


def about(question: Question) -> tuple[object, ...]:
    """What all answers of a study rest on."""
    makings = question.makings
    return (
        LAYOUT,
        makings.case.digest,
        makings.spreads,
        makings.fixed,
        question.told,
        makings.nearby,
    )


def arrays_of(done: Done) -> Arrays:
    """An answer as arrays."""
    curves = {f"{_CURVE}{name}": values for name, values in done.curves.items()}
    return {"figures": done.figures, "reasons": np.array(done.reasons, dtype=str), **curves}


def done_of(arrays: Arrays) -> Done:
    """Arrays as an answer."""
    curves = named_with(_CURVE, arrays)
    return Done(curves, arrays["figures"], tuple(map(str, arrays["reasons"])))
