"""A digital processor in a case file: its sections, its files, and what is wrong with them."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD, PARTS, line_with, replaced, unwrapped
from click.testing import CliRunner

from acoustics.case import read_case
from acoustics.case.design.model import AllPass, Biquad, Fir, Processor
from acoustics.case.varied import varied_case
from acoustics.cli.main import main
from acoustics.conventions import CaseError, Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

PEAK = '    { type = "peak", frequency = "3 kHz", gain = -2.0, q = 2 },\n'
RATE = '\n[processor]\nsampling_rate = "48 kHz"\n'
SWEEP = '\n[[sweep.over]]\nkey = "cabinet.width"\nvalues = ["220 mm", "230 mm"]\n'


def with_section(section: str, more: str = RATE) -> str:
    """The good case with one section in place of the tweeter's peak."""
    return replaced(GOOD, PEAK, f"    {{ {section} }},\n") + more


def read(tmp_path: Path, text: str, taps: str | bytes | None = None):
    if taps is not None:
        content = taps.encode() if isinstance(taps, str) else taps
        (tmp_path / "fir.txt").write_bytes(content)
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    return read_case(tmp_path)


def last_section(case):
    (branch,) = case.crossover
    return branch.sections[-1]


@pytest.mark.parametrize(
    ("text", "section"),
    [
        ('type = "all-pass", order = 1, frequency = "500 Hz"', AllPass(1, 500.0)),
        ('type = "all-pass", order = 2, frequency = "1 kHz", q = 0.7', AllPass(2, 1e3, 0.7)),
        (
            'type = "biquad", b = [0.2, 0.4, 0.2], a = [1, -0.5, 0.25]',
            Biquad((0.2, 0.4, 0.2), (1.0, -0.5, 0.25)),
        ),
        ('type = "fir", taps = [0.25, 1, -0.25]', Fir((0.25, 1.0, -0.25))),
        ('type = "fir", taps_file = "fir.txt"', Fir((0.5, -1e-3, 2.0))),
    ],
)
def test_sections(tmp_path: Path, text: str, section: object) -> None:
    case = read(tmp_path, with_section(text), "# made up\n0.5\n\n  -1e-3\r\n2\n")
    assert last_section(case) == section
    assert case.processor == Processor(48_000.0)


def test_without_the_table_there_is_no_processor(tmp_path: Path) -> None:
    case = read(tmp_path, with_section('type = "all-pass", order = 1, frequency = "1 kHz"', ""))
    assert case.processor is None
    assert case.sampling_rate is None


def test_the_digest_rests_on_rate_and_taps(tmp_path: Path) -> None:
    text = with_section('type = "fir", taps_file = "fir.txt"')
    digests = [
        read(tmp_path, text, "1\n0.5\n").digest,
        read(tmp_path, text, "1\n0.25\n").digest,
        read(tmp_path, text.replace("48 kHz", "96 kHz"), "1\n0.5\n").digest,
    ]
    assert len(set(digests)) == 3
    # How the numbers are written does not count.
    assert read(tmp_path, text, "1.0\n# half\n5e-1\n").digest == digests[0]


def test_a_sweep_carries_the_files_of_taps(tmp_path: Path) -> None:
    case = read(
        tmp_path, with_section('type = "fir", taps_file = "fir.txt"', RATE + SWEEP), "1\n2\n"
    )
    (tmp_path / "fir.txt").unlink()
    wider = varied_case(pickle.loads(pickle.dumps(case)), {"cabinet.width": "230 mm"})
    assert last_section(wider) == Fir((1.0, 2.0))
    other = varied_case(case, {"processor.sampling_rate": "96 kHz"})
    assert other.sampling_rate == 96_000.0


