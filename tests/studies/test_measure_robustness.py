"""Whatever stands in recordings and tables, measuring ends in a result or in a clear error."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.case import read_case
from acoustics.conventions import CaseError
from acoustics.measurement.sweep import make_sweep
from acoustics.studies.measure import measure_study, study
from support.measured_bench import CASE, write

RATE = 8000
TEXT = (
    CASE[: CASE.index("[measurement]")]
    + """
[frequencies]
per_octave = 6

[measurement]
sweep = { lowest = "100 Hz", highest = "3.8 kHz", duration = "0.15 s" }
loopback = 2
calibration = "mic.txt"
sampling_rate = "8 kHz"

[measurement.drivers.tweeter]
far = "t.wav"
"""
)
ROWS = "\n".join(f"{frequency}\t{level}" for frequency, level in ((20, 0.5), (1000, 0), (4000, 1)))


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A case with a short recording, and the bytes of all its files."""
    folder = tmp_path_factory.mktemp("fuzz")
    (folder / "case.toml").write_text(TEXT)
    sweep = make_sweep(100.0, 3800.0, 0.15, RATE).samples
    both = np.zeros((3600, 2))
    both[400 : 400 + sweep.size, 1] = 0.5 * sweep
    both[424 : 424 + sweep.size, 0] = 0.3 * sweep
    both += 1e-5 * np.random.default_rng(1).standard_normal(both.shape)
    write(folder / "t.wav", both, RATE)
    (folder / "mic.txt").write_text(f"Hz\tdB\n{ROWS}\n")
    case = read_case(folder)
    originals = {name: (folder / name).read_bytes() for name in ("t.wav", "mic.txt")}
    return lambda: (folder, case, originals)  # short when it is printed


CHANGES = st.lists(
    st.tuples(
        st.integers(0, 80) | st.integers(0, 30_000),  # heads break in more ways than samples
        st.sampled_from(["change", "cut", "insert", "truncate"]),
        st.binary(min_size=1, max_size=6),
    ),
    min_size=1,
    max_size=4,
)


def mutated(data: bytes, changes) -> bytes:
    """Some bytes changed, some cut out or put in."""
    raw = bytearray(data)
    for place, kind, some in changes:
        place %= len(raw) + 1
        if kind == "change":
            raw[place : place + len(some)] = some
        elif kind == "cut":
            del raw[place : place + some[0]]
        elif kind == "insert":
            raw[place:place] = some
        else:
            del raw[place:]
    return bytes(raw)


def measured_or_refused(case):
    """A result, or faults each of which has its key in the case or its line in the file."""
    faults = ()
    try:
        assert measure_study(case).sizes["driver"] == 1
    except CaseError as error:
        faults = error.faults
    assert all(fault.key.startswith("measurement") or fault.line for fault in faults)
    assert all(fault.message.strip() for fault in faults)


@pytest.fixture(autouse=True, scope="module")
def nothing_to_hold_against():
    """What drivers are held against comes after the files were read."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(study, "held_against", lambda *_: ())
        yield


@settings(max_examples=80, deadline=None, derandomize=True)
@given(name=st.sampled_from(["t.wav", "mic.txt"]), changes=CHANGES)
def test_mutated_files_are_measured_or_refused_in_words(bench, name, changes):
    folder, case, originals = bench()
    (folder / name).write_bytes(mutated(originals[name], changes))
    try:
        measured_or_refused(case)
    finally:
        (folder / name).write_bytes(originals[name])


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    sound=st.lists(
        st.floats(-1e3, 1e3, width=32) | st.sampled_from([0.0, 1.0, -1.0]), min_size=1, max_size=60
    ),
    repeats=st.integers(1, 80),
)
def test_any_samples_are_measured_or_refused_in_words(bench, sound, repeats):
    folder, case, originals = bench()
    samples = np.tile(np.array(sound), repeats)
    both = np.stack([samples, np.roll(samples, 7)], axis=1)
    write(folder / "t.wav", both, RATE)
    try:
        measured_or_refused(case)
    finally:
        (folder / "t.wav").write_bytes(originals["t.wav"])
