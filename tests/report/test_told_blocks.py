"""Plain texts taken apart again: nothing is lost, and a table comes back as it went in."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from acoustics.report.html.content import Points, Table, Verbatim
from acoustics.report.html.plain_parts import blocks_of_text, first_paragraph
from acoustics.report.plain_text import bullet, cells, columns, heading, paragraph

WORD = st.text("abcdefg0123456789.±−", min_size=1, max_size=6)
CELL = st.lists(WORD, min_size=1, max_size=3).map(" ".join)


@given(
    st.integers(2, 5).flatmap(
        lambda n: st.lists(st.lists(CELL, min_size=n, max_size=n), min_size=2, max_size=6)
    ),
    st.integers(1, 3),
)
def test_rows_of_a_table_come_back(rows, left):
    assert cells(columns(rows, left=left)) == rows


def test_empty_cells_come_back_where_their_column_is_not_empty():
    rows = [["", "level", "what"], ["1 kHz", "", "amplifier"], ["2 kHz", "3", ""]]
    assert cells(columns(rows)) == rows


def test_parts_of_a_text_come_back_in_order():
    long = "word " * 40
    text = "\n\n".join(
        (
            "Title\n=====",
            paragraph(long),
            f"{heading('First')}\n{bullet(long)}\n{bullet('short')}",
            columns([["a", "b"], ["cc", "dd"]]),
            "To write:\n\n    [table]\n    key = 1",
            f"{heading('Second')}\n{bullet('end')}",
        )
    )
    assert first_paragraph(text) == long.strip()
    blocks = blocks_of_text(text + "\n")
    assert [type(block) for block in blocks] == [Points, Points, Table, Points, Verbatim, Points]
    assert [block.title for block in blocks] == ["", "First", "", "", "", "Second"]
    assert blocks[1].lines == (long.strip(), "short")
    assert blocks[2].rows == (("a", "b"), ("cc", "dd"))
    assert blocks[4].text == "[table]\nkey = 1"
    assert blocks_of_text(text, leave_out=("First", "")) == [Points(("end",), "Second")]