@pytest.mark.parametrize(
    ("section", "key", "told"),
    [
        ('type = "all-pass", order = 2, frequency = "1 kHz"', "q", "order 2 has a q; add it"),
        ('type = "all-pass", order = 1, frequency = "1 kHz", q = 1', "q", "order 1 has no q"),
        ('type = "all-pass", order = 3, frequency = "1 kHz"', "order", "from 1 to 2"),
        ('type = "biquad", b = [1, 0, 0], a = [1, 0, 1.0]', "a", "would not settle"),
        ('type = "biquad", b = [1, 0, 0], a = [1, -2.1, 0.5]', "a", "turn their signs"),
        ('type = "biquad", b = [1, 0, 0], a = [2, 0, 0]', "a", "a0 is 2"),
        ('type = "biquad", b = [0, 0, 0], a = [1, 0, 0]', "b", "nothing passes"),
        ('type = "biquad", b = [1, 0], a = [1, 0, 0]', "b", "wrong length, not 3"),
        ('type = "biquad", b = [1, 0, "2"], a = [1, 0, 0]', "b.3", "is text"),
        ('type = "fir", taps = []', "taps", "wrong length, not 1 to 32768"),
        ('type = "fir", taps = [0, 0]', "taps", "nothing passes"),
        ('type = "fir", taps = [1, true]', "taps.2", "is not a number"),
        ('type = "fir"', "taps_file", "a fir has taps; add them"),
        (
            'type = "low-pass", alignment = "bessel", order = 2, frequency = "24 kHz"',
            "frequency",
            "24000 Hz is not below half the sampling rate",
        ),
        ('type = "peak", gain = 2, q = 1, frequency = "30 kHz"', "frequency", "half the sampling"),
        ('type = "allpass", order = 1, frequency = "1 kHz"', "type", "no type of section"),
    ],
)
def test_what_is_wrong_with_a_section(
    faults_of: FaultsOf, section: str, key: str, told: str
) -> None:
    text = with_section(section)
    (fault,) = faults_of(text)
    assert fault.key == f"crossover.tweeter.sections.3.{key}"
    assert told in fault.message.replace("24 kHz", "24000 Hz", 1)
    assert fault.line == next(n for n, line in enumerate(text.splitlines(), 1) if section in line)


@pytest.mark.parametrize(
    ("taps", "line", "told"),
    [
        (None, None, "there is no such file"),
        ("", None, "there is no number in it"),
        ("0\n0\n", None, "all are 0"),
        ("1\n\n0,5\n", 3, "write 0.5 with a point"),
        ("1\nhalf\n", 2, "'half' is not a number"),
        ("1 2\n", 1, "one number a line"),
        ("nan\n", 1, "is no tap"),
        ("1\n" * 32_769, None, "at most 32768 fit"),
        (b"\x00\x01", None, "is a binary file"),
    ],
)
def test_what_is_wrong_with_a_file_of_taps(tmp_path: Path, taps, line, told) -> None:
    text = with_section('type = "fir", taps_file = "fir.txt"')
    with pytest.raises(CaseError) as caught:
        read(tmp_path, text, taps)
    (fault,) = caught.value.faults
    assert told in fault.message
    if fault.file.endswith("fir.txt"):
        assert fault.line == line
    else:
        assert "fir.txt" in fault.message
        assert fault.key == "crossover.tweeter.sections.3.taps_file"


@pytest.mark.parametrize(
    ("text", "key", "told"),
    [
        (GOOD + RATE.replace("48", "32"), "processor.sampling_rate", "goes up to 20 kHz"),
        (GOOD + RATE.replace("48", "4"), "processor.sampling_rate", "from 8 kHz to 768 kHz"),
        (GOOD + RATE + "taps = 3\n", "processor.taps", "from 15 to 16383"),
        (GOOD + "\n[processor]\n", "processor.sampling_rate", "the key is missing"),
        (
            with_section('type = "biquad", b = [1, 0, 0], a = [1, 0, 0]', ""),
            "crossover.tweeter.sections.3.type",
            "add [processor]",
        ),
        (
            with_section('type = "fir", taps = [1]').replace(
                "gain = -5.0", 'slopes = "acoustic"\nlevel = 80'
            ),
            "crossover.tweeter.sections.3.type",
            'slopes = "electrical"',
        ),
        (
            GOOD + "\n[amplifier]\ngain = -3\n",
            "amplifier.gain",
            "there is none; write it into the branches",
        ),
        (
            GOOD + '\n[amplifier]\nsections = [{ type = "notch" }]\n',
            "amplifier.sections.1.type",
            "no type of section",
        ),
    ],
)
def test_what_does_not_go_together(faults_of: FaultsOf, text: str, key: str, told: str) -> None:
    faults = {fault.key: fault for fault in faults_of(text)}
    assert told in faults[key].message
    assert faults[key].line is not None


