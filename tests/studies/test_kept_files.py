"""What is kept is taken when it answers the question and is sound; damage is told."""

from __future__ import annotations

import os
import random
import resource

import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.studies import kept_files as module
from acoustics.studies.crossover_fit import kept as fits
from acoustics.studies.crossover_fit.outcome import Outcome
from acoustics.studies.kept_files import KeptFiles, kept_files
from acoustics.studies.layout_search import kept as layouts
from acoustics.studies.sweeps.store import open_store
from acoustics.studies.sweeps.work import Done
from acoustics.studies.tolerance import kept as builds
from acoustics.studies.tolerance.work import Done as Built

ANSWER = {"levels": np.array([[81.5, -0.0], [np.nan, 2.0]]), "reasons": np.array(["", "too µ"])}

OUTCOME = Outcome((1.5e-3, 4.7e-6, 0.1 + 0.2), 3.25, (0.0, 1e-6, 0.0))
SEARCHED = layouts.Searched(np.array([0.1, 2.0]), np.eye(3), np.ones((3, 2)) / 3, 0.004)
BUILT = Built(
    {"axis level": np.arange(6.0).reshape(2, 3)}, np.array([[1.0], [np.nan]]), ("", "no room")
)

KINDS = {
    "fit": (fits.arrays_of(OUTCOME), fits.outcome_of),
    "layouts": (layouts.arrays_of(SEARCHED), layouts.searched_of),
    "builds": (builds.arrays_of(BUILT), builds.done_of),
    "field": ({"pressure": np.array([[[1 + 2j, 0.5j]]])}, lambda arrays: arrays["pressure"]),
}
"""Whatever is kept: as arrays, and the way back."""


def same(one, other):
    assert one.keys() == other.keys()
    for name, values in one.items():
        np.testing.assert_array_equal(values, other[name])
        assert values.dtype == other[name].dtype


def only_file(folder):
    (file,) = folder.iterdir()
    return file


def flips(data, count, seed):
    """The data with a bit turned round, at places that are drawn."""
    draw = random.Random(seed)
    for _ in range(count):
        harmed = bytearray(data)
        harmed[draw.randrange(len(data))] ^= 1 << draw.randrange(8)
        yield bytes(harmed)


def test_an_answer_comes_back_to_the_last_bit(tmp_path):
    KeptFiles(tmp_path, "fit", "of a case").write(ANSWER, "two", 3)
    found = KeptFiles(tmp_path, "fit", "of a case").read("two", 3)
    same(found, ANSWER)
    assert np.signbit(found["levels"][0, 1])


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_answer_comes_back(tmp_path, kind):
    arrays, back = KINDS[kind]
    files = KeptFiles(tmp_path, kind)
    files.write(arrays, "question")
    expected = {"fit": OUTCOME, "layouts": SEARCHED, "builds": BUILT}.get(kind)
    found = back(files.read("question"))
    if kind == "fit":
        assert found == expected
    elif expected is not None:
        assert repr(found) == repr(expected)
    else:
        np.testing.assert_array_equal(found, arrays["pressure"])


@pytest.mark.parametrize(
    ("kind", "about", "asked"),
    [
        ("builds", "of a case", ("two", 3)),
        ("fit", "of another case", ("two", 3)),
        ("fit", "of a case", ("two", 4)),
        ("fit", "of a case", ("two", 3.0)),
        ("fit", "of a case", ("two",)),
    ],
)
def test_an_answer_to_another_question_is_not_taken(tmp_path, kind, about, asked):
    KeptFiles(tmp_path, "fit", "of a case").write(ANSWER, "two", 3)
    assert KeptFiles(tmp_path, kind, about).read(*asked) is None


def test_an_answer_of_another_solver_is_not_taken(tmp_path, monkeypatch):
    KeptFiles(tmp_path, "fit").write(ANSWER, "question")
    monkeypatch.setattr(module, "SOLVER", module.SOLVER + 1)
    assert KeptFiles(tmp_path, "fit").read("question") is None


