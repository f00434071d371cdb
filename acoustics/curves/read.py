"""Frequency curves from plain text tables, whatever program wrote them."""

from __future__ import annotations

import os

import numpy as np

from acoustics.curves.columns import Roles, roles_of, unit_of_frequency
from acoustics.curves.curve import (
    GUESS,
    Curve,
    CurveError,
    CurveForm,
    Quantity,
)
from acoustics.curves.rows import Rows, rows_of
from acoustics.curves.text import text_in

FEWEST_ROWS = 3
HIGHEST_LEVEL = 1000.0
"""dB either way; numbers beyond are no levels"""

LOUD = 20.0
"""Positive numbers with a median above this are taken as decibels, below as a linear ratio."""

KILO = (5.0, 50.0)
"""A table that begins below the first and ends below the second is taken to be in kHz."""


def read_curve(
    path: str | os.PathLike[str],
    quantity: Quantity,
    form: CurveForm = GUESS,
    assumed: CurveForm = GUESS,
) -> Curve:
    """Read a table of levels or impedances over frequency.

    Any text table of frequency, level or ohm and phase, or of real and imaginary part, will do:
    parted by tabs, semicolons, commas or blanks, with decimal points or commas, with heads or
    without, with comments. What the file does not say is guessed, and told in `guesses`;
    `form` overrides it.

    Args:
        path: the file.
        quantity: "level", which comes out as a linear ratio, or "impedance", in ohm.
        form: what is known of the table.
        assumed: units of magnitude and phase to guess where heads are silent, whatever the
            numbers look like.

    Raises:
        CurveError: the file is missing, no text, larger than 50 MB or no such table; with line.

    >>> read_curve("woofer.txt", "level", CurveForm(magnitude="dB"))  # doctest: +SKIP
    """
    return curve_of(text_in(path), str(path), quantity, form, assumed)


def curve_of(
    text: str,
    name: str,
    quantity: Quantity,
    form: CurveForm = GUESS,
    assumed: CurveForm = GUESS,
) -> Curve:
    """The curve in a text, `name` standing for the file; see `read_curve`."""
    rows = rows_of(text, name, form)
    roles = roles_of(rows, name, quantity, form)
    guesses = [*rows.guesses, *roles.guesses]
    if rows.numbers.shape[0] < FEWEST_ROWS:
        raise CurveError(
            f"has {len(rows.numbers)} row{'s' if len(rows.numbers) > 1 else ''} of numbers, a "
            f"curve needs at least {FEWEST_ROWS}",
            name,
        )
    _refuse_no_numbers(rows, roles, name)
    frequency = _frequency(rows, roles, name, form, guesses)
    values, has_phase = _values(rows, roles, name, quantity, form, assumed, guesses)
    frequency, values = _sorted(frequency, values, rows, name, guesses)
    used = {roles.frequency, roles.value, roles.second}
    unused = [str(i + 1) for i in range(roles.columns) if i not in used]
    if unused and form.columns is None:
        plural = "Columns" if len(unused) > 1 else "Column"
        guesses.append(f"{plural} {', '.join(unused)} left aside.")
    return Curve(frequency, values, has_phase, tuple(guesses), name)


def _refuse_no_numbers(rows: Rows, roles: Roles, name: str) -> None:
    for column in (roles.frequency, roles.value, roles.second):
        if column is None:
            continue
        wrong = ~np.isfinite(rows.numbers[:, column])
        if wrong.any():
            text, line = rows.at(int(np.argmax(wrong)))
            raise CurveError(
                f"{text} has something in column {column + 1} that is no finite number; "
                "remove the row",
                name,
                line,
            )


def _frequency(
    rows: Rows, roles: Roles, name: str, form: CurveForm, guesses: list[str]
) -> np.ndarray:
    """Hz, as the rows stand."""
    frequency: np.ndarray = rows.numbers[:, roles.frequency]
    wrong = frequency <= 0
    if wrong.any():
        text, line = rows.at(int(np.argmax(wrong)))
        raise CurveError(
            f"{text} has a frequency that is not above 0; remove the row, or say in the "
            "columns' heads which is the frequency",
            name,
            line,
        )
    unit = form.frequency_unit or unit_of_frequency(roles.words(roles.frequency))
    if unit is None:
        low, high = float(frequency.min()), float(frequency.max())
        unit = "kHz" if low < KILO[0] and high <= KILO[1] else "Hz"
        guesses.append(f"The frequencies, {low:g} to {high:g}, are taken to be in {unit}.")
    return frequency * 1000 if unit == "kHz" else frequency


