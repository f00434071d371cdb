"""A filter's sections, and what happens to delays at a sampling rate, in words."""

from __future__ import annotations

from acoustics.case.design.model import AllPass, Biquad, Case, Fir, PassFilter, Section
from acoustics.case.design.section_model import whole_samples
from acoustics.case.text.units import hertz


def section_words(section: Section) -> str:
    """One section in a few words."""
    if isinstance(section, PassFilter):
        corners = " to ".join(
            hertz(corner)
            for corner in (section.low_corner, section.high_corner)
            if corner is not None
        )
        return f"{section.kind} {section.alignment} order {section.order} at {corners}"
    if isinstance(section, AllPass):
        q = "" if section.q is None else f" q {section.q:g}"
        return f"all-pass order {section.order}{q} at {hertz(section.frequency)}"
    if isinstance(section, Biquad):
        return "biquad by its coefficients"
    if isinstance(section, Fir):
        return f"impulse response of {len(section.taps)} taps"
    return f"{section.kind} {section.gain:+g} dB at {hertz(section.frequency)}"


def before_words(case: Case) -> str:
    """What stands before the amplifier of a passive crossover; empty if nothing does."""
    before = case.amplifier
    if before is None:
        return ""
    words = [section_words(section) for section in before.sections]
    if before.gain:
        words.insert(0, f"{before.gain:+g} dB")
    if before.delay:
        words.append(f"{before.delay * 1e3:g} ms late")
    if before.inverted:
        words.append("inverted")
    return ", ".join(words)


def rounded_delays(case: Case, microseconds: str = "us") -> str:
    """How far delays of electrical slopes are from whole samples, in words.

    Empty where there is no processor, or none is off by more than 0.05 µs. A delay of acoustic
    slopes is part of a computed filter.
    """
    if case.processor is None:
        return ""
    rate = case.processor.sampling_rate
    delays = [(each.driver, each.delay) for each in case.crossover if each.slopes == "electrical"]
    if case.amplifier is not None:
        delays.append(("amplifier", case.amplifier.delay))
    words = []
    for name, delay in delays:
        samples = whole_samples(delay, rate)
        off = 1e6 * (samples / rate - delay)
        if delay and abs(off) > 0.05:
            unit = "sample" if samples == 1 else "samples"
            words.append(f"{name} {samples} {unit}, {abs(off):.1f} {microseconds} {_side(off)}")
    return "; ".join(words)


def _side(off: float) -> str:
    return "too late" if off > 0 else "too early"