def test_when_it_was_written_does_not_count(tmp_path):
    files = KeptFiles(tmp_path, "fit")
    files.write(ANSWER, "question")
    os.utime(only_file(tmp_path), (0, 0))
    same(files.read("question"), ANSWER)


@pytest.mark.parametrize("kind", KINDS)
def test_a_flipped_bit_of_any_kind_is_told_and_not_taken(tmp_path, caplog, kind):
    arrays, _ = KINDS[kind]
    files = KeptFiles(tmp_path, kind)
    files.write(arrays, "question")
    file = only_file(tmp_path)
    whole = file.read_bytes()
    for harmed in flips(whole, 60, seed=3):
        file.write_bytes(harmed)
        caplog.clear()
        assert files.read("question") is None
        (told,) = caplog.messages
        assert told == f"{file}: this file is damaged, so what it held is computed anew"
        assert not file.exists()
    files.write(arrays, "question")
    assert file.read_bytes() == whole


def test_a_flipped_bit_of_a_block_is_told_and_not_taken(tmp_path, caplog):
    done = Done((4, 7), np.array([[1.0, 2.0], [3.0, np.nan]]), ("", "no room"), {})
    other = Done((5,), np.array([[5.0, 6.0]]), ("",), {"arc_field": np.array([[1j]])})
    with open_store(tmp_path, "1" * 64, "x") as store:
        store.write(done)
        file = only_file(tmp_path)
        whole = file.read_bytes()
        store.write(other)
        for harmed in flips(whole, 60, seed=4):
            file.write_bytes(harmed)
            caplog.clear()
            (left,) = store.blocks()
            assert left.numbers == (5,)
            np.testing.assert_array_equal(left.fields["arc_field"], other.fields["arc_field"])
            assert len(caplog.messages) == 1
        store.write(done)
        assert sorted(block.numbers for block in store.blocks()) == [(4, 7), (5,)]


@pytest.mark.parametrize("name", ["fit-{q}-{c}", "{q}-{c}.npz", "fit-{q}.npz", "fit-{q}-{c}.npz.1"])
def test_files_of_other_names_are_left_alone(tmp_path, name):
    files = KeptFiles(tmp_path, "fit")
    other = tmp_path / name.format(q="0" * 32, c="1" * 32)
    other.write_bytes(b"somebody's own")
    assert files.read("question") is None
    assert list(files.every(lambda arrays: ())) == []
    files.clear()
    assert other.read_bytes() == b"somebody's own"


def test_answers_nobody_asked_for_go_in_the_end_and_other_kinds_stay(tmp_path):
    KeptFiles(tmp_path, "layouts").write(ANSWER, "else")
    before = KeptFiles(tmp_path, "fit")
    before.write(ANSWER, "old")
    before.write(ANSWER, "still asked")
    files = KeptFiles(tmp_path, "fit")
    assert files.read("still asked") is not None
    files.write(ANSWER, "new")
    assert len(list(tmp_path.iterdir())) == 4
    files.clear()
    assert KeptFiles(tmp_path, "fit").read("old") is None
    for kind, asked in (("fit", "still asked"), ("fit", "new"), ("layouts", "else")):
        assert KeptFiles(tmp_path, kind).read(asked) is not None


def test_a_file_that_cannot_be_written_loses_no_other(tmp_path):
    files = KeptFiles(tmp_path, "fit")
    files.write(ANSWER, "first")
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, limits[1]))
    try:
        with pytest.raises(RoundoverError, match=r"fit-.*npz: cannot be written"):
            files.write(ANSWER, "second")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    same(files.read("first"), ANSWER)
    assert len(list(tmp_path.iterdir())) == 1


def test_without_a_folder_nothing_is_kept(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with kept_files(None, "fit") as files:
        files.write(ANSWER, "question")
        assert files.read("question") is None
        files.clear()
    assert list(tmp_path.iterdir()) == []


def test_one_at_a_time_works_with_a_folder(tmp_path):
    with (
        kept_files(tmp_path / "found", "fit"),
        pytest.raises(RoundoverError, match="found: this folder is in use"),
        kept_files(tmp_path / "found", "layouts"),
    ):
        pass