def test_frequencies_too_far_apart_for_taps(tmp_path: Path) -> None:
    acoustic = GOOD.replace("gain = -5.0", 'slopes = "acoustic"\nlevel = 80') + RATE
    assert read(tmp_path, acoustic + "taps = 255\n").warnings == ()
    coarse = acoustic.replace("per_octave = 24", "per_octave = 6")
    (warning,) = read(tmp_path, coarse + "taps = 255\n").warnings
    assert "frequencies.per_octave" in warning
    assert "take 12 per octave or more" in warning
    assert read(tmp_path, coarse).warnings == ()


def test_taps_for_no_filter_are_told(tmp_path: Path) -> None:
    (warning,) = read(tmp_path, GOOD + RATE + "taps = 511\n").warnings
    assert "processor.taps" in warning
    assert "no branch has acoustic slopes" in warning


def test_taps_twice(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="keep one of the two"):
        read(tmp_path, with_section('type = "fir", taps = [1], taps_file = "fir.txt"'), "1\n")


MIXED = """
[amplifier]
gain = -2.0
delay = "0.1 ms"
polarity = "inverted"
sections = [{ type = "high-pass", alignment = "butterworth", order = 2, frequency = "80 Hz" }]
"""


def passive_case() -> str:
    before, after = GOOD.split("[crossover.tweeter]")
    _, after = after.split("[reference]")
    text = before + PARTS + "\n[reference]" + after
    return text.replace("sensitivity = 90.0", 'sensitivity = 90.0\nrated_impedance = "8 ohm"')


def test_before_the_amplifier(tmp_path: Path, faults_of: FaultsOf) -> None:
    given = read(tmp_path, passive_case() + MIXED).amplifier
    assert given is not None
    assert (given.gain, given.delay, given.inverted) == (-2.0, 1e-4, True)
    assert given.sections[0].low_corner == 80.0
    broken = passive_case() + MIXED.replace('"80 Hz"', '"80"')
    (fault,) = faults_of(broken)
    assert fault.key == "amplifier.sections.1.frequency"
    assert fault.line == line_with(broken, "sections = [{")
    (fault,) = faults_of(passive_case() + MIXED.replace("80 Hz", "25 kHz") + RATE)
    assert fault.key == "amplifier.sections.1.frequency"


def checked(folder: Path, text: str) -> str:
    """What `roundover check` says of a case, warnings left out, its broken lines joined."""
    (folder / "case.toml").write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert result.exit_code == 0, result.output
    kept = [line for line in result.output.splitlines() if not line.startswith("warning")]
    return "\n".join(unwrapped("\n".join(kept)))


def test_check_says_rate_and_rounding(tmp_path: Path) -> None:
    said = checked(tmp_path, passive_case() + MIXED + RATE)
    # 0.1 ms are 4.8 samples; 5 are 104.17 µs.
    assert (
        "processor  48 kHz, delays in whole samples; rounded: amplifier 5 samples, 4.2 us" in said
    )
    assert "before it: -2 dB, high-pass butterworth order 2 at 80 Hz, 0.1 ms late, inverted" in said
    said = checked(
        tmp_path, with_section('type = "all-pass", order = 2, frequency = "1 kHz", q = 0.7')
    )
    assert "tweeter 2 samples, 8.3 us too early" in said
    assert "all-pass order 2 q 0.7 at 1 kHz" in said
    acoustic = GOOD.replace("gain = -5.0", 'slopes = "acoustic"\nlevel = 80')
    said = checked(tmp_path, acoustic + RATE + "taps = 1023\n")
    assert "computed filters in 1023 taps, which resolve 46.9 Hz" in said
    assert "rounded" not in said
    assert "processor" not in checked(tmp_path, GOOD)
