"""Whatever stands in a file, reading it ends in an answer or in an error that a person can use.

Every mutant is drawn anew from its kind and number, so what is found can be read again:
`PYTHONPATH=.:tests python tests/support/mutants_at_scale.py KIND NUMBER`.
"""

from __future__ import annotations

import warnings
from pathlib import Path

import pytest

from acoustics.conventions import FileError
from support.mutant_guard import Mutant, judged
from support.mutant_kinds import KINDS
from support.mutant_worker import read_mutant
from support.mutants_at_scale import _after, defects_of

DESIGNS = {"designs": 2400}
TEXTS = {"design-texts": 1300, "driver-files": 800, "tables-in-cases": 500, "finished": 300}
TABLES = {
    "responses": 900, "impedances": 900, "calibrations": 500, "text-recordings": 400,
    "recordings": 1500, "messages": 600,
}  # fmt: skip
STORED = {"sofa": 350, "predictions": 250, "verifications": 100}
LOTS = (DESIGNS, TEXTS, TABLES, STORED)
IN_PROCESS = [kind for kind in KINDS if kind not in STORED]
"""Kinds that no library outside Python reads: they cannot end the process of the tests."""


def test_a_full_run_reads_ten_thousand() -> None:
    assert sum(sum(lot.values()) for lot in LOTS) >= 10_000
    assert {kind for lot in LOTS for kind in lot} == set(KINDS)


@pytest.mark.slow
@pytest.mark.parametrize("lot", LOTS, ids=("designs", "texts", "tables", "stored"))
def test_mutants_are_read_or_refused_in_words(lot: dict[str, int]) -> None:
    found = defects_of(lot)
    assert not found, "\n".join(map(str, found[:20]))


@pytest.mark.parametrize("kind", IN_PROCESS)
def test_some_mutants_are_read_or_refused_in_words(tmp_path: Path, kind: str) -> None:
    make = KINDS[kind](tmp_path)
    found = {number: read_mutant(make, kind, number) for number in range(3)}
    assert not any(found.values()), found


def _stumbles() -> None:
    raise KeyError("width")


def _warns() -> None:
    warnings.warn("careful", RuntimeWarning, stacklevel=1)


def _refuses_without_a_name() -> None:
    raise FileError("is wrong")


def _refuses_in_colour() -> None:
    raise FileError("is \x1b[31mwrong", "case.toml")


def _loops() -> None:
    while True:
        pass


@pytest.mark.parametrize(
    ("read", "told"),
    [
        (_stumbles, "KeyError: 'width'"),
        (_warns, "RuntimeWarning: careful"),
        (_refuses_without_a_name, "names no file"),
        (_refuses_in_colour, "steers the terminal"),
        (lambda: Path("case.toml").write_text(""), "to write"),
    ],
)
def test_the_guard_tells_what_is_wrong(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read, told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    assert told in judged(Mutant(read, ("case.toml",)))


def test_the_guard_ends_what_does_not_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("support.mutant_guard.SECONDS", 0.05)
    assert "took longer" in judged(Mutant(_loops, ()))


def test_what_is_refused_with_its_name_is_no_defect() -> None:
    def refuse() -> None:
        raise FileError("is wrong", "case.toml")

    assert judged(Mutant(refuse, ("case.toml",))) == ""
    assert judged(Mutant(list, ())) == ""


def test_a_lost_process_is_followed_by_another() -> None:
    jobs = [("sofa", 0, 9, 2), ("predictions", 0, 5, 2), ("messages", 1, 3, 2)]
    assert _after(jobs, "predictions", 2) == [("predictions", 4, 5, 2), ("messages", 1, 3, 2)]
