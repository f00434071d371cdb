"""Compiled kernels against the same lines run by Python, each by itself, as solves call them.

Every call, from outside or from another kernel, is answered twice: by the compiled code and by the
function it was compiled from, on copies of the same arrays. What is left is the compiler's licence
to add in another order and to fuse a product with a sum. `test_solve_field.py` compares a whole
solution with one of uncompiled code.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from acoustics import Piston, face_field, solve_field
from acoustics.cabinet import Body, EdgeCut, chamfered, cone, face_frame
from acoustics.field import field_over_face, kernels, plan
from acoustics.field.quadrature import gauss_rule

FEW = 20_000
"""numbers in the arguments of the first calls of a kernel: as many as Python answers in time"""

DOUBLE, SINGLE = 1e-9, 5e-5
"""over the largest number of an array; sums may cancel"""

FREQUENCY = np.array([500.0, 700.0])
LIVE_PAGE = "at_once.py"
"""the one file of the solver that no solve uses; tests/field/test_at_once.py"""


class Twice:
    """Stands in the place of every kernel and answers the first calls of each twice."""

    def __init__(self, most):
        self.most = most
        self.real = {name: each for name, each in vars(kernels).items() if hasattr(each, "py_func")}
        self.stand_ins = {name: self.stand_in(name) for name in self.real}
        self.numbers, self.worst = Counter(), {}

    def __enter__(self):
        vars(kernels).update(self.stand_ins)
        return self

    def __exit__(self, *_):
        vars(kernels).update(self.real)

    def stand_in(self, name):
        def answer(*given):
            before = self.numbers[name]
            self.numbers[name] += 1 + numbers_in(given)
            if before and self.numbers[name] > self.most:
                return self.compiled(name, given)
            copies = copied(given)
            value = self.compiled(name, given)
            with np.errstate(all="ignore"):  # compiled code divides without a check
                again = self.real[name].py_func(*copies)
            self.compare(name, (*given, value), (*copies, again), limit_for(given))
            return value

        return answer

    def compiled(self, name, given):
        """Code that is yet to be compiled must find kernels and no stand-ins."""
        vars(kernels).update(self.real)
        try:
            return self.real[name](*given)
        finally:
            vars(kernels).update(self.stand_ins)

    def compare(self, name, one, other, limit):
        """Raise where two answers differ, or what two calls left in the same array."""
        if isinstance(one, tuple):
            for part, twin in zip(one, other, strict=True):
                self.compare(name, part, twin, limit)
        elif one is None:
            assert other is None
        elif np.size(one):
            size = np.abs(other).max()
            off = float(np.abs(np.subtract(one, other, dtype=complex)).max() / (size or 1.0))
            self.worst[name, limit] = max(self.worst.get((name, limit), 0.0), off)
            assert off <= limit, f"{name}: {off:.2g} of the largest number"


def copied(given):
    if isinstance(given, tuple):
        parts = map(copied, given)
        return type(given)(*parts) if hasattr(given, "_fields") else tuple(parts)
    return given.copy() if isinstance(given, np.ndarray) else given


def numbers_in(given):
    return sum(map(numbers_in, given)) if isinstance(given, tuple) else int(np.size(given))


def limit_for(given):
    """Any argument in single precision makes the answer so."""
    if isinstance(given, tuple):
        return max(map(limit_for, given), default=DOUBLE)
    return SINGLE if getattr(given, "dtype", None) == np.float32 else DOUBLE


def solve_all_ways(shape, pistons, points, accuracy):
    """Forward, in reverse, and at a place of the front."""
    solve_field(shape, pistons, points, FREQUENCY, accuracy=accuracy)
    heard = face_field(shape, 0, points, FREQUENCY, accuracy=accuracy)
    heard.field([each for each in pistons if each.face == 0])
    front = heard.asked[0].problem.body
    place = np.zeros(1), np.zeros(1), np.ones((1, 1), dtype=bool)
    field_over_face(heard, Piston(0.005, pistons[0].centre), face_frame(front, 0), *place)


def beside_a_vertex():
    """What few poles come near, so that the first of them do not: asked by itself."""
    rule, slant = gauss_rule(12), np.array([2 / 3, 0.05, 0.3, 0.0, 0.95])
    for pole in (0.02 + 0.01j, -0.1 + 1e-3j):
        kernels.beside_vertex(pole, False, 0.1 * pole, 0.1, slant)
        kernels.root_error(pole, 2 / 3, 1.0 + rule.x, rule.w)


def in_a_solve(names):
    """Which of the kernels some file of the solver calls that solves use."""
    folder = Path(kernels.__file__).parent
    texts = [each.read_text("utf-8") for each in folder.glob("*.py") if each.name != LIVE_PAGE]
    calls = set(re.findall(r"(?<!def )\b(\w+)\(", "\n".join(texts)))
    return names & calls


@pytest.mark.slow
def test_every_kernel_of_a_solve(monkeypatch):
    monkeypatch.setattr(plan, "usable_cores", lambda: 1)
    box = Body.box(width=0.1, height=0.12, depth=0.015)
    cut = chamfered(box, [EdgeCut("front left", (0.01, 0.01))])
    # In front, beside the front's plane, on the extension of an edge, behind.
    points = np.array([[0.2, 0.1, 0.5], [0.3, 0.0, 0.001], [0.05, 0.3, 0.0], [0.1, 0.02, -0.2]])
    pistons = [
        Piston(0.01, (0.0, 0.02, 0.0), face=0),
        Piston(0.02, (0.0, -0.02, 0.0), cone(0.005, 0.02), face=0),
    ]
    with Twice(FEW) as twice:
        solve_all_ways(cut, pistons, points, 0.1)
        beside_a_vertex()
    assert set(twice.numbers) == in_a_solve(set(twice.real))