def _values(
    rows: Rows,
    roles: Roles,
    name: str,
    quantity: Quantity,
    form: CurveForm,
    assumed: CurveForm,
    guesses: list[str],
) -> tuple[np.ndarray, bool]:
    """Complex values as the rows stand, and whether they have phase."""
    value = rows.numbers[:, roles.value]
    if roles.real_imaginary and roles.second is not None:
        answer: np.ndarray = value + 1j * rows.numbers[:, roles.second]
        _refuse(answer == 0, "a value of 0, which has neither level nor phase", "", rows, name)
        return answer, True
    magnitude = form.magnitude or _magnitude(value, roles, quantity, assumed, guesses)
    if magnitude == "dB":
        _refuse(
            abs(value) > HIGHEST_LEVEL,
            f"a level beyond ±{HIGHEST_LEVEL:g} dB",
            "or say in the column's head that it is 'linear'",
            rows,
            name,
        )
        size = 10 ** (value / 20)
    else:
        _refuse(
            value <= 0,
            "a magnitude that is not above 0",
            "or say in the columns' heads what they hold: 'dB', or 'real and imaginary'",
            rows,
            name,
        )
        size = value
    if roles.second is None:
        return size.astype(complex), False
    phase = rows.numbers[:, roles.second]
    unit = form.phase or _phase_unit(phase, roles, assumed, guesses)
    return size * np.exp(1j * (np.deg2rad(phase) if unit == "deg" else phase)), True


def _refuse(wrong: np.ndarray, what: str, other_way: str, rows: Rows, name: str) -> None:
    if wrong.any():
        text, line = rows.at(int(np.argmax(wrong)))
        ways = f"remove the row{', ' if other_way else ''}{other_way}"
        raise CurveError(f"{text} has {what}; {ways}", name, line)


def _magnitude(
    value: np.ndarray, roles: Roles, quantity: Quantity, assumed: CurveForm, guesses: list[str]
) -> str:
    """Whether a column is in dB or linear: by its head, else by its numbers."""
    words = roles.words(roles.value)
    if any(word.startswith("db") for word in words):
        return "dB"
    if words & {"ohm", "ohms", "ω", "pa", "linear", "lin"}:
        return "linear"
    if "spl" in words:  # without a unit of its own
        return "dB"
    low, high = float(value.min()), float(value.max())
    if quantity == "impedance" and assumed.magnitude is None:
        guesses.append(f"The impedances, {low:g} to {high:g}, are taken to be in ohm.")
        return "linear"
    decibels = low <= 0 or float(np.median(value)) > LOUD
    if assumed.magnitude is not None:
        decibels = assumed.magnitude == "dB"
    unit = "in dB" if decibels else "linear, not in dB"
    guesses.append(f"The levels, {low:g} to {high:g}, are taken to be {unit}.")
    return "dB" if decibels else "linear"


def _phase_unit(phase: np.ndarray, roles: Roles, assumed: CurveForm, guesses: list[str]) -> str:
    """Degrees or radians: by the head, else by the numbers."""
    words = roles.words(roles.second)
    if words & {"deg", "degs", "degree", "degrees", "°"}:
        return "deg"
    if words & {"rad", "rads", "radian", "radians"}:
        return "rad"
    largest = float(abs(phase).max())
    if largest == 0:
        return "deg"
    radians = largest <= np.pi * 1.001
    if assumed.phase is not None:
        radians = assumed.phase == "rad"
    unit = "radians" if radians else "degrees"
    guesses.append(f"The phases, up to {largest:g} either way, are taken to be in {unit}.")
    return "rad" if radians else "deg"


def _sorted(
    frequency: np.ndarray, values: np.ndarray, rows: Rows, name: str, guesses: list[str]
) -> tuple[np.ndarray, np.ndarray]:
    """Ascending and each frequency once. Raises CurveError where two rows contradict."""
    order = np.argsort(frequency, kind="stable")
    if np.any(np.diff(frequency) < 0):
        guesses.append("The rows do not stand in ascending order of frequency and were sorted.")
    frequency, values = frequency[order], values[order]
    again = np.concatenate([[False], np.diff(frequency) == 0])
    if not again.any():
        return frequency, values
    apart = again & np.concatenate([[False], ~np.isclose(values[1:], values[:-1], rtol=1e-9)])
    if apart.any():
        second = int(np.argmax(apart))
        text, line = rows.at(int(order[second]))
        _, before = rows.at(int(order[second - 1]))
        raise CurveError(
            f"{text} contradicts line {before}, which has the same frequency and another value; "
            "remove one of them",
            name,
            line,
        )
    count = int(again.sum())
    guesses.append(
        "One row that stands twice is taken once."
        if count == 1
        else f"{count} rows that stand twice are taken once."
    )
    if np.count_nonzero(~again) < FEWEST_ROWS:
        raise CurveError(
            f"has {np.count_nonzero(~again)} different frequencies, a curve needs at least "
            f"{FEWEST_ROWS}",
            name,
        )
    return frequency[~again], values[~again]
