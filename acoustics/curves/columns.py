"""What the columns of a table are: stated, by their heads, or guessed from their numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from acoustics.curves.curve import Column, CurveError, CurveForm, FrequencyUnit, Quantity
from acoustics.curves.rows import COMMENT_MARKS, Rows

WORDS: dict[str, frozenset[str]] = {
    kind: frozenset(words.split())
    for kind, words in {
        "real": "re real zre zreal",
        "imaginary": "im imag imaginary zim zimag",
        "phase": "phase zphase phi φ angle arg argument deg degs degree degrees ° rad rads radian "
        "radians",
        "frequency": "f freq freqs frequency frequencies frequenz fréquence hz khz hertz",
        "impedance": "ohm ohms ω impedance impedanz impédance z zmag",
        "level": "spl db dbspl dbfs dbv dbr level pegel niveau pressure pa",
        "magnitude": "mag magnitude amplitude ampl amp gain abs modulus response value betrag h",
    }.items()
}
"""Words in heads, the most telling kind first: "Z phase" is a phase."""

PARTS = ("real", "imaginary")
SIZES = ("impedance", "level", "magnitude")
UNIT_WORDS = WORDS["phase"] | {"hz", "khz", "ohm", "ohms", "ω", "pa"}
RELATIVE = "re"
"""Beside decibels no real part but what they are relative to: "dB re 20 µPa"."""

TOKEN = re.compile(r"[^\W\d_]+|°")
BRACKETED = re.compile(r"\([^)]*\)|\[[^\]]*\]")
LONE_NUMBER = re.compile(r"(?<![^\s,;:])[+-]?\d+(?:[.,]\d+)?(?![^\s,;:])")


@dataclass(frozen=True)
class Head:
    """Kind of a column ("" if not known) and the words of its head."""

    kind: str = ""
    words: frozenset[str] = frozenset()


@dataclass
class Roles:
    """Which column, counted from 0, is what; and what is known of its unit."""

    frequency: int
    value: int
    second: int | None
    columns: int
    real_imaginary: bool = False
    heads: Sequence[Head] = ()
    guesses: list[str] = field(default_factory=list)

    def words(self, column: int | None) -> frozenset[str]:
        """Words of a column's head."""
        headed = column is not None and column < len(self.heads)
        return self.heads[column].words if headed and column is not None else frozenset()


def heads_of(rows: Rows) -> tuple[Head, ...]:
    """Heads of the columns from the last lines before the table; empty if there are none."""
    columns = rows.numbers.shape[1]
    found: tuple[Head, ...] = ()
    for line in reversed([line for line in rows.preamble if line.strip()]):
        heads = _line_heads(line, rows, columns)
        if not heads and found:
            break
        if found and heads:  # names above a row of units
            pairs = zip(heads, found, strict=False)
            found = tuple(
                Head(above.kind or below.kind, above.words | below.words) for above, below in pairs
            )
            break
        found = heads
    return found


def _line_heads(line: str, rows: Rows, columns: int) -> tuple[Head, ...]:
    """Heads that one line gives; none if it does not speak of frequency and something else."""
    line = line.strip()
    while line.startswith(COMMENT_MARKS):
        line = line.lstrip("*#;%/!'\"").strip()
    cells = rows.writing.cells(line.replace('"', ""))
    heads = tuple(_head(cell) for cell in cells)
    if rows.writing.delimiter == "space":
        apart = len(cells) == columns and _one_each(cells, heads)
    else:
        apart = columns <= len(cells)
    if not apart:
        heads = _collapsed(line)
        if len(heads) > columns or LONE_NUMBER.search(BRACKETED.sub("", line)):
            return ()  # a sentence rather than heads
    kinds = {head.kind for head in heads}
    return heads if "frequency" in kinds and len(kinds - {""}) > 1 else ()


def _head(cell: str) -> Head:
    words = frozenset(TOKEN.findall(cell.lower()))
    if any(word.startswith("db") for word in words):
        words -= {RELATIVE}
    return Head(next((kind for kind, known in WORDS.items() if words & known), ""), words)


def _one_each(cells: Sequence[str], heads: Sequence[Head]) -> bool:
    """Whether cells parted by blanks are one head each, and not a name and its unit apart."""
    bracketed = {cell[0] in "([" for cell in cells}
    return len(bracketed) == 1 and [head.kind for head in heads].count("frequency") == 1


def _collapsed(line: str) -> tuple[Head, ...]:
    """Heads of several words each: words of one kind that follow each other are one head."""
    heads: list[Head] = []
    for word in TOKEN.findall(line.lower()):
        if word == RELATIVE and heads and any(w.startswith("db") for w in heads[-1].words):
            continue
        head = _head(word)
        last = heads[-1].kind if heads else ""
        unit = word in UNIT_WORDS or word.startswith("db")
        same = head.kind == last or (
            last in (*PARTS, *SIZES)
            and head.kind in SIZES
            and (unit or last in PARTS or head.kind == "magnitude")
        )
        if not head.kind or (same and heads):
            if heads:
                heads[-1] = Head(last, heads[-1].words | head.words)
        else:
            heads.append(head)
    return tuple(heads)


