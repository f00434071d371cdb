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
        ('title = "x"\nwidth = 5,6\n', 2, "a comma in a number? write 5.6 with a point"),
        ('title = "x"\n\nwidth = 220 mm\n', 3, 'put a value with its unit in quotes, for example'),
        ('title = "x\n', 1, "not valid TOML in `title = \"x`"),
        ('title = "x\n', 1, "a text has no end; close its quotes on the same line"),
        ("title\n", 1, "compare the line with one of the worked designs"),
        ('a = 1\nb = 2\na = 2\n', 3, "the key 'a' is there twice, first on line 1; keep one"),
        ('[t]\na = 1\nb.c = 2\n[u]\na = 3\nb = [\n1]\na = 2\n', 8, "first on line 5"),
        ('[[t]]\na = 1\n[[t]]\na = 2\na = 3\n', 5, "'a' is there twice, first on line 4"),
        ('a = 1\na = [\n2]\n', 3, "not valid TOML"),
        ('[a]\n[b]\n[a]\n', 3, "the table [a] is there twice, first on line 1; put all its"),
        ('s = { type = 1, type = 2 }\n', 1, "the key 'type' is there twice in these braces"),
        ('width = 1,000\n', 1, "write 1000 without separators, or 1.0 with a point"),
        ('width = \u201c220 mm\u201d\n', 1, "quotes are straight in TOML"),
        ('title = "x"\n'.encode("utf-16"), 1, "in the encoding UTF-16; save the file in the"),
        ('title = "x"\n'.encode("utf-16-be"), None, "is a binary file"),
        ("a = [1,\n2\n", 2, "not valid TOML"),
        ("a = " + "[" * 5000, None, "lists or tables are nested more than 20 deep"),
        ("a = " + "[" * 50 + "]" * 50, None, "lists or tables are nested more than 20 deep"),
        ("a." * 100 + "a = 1", None, "lists or tables are nested more than 20 deep"),
        ("a." * 100_000 + "a = 1", None, "lists or tables are nested more than 20 deep"),
        ("b = 1\na = [0x" + "f" * 5000 + "]", 2, "a number has thousands of digits"),
        ("b = 1\na = " + "9" * 5000, 2, "a number has thousands of digits"),
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
