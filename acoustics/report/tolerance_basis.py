"""What a study of tolerances rests on, and what it leaves out."""

from __future__ import annotations

from collections import Counter, defaultdict

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.studies.tolerance.answers import within_words
from acoustics.studies.wording import amount, listed

MOST_REASONS = 5
"""Reasons of builds that cannot be, of which more are only counted"""

SHAPES = {
    "normal": "95 % of the builds within it, most near the design",
    "uniform": "any value within it as likely as another",
}


def stated_spreads(found: xr.Dataset) -> list[str]:
    """Everything that strays, alike spreads together, and who says so."""
    if not found.sizes["spread"]:
        return ["Nothing: the case has nothing that usually strays; state [tolerance]."]
    groups = defaultdict[tuple[str, str, str], list[str]](list)
    for n in range(found.sizes["spread"]):
        one = found.isel(spread=n)
        kind, shape = str(one.spread_kind.values), str(one.spread_shape.values)
        groups[kind, within_words(found, n), shape].append(str(one.spread.values))
    lines = [
        f"{within} ({SHAPES[shape]}): {_what(kind, names)}."
        for (kind, within, shape), names in groups.items()
    ]
    usual = (
        "These are usual spreads, as the case states none: common practice, no source. State your "
        "own in [tolerance]."
        if found.attrs["usual"]
        else "The case states these in [tolerance]; what it leaves out does not stray."
    )
    return [*lines, usual]


def _what(kind: str, names: list[str]) -> str:
    return f"places of drivers: {listed(names)}" if kind == "position" else listed(names)


def reasons(found: xr.Dataset) -> list[str]:
    """Why builds cannot be, the most frequent reason first."""
    counted = Counter(str(why) for why in found.reason.values if why)
    lines = [f"{count}: {why}" for why, count in counted.most_common(MOST_REASONS)]
    more = len(counted) - len(lines)
    lines += [f"… and {more} more reasons; tolerance.nc has them all"] if more > 0 else []
    return [*lines, "Figures, bands and shares are those of the other builds."]


def rests_on(case: Case, found: xr.Dataset) -> list[str]:
    """What the figures rest on, one point each, the design's own note last."""
    attrs = found.attrs
    lines = [
        f"{attrs['builds']} builds, drawn with seed {attrs['seed']}: the same seed gives the same "
        "builds, more builds narrow the intervals."
    ]
    if attrs["pair"]:
        lines.append(f"Pair: {attrs['pair']}. How far the two differ is not asked.")
    lines += _expansion(found)
    lines.append(
        "Aims are judged without doubt: an aim that `roundover predict` calls too close to call is "
        "met or missed here. Of cabinets and ear heights the worst counts."
    )
    lines.append(
        "In every build the reference axis, the heights looked at and the lengths of ports stay "
        "the design's; so do volumes, unless a key strays that they follow from."
    )
    computed = [branch.driver for branch in case.crossover if branch.slopes == "acoustic"]
    if computed:
        lines.append(
            f"The filters of {listed(computed)} stay those computed for the design, as a processor "
            "holds them: they do not follow a build."
        )
    lines.append(
        "Parts in the variance come from a polynomial of second degree fitted to the builds; they "
        "are told where it explains 80 % or more of builds left out. They hold for these spreads: "
        "wider ones weigh more."
    )
    return [*lines, *([f"The design's own note: {case.note}"] if case.note else [])]


def _expansion(found: xr.Dataset) -> list[str]:
    """How the field of builds was come by, and how far off that was found."""
    count = found.attrs["deviation_builds"]
    if not count:
        return []
    builds = "1 build" if count == 1 else f"{count} builds"
    text = (
        "Fields of builds are expanded about the design, not solved each: levels of "
        f"{builds} that were solved exactly too differ by up to "
        f"{amount(found.attrs['deviation'], 'dB', finer=1)} anywhere within 20 dB of the loudest."
    )
    lines = [text]
    if found.attrs["deviation_note"]:
        _, _, why = str(found.attrs["deviation_note"]).partition(": ")
        lines.append(f"Why that is much: {why}.")
    return lines