def roles_of(rows: Rows, name: str, quantity: Quantity, form: CurveForm) -> Roles:
    """Which column is frequency, which are the values. Raises CurveError."""
    columns = rows.numbers.shape[1]
    if form.columns is not None:
        return _stated(form.columns, columns, name, form)
    heads = heads_of(rows)
    kinds = [*(head.kind for head in heads), *[""] * columns][:columns]
    if "frequency" in kinds:
        return _headed(kinds, heads, columns, name, quantity, form)
    return _guessed(rows, columns, name, form)


def _stated(stated: tuple[Column, ...], columns: int, name: str, form: CurveForm) -> Roles:
    places = {what: i for i, what in enumerate(stated) if what != "ignored"}
    twice = [what for what in places if stated.count(what) > 1]
    pair = {"real", "imaginary"} <= places.keys()
    if twice or "frequency" not in places or pair == ("magnitude" in places):
        raise CurveError(
            f"the stated columns are {', '.join(stated)}; state frequency and either magnitude "
            "or both real and imaginary, each once",
            name,
        )
    if max(places.values()) >= columns:
        raise CurveError(
            f"has {columns} columns, {max(places.values()) + 1} are stated "
            f"({', '.join(stated)}); state those that are there",
            name,
        )
    if pair:
        return Roles(places["frequency"], places["real"], places["imaginary"], columns, True)
    phase = None if form.phase == "none" else places.get("phase")
    return Roles(places["frequency"], places["magnitude"], phase, columns)


def _headed(
    kinds: Sequence[str],
    heads: Sequence[Head],
    columns: int,
    name: str,
    quantity: Quantity,
    form: CurveForm,
) -> Roles:
    frequency = kinds.index("frequency")
    places = {kind: kinds.index(kind) for kind in dict.fromkeys(kinds)}
    pair = {"real", "imaginary"} <= places.keys()
    value = next((places[kind] for kind in (quantity, "magnitude") if kind in places), None)
    if form.magnitude == "real and imaginary" or (pair and value is None and not form.magnitude):
        if not pair:
            free = [i for i in range(columns) if i != frequency]
            places = {"real": free[0], "imaginary": free[1 if len(free) > 1 else 0]}
            if len(free) < 2:
                raise _one_value(name)
        return Roles(frequency, places["real"], places["imaginary"], columns, True, heads)
    guesses = []
    if value is None:
        other = "impedance" if quantity == "level" else "level"
        value = places.get(other, places.get(""))
        # "dB" alone may head an impedance in dB re 1 ohm.
        if value is None or (other in places and heads[value].words != {"db"}):
            speaks = f"speak of {_a(other)}, not of" if other in places else "name no column of"
            raise CurveError(
                f"its heads {speaks} {_a(quantity)}; give another file, or state the columns "
                "(frequency, magnitude, phase)",
                name,
            )
        if other not in places:
            guesses.append(f"Column {value + 1} is taken as the {quantity}: its head does not say.")
    phase = None if form.phase == "none" else places.get("phase")
    return Roles(frequency, value, phase, columns, False, heads, guesses)


def _guessed(rows: Rows, columns: int, name: str, form: CurveForm) -> Roles:
    """Frequency first, then the value, then the phase; a column that counts the rows is passed."""
    numbers = rows.numbers
    if (
        form.delimiter is None
        and rows.writing.delimiter == "comma"
        and columns > 3
        and columns % 2 == 0
        and np.all(numbers == np.round(numbers))
    ):
        raise CurveError(
            "seems to have commas both between its columns and for decimals; save it with another "
            "delimiter, or state delimiter = 'comma' if all its numbers are whole",
            name,
            int(rows.lines[0]),
        )
    first = 0
    if columns > 2:
        counts = np.all(np.diff(numbers[:, 0]) == 1) and numbers[0, 0] in (0, 1)
        rising = np.all(np.diff(numbers[:, 1]) > 0) and numbers[0, 1] > 0
        first = int(counts and rising and numbers[-1, 1] > 10 * numbers[0, 1])
    pair = form.magnitude == "real and imaginary"
    if pair and first + 2 >= columns:
        raise _one_value(name)
    second = first + 2 if first + 2 < columns and (pair or form.phase != "none") else None
    rest = "" if second is None else f", column {second + 1} as {'imaginary' if pair else 'phase'}"
    what = "real" if pair else "magnitude"
    guess = (
        f"The columns have no heads: column {first + 1} is taken as frequency, column "
        f"{first + 2} as {what}{rest}."
    )
    return Roles(first, first + 1, second, columns, pair, (), [guess])


def _a(quantity: str) -> str:
    return "an impedance" if quantity == "impedance" else "a level"


def _one_value(name: str) -> CurveError:
    return CurveError(
        "has one column beside the frequency, real and imaginary parts need two; state another "
        "magnitude",
        name,
    )


def unit_of_frequency(words: frozenset[str]) -> FrequencyUnit | None:
    """The unit that a head states."""
    if "khz" in words:
        return "kHz"
    return "Hz" if words & {"hz", "hertz"} else None
