"""Shared by the tests of the case room."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from acoustics.case import read_case
from acoustics.conventions import CaseError, Fault


@pytest.fixture
def faults_of(tmp_path: Path) -> Callable[[str | bytes], tuple[Fault, ...]]:
    """The faults of a case file with this content."""

    def faults(content: str | bytes) -> tuple[Fault, ...]:
        file = tmp_path / "case.toml"
        file.write_bytes(content.encode() if isinstance(content, str) else content)
        with pytest.raises(CaseError) as caught:
            read_case(file)
        for fault in caught.value.faults:
            assert fault.file == str(file)
        return caught.value.faults

    return faults
