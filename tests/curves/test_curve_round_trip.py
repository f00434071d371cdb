"""A written table reads back the same, however it is written."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.curves import CurveForm, curve_of

SEED = 20
DELIMITERS = {"tab": "\t", "semicolon": ";", "comma": ",", "space": "  ", "bar": "|"}
HEADS = {
    "frequency": ("Hz", "Freq({})", "Frequency [{}]", "f/{}"),
    "level": ("{}", "SPL({})", "Level [{}]", "magnitude/{}"),
    "impedance": ("{}", "Z({})", "Impedance [{}]", "|Z|/{}"),
    "phase": ("{}", "Phase({})", "phase [{}]", "arg/{}"),
}
COMMENTS = ("", "* made up\n", "# made up, for 1 m and 2.83 V\n\n", "; made up\n", "Made up\n")


@st.composite
def written(draw):
    quantity = draw(st.sampled_from(["level", "impedance"]))
    delimiter = draw(st.sampled_from(list(DELIMITERS)))
    decimal = "point" if delimiter == "comma" else draw(st.sampled_from(["point", "comma"]))
    unit = draw(st.sampled_from(["Hz", "kHz"]))
    magnitude = draw(st.sampled_from(["dB", "linear", "real and imaginary"]))
    phase = draw(st.sampled_from(["deg", "rad", None]))
    count = draw(st.integers(3, 40))
    rng = np.random.default_rng(draw(st.integers(0, SEED)))
    frequency = np.geomspace(11.0, 21000.0, count)
    size = 10 ** (rng.uniform(-20, 120, count) / 20)
    angle = rng.uniform(-np.pi, np.pi, count)
    if magnitude == "real and imaginary":
        values = size * np.exp(1j * angle)
        columns = [frequency, values.real, values.imag]
    else:
        values = size * np.exp(1j * angle) if phase else size
        columns = [frequency, 20 * np.log10(size) if magnitude == "dB" else size]
        if phase:
            columns.append(np.degrees(angle) if phase == "deg" else angle)
    if unit == "kHz":
        columns[0] = frequency / 1000
    head = draw(st.sampled_from([0, 1, 2, 3, None]))
    form = CurveForm(frequency_unit=unit, magnitude=magnitude, phase=phase)
    lines = []
    if head is not None:
        form = CurveForm()
        units = {"frequency": unit, "phase": phase}
        units[quantity] = "dB" if magnitude == "dB" else {"level": "Pa"}.get(quantity, "ohm")
        names = ["frequency", quantity, "phase"][: len(columns)]
        titles = [HEADS[name][head].format(units[name]) for name in names]
        if delimiter == "bar":  # a title cannot hold what parts the columns
            titles = [title.replace("|", "") for title in titles]
        titles[0] = unit if head == 0 else titles[0]
        if magnitude == "real and imaginary":
            titles[1:] = ["Re", "Im"]
        lines.append(draw(st.sampled_from(["", "# ", "* "])) + DELIMITERS[delimiter].join(titles))
    layout = draw(st.sampled_from(["{!r}", "{:.12f}", "{:.15e}"]))
    for row in zip(*columns, strict=True):
        cells = [layout.format(float(value)) for value in row]
        if decimal == "comma":
            cells = [cell.replace(".", ",") for cell in cells]
        lines.append(DELIMITERS[delimiter].join(cells))
    if draw(st.booleans()):
        form = CurveForm(
            frequency_unit=unit,
            magnitude=magnitude,
            phase=phase,
            delimiter=delimiter,
            decimal=decimal,
        )
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    text = (draw(st.sampled_from(COMMENTS)) + "\n".join(lines) + "\n").replace("\n", end)
    return text, quantity, form, frequency, values


@settings(max_examples=300, deadline=None, derandomize=True)
@given(written())
def test_a_written_table_reads_back(table):
    text, quantity, form, frequency, values = table
    curve = curve_of(text, "table", quantity, form)
    np.testing.assert_allclose(curve.frequency, frequency, rtol=1e-9)
    np.testing.assert_allclose(curve.values, values, rtol=1e-9)
    assert curve.has_phase == np.iscomplexobj(values)
    if form.delimiter is not None:
        assert not [guess for guess in curve.guesses if "no heads" not in guess]


def test_a_long_table_reads_back():
    frequency = np.linspace(1.0, 24000.0, 48000)
    levels = 80 + 10 * np.sin(frequency / 3000)
    pairs = np.column_stack([frequency, levels]).tolist()
    text = "\n".join(f"{f!r} {level!r}" for f, level in pairs)
    curve = curve_of(text, "table", "level")
    np.testing.assert_array_equal(curve.frequency, frequency)
    np.testing.assert_allclose(20 * np.log10(abs(curve.values)), levels, rtol=1e-12)
