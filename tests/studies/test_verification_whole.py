"""What is read as a verification holds what one tells, or is none."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.storage import open_prediction, save
from acoustics.studies.verification.whole import TABLE, WORDS, is_whole
from support.verifications import verification


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    """What `roundover verify` would write, read back."""
    file = tmp_path_factory.mktemp("whole") / "verification.nc"
    made = verification(outside=["axis"]).assign_attrs(case_digest="0")
    return open_prediction(save(made, file))


def test_what_was_written_is_whole(sound):
    assert is_whole(sound)
    assert set(TABLE) >= WORDS


@pytest.mark.parametrize("name", ["cause_words", "strayed_share", "note", "tuning_reason"])
def test_without_a_variable_it_is_not(sound, name):
    assert not is_whole(sound.drop_vars(name))


@pytest.mark.parametrize(
    ("name", "values"),
    [("banded_share", "x"), ("banded_words", 1.0), ("told_unit", "V")],
)
def test_of_another_kind_it_is_not(sound, name, values):
    there = sound[name]
    wrong = np.full(there.shape, values)
    assert not is_whole(sound.assign({name: (there.dims, wrong, there.attrs)}))


@pytest.mark.parametrize(
    ("name", "value"), [("sure", "perhaps"), ("healthy", np.nan), ("verdict", 1)]
)
def test_with_an_attribute_of_another_kind_it_is_not(sound, name, value):
    assert not is_whole(sound.assign_attrs({name: value}))
