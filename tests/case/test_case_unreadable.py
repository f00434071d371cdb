from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from acoustics.case import read_case
from acoustics.conventions import CaseError, Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


@pytest.mark.parametrize(
    ("content", "line", "said"),
    [
        ("", None, "the file is empty; start from one of the worked designs"),
        ("# nothing but a comment\n", None, "the file is empty"),
        (b"\x00\x01\x02", None, "is a binary file, not text"),
        (b'title = "x"\nnote = "\xe9t\xe9"\n', 2, "byte 0xe9 is not UTF-8 text; save the file"),
        ('title = "x"\nwidth = 5,6\n', 2, "a decimal comma? write 5.6 with a point"),
        ('title = "x"\n\nwidth = 220 mm\n', 3, 'put a value with its unit in quotes, for example'),
        ('title = "x\n', 1, "not valid TOML in `title = \"x`"),
        ("title\n", 1, "compare the line with one of the worked designs"),
        ('a = 1\na = 2\n', 2, "not valid TOML in `a = 2`"),
        ("a = [1,\n2\n", 2, "not valid TOML"),
        ("a = " + "[" * 5000, None, "cannot be read as TOML"),
        ("a = " + "9" * 5000, None, "cannot be read as TOML"),
        ("#" * 1_000_001, None, "is larger than any case file"),
    ],
)  # fmt: skip
def test_what_is_no_case_text_at_all(
    faults_of: FaultsOf, content: str | bytes, line: int | None, said: str
) -> None:
    (fault,) = faults_of(content)
    assert said in fault.message
    assert fault.line == line


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("nowhere.toml", "there is no such file; give a case file"),
        ("folder", "the folder holds no case.toml"),
        ("file/below", "cannot be read (Not a directory)"),
        ("nul\0byte", "cannot be read"),
        ("/dev/null", "is not a regular file"),
    ],
)
def test_what_cannot_be_opened(tmp_path: Path, name: str, said: str) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_text("")
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / name)
    (fault,) = caught.value.faults
    assert said in fault.message
