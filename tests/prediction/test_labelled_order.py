"""Equal answers are equal files: what a Dataset holds stands in the order in which it was made."""

from __future__ import annotations

import numpy as np

from acoustics.conventions import Variable
from acoustics.prediction.labels import labelled


def test_coordinates_stand_in_the_order_of_the_arrays():
    # Eight names: by chance they would stand so once in 40 320 runs.
    names = [f"axis_{letter}" for letter in "hgfedcba"]
    table = {name: Variable((name,), "1", "a coordinate") for name in names}
    made = labelled({name: np.arange(2) for name in names}, {}, {}, table)
    assert list(made.coords) == names
