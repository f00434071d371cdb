"""The structure's tests take one thread, as the room itself does: its matrices are small."""

from __future__ import annotations

import pytest

from acoustics.field.blas import one_blas_thread


@pytest.fixture(autouse=True)
def one_thread():
    with one_blas_thread():
        yield
