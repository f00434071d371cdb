"""Files that are no curves: each is refused with its name, the line and a way out."""

from __future__ import annotations

import os

import pytest

from acoustics.conventions import RoundoverError
from acoustics.curves import CurveError, CurveForm, curve_of, read_curve
from acoustics.curves import text as curve_text

GOOD = "100 80 10\n200 81 11\n300 82 12\n400 83 13\n"


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("", None, ["is empty", "give a plain text table"]),
        ("\n  \n\t\n", None, ["is empty"]),
        ("Dear reader,\nhere is nothing.\n", None, ["no rows of numbers", "one row per frequency"]),
        ("# 100 80\n# 200 81\n# 300 82\n", None, ["no rows of numbers"]),
        ("100\n200\n300\n", None, ["one column", "frequency in one"]),
        ("level\n80.5\n81.5\n82.5\nend", None, ["one column"]),
        (GOOD + "500 84\n", 5, ["'500 84' has 2 columns", "first row 3"]),
        (GOOD + "500\n", 5, ["'500' has 1 column,"]),
        ("f;dB;deg\n1;2;3\n2;;3\n3;2;3\n", 3, ["'2;;3' has 1 column,", "first row 3"]),
        (GOOD + "the end\n", 5, ["'the end' is no row of numbers", "line 1", "put #"]),
        ("0 80\n" + "100 80\n200 81\n300 82\n", 1, ["'0 80'", "not above 0", "remove the row"]),
        ("100 80\n-200 81\n300 82\n", 2, ["'-200 81'", "not above 0"]),
        ("100 80\n200 nan\n300 82\n", 2, ["'200 nan'", "column 2", "no finite number"]),
        ("100 80\n200 -inf\n300 82\n", 2, ["no finite number"]),
        ("100 80\n200 1.#IND\n300 82\n", 2, ["no finite number"]),
        ("100 80\n1e999 81\n300 82\n", 2, ["no finite number"]),
        ("NaN 80\n200 81\n300 82\n", 1, ["column 1", "no finite number"]),
        ("100 80\n200 81\nend\n", None, ["no rows of numbers behind line 3"]),
        ("100 80\n200 81\n", None, ["2 rows", "at least 3"]),
        ("100 80\n100 80\n200 81\n", None, ["2 different frequencies"]),
        ("100 80\n200 81\n100 85\n", 3, ["'100 85' contradicts line 1", "remove one"]),
        ("100 80\n200 4000\n300 82\n", 2, ["'200 4000'", "±1000 dB", "'linear'"]),
        ("Hz,Pa\n100,1\n200,0\n300,1\n", 3, ["'200,0'", "not above 0", "'dB'"]),
        ("Hz,Re,Im\n100,1,1\n200,0,0\n300,1,1\n", 3, ["value of 0"]),
        ("20,0,80,5\n30,0,81,5\n40,0,82,5\n", 1, ["commas both", "delimiter = 'comma'"]),
        ("Hz,ohm\n100,6\n200,7\n300,8\n", None, ["impedance, not of a level", "columns"]),
    ],
)
def test_what_is_no_level_table(text, line, said):
    with pytest.raises(CurveError) as caught:
        curve_of(text, "some.txt", "level")
    fault = caught.value.fault
    assert (fault.file, fault.line) == ("some.txt", line)
    assert str(caught.value).startswith("some.txt:")
    for part in said:
        assert part in fault.message
    assert isinstance(caught.value, RoundoverError)


def test_an_impedance_is_neither_negative_nor_a_sound_level():
    with pytest.raises(CurveError, match=r"not above 0.*'real and imaginary'"):
        curve_of("100 6 1\n200 -7 2\n300 8 3\n", "some.txt", "impedance")
    with pytest.raises(CurveError, match="speak of a level, not of an impedance"):
        curve_of("Hz SPL\n100 6\n200 7\n300 8\n", "some.txt", "impedance")


@pytest.mark.parametrize(
    ("form", "said"),
    [
        (CurveForm(columns=("frequency",)), "state frequency and either magnitude"),
        (CurveForm(columns=("frequency", "real")), "both real and imaginary"),
        (CurveForm(columns=("magnitude", "phase")), "state frequency"),
        (CurveForm(columns=("frequency", "magnitude", "magnitude")), "each once"),
        (CurveForm(columns=("frequency", "ignored", "ignored", "magnitude")), "has 3 columns, 4"),
        (CurveForm(delimiter="semicolon"), "delimiter = 'semicolon'"),
        (CurveForm(delimiter="comma", decimal="comma"), "decimal = 'comma'"),
    ],
)
def test_forms_that_do_not_fit(form, said):
    with pytest.raises(CurveError, match=said):
        curve_of(GOOD, "some.txt", "level", form)


def test_two_columns_are_no_real_and_imaginary_parts():
    form = CurveForm(magnitude="real and imaginary")
    for head in ("", "Hz dB\n"):
        with pytest.raises(CurveError, match="real and imaginary parts need two"):
            curve_of(head + "100 1\n200 2\n300 3\n", "some.txt", "level", form)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\1", "binary"),
        (bytes(range(256)) * 8, "binary"),
        (b"\x1f\x8b\x08" + bytes((i * 37 + 11) % 255 + 1 for i in range(4000)), "binary"),
        (b"100 80\n200 81\n\x00\x00\x00\x00300 82", "binary"),
        (b"\xff\xfe1\x000", "UTF-16"),
        (b"\xef\xbb\xbf", "is empty"),
        (b"\0\0\0\0", "is empty"),
        (b"", "is empty"),
    ],
)
def test_what_is_no_text(tmp_path, content, said):
    file = tmp_path / "strange.txt"
    file.write_bytes(content)
    with pytest.raises(CurveError, match=said) as caught:
        read_curve(file, "level")
    assert caught.value.fault.file == str(file)


def test_files_that_cannot_be_read(tmp_path, monkeypatch):
    with pytest.raises(CurveError, match="there is no such file"):
        read_curve(tmp_path / "missing.txt", "level")
    with pytest.raises(CurveError, match="is a folder"):
        read_curve(tmp_path, "level")
    with pytest.raises(CurveError, match=r"cannot be read|no such file"):
        read_curve("a\0b", "level")
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(CurveError, match="no regular file"):
        read_curve(tmp_path / "pipe", "level")
    large = tmp_path / "large.txt"
    with large.open("wb") as stream:
        stream.truncate(curve_text.MOST_BYTES + 1)
    with pytest.raises(CurveError, match="has 50 MB, at most 50 are read"):
        read_curve(large, "level")


def test_messages_stay_short_and_printable():
    long = "100 80\n200 81\n300 82\n" + "\x1bword" * 100_000
    with pytest.raises(CurveError) as caught:
        curve_of(long, "some.txt", "level")
    assert len(str(caught.value)) < 250
    assert str(caught.value).isprintable()


@pytest.mark.slow
@pytest.mark.parametrize(
    "text",
    [
        "9" * 200_000,
        "1," * 100_000,
        "1,111" + ",111" * 50_000 + "x 5",
        '"' * 100_000,
        ";" * 100_000,
        "f Hz dB " * 20_000 + "\n100 80\n",
        "(" * 50_000 + "\n100 80\n",
        " " * 100_000 + "#",
    ],
    ids=lambda text: text[:5].strip() or "blanks",
)
def test_hostile_lines_come_to_an_end(text):
    with pytest.raises(CurveError):
        curve_of(text + "\n" + text, "some.txt", "level")
