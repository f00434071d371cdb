"""Loudspeakers whose faults are known, diagnosed: how often rightly, how sure, how long.

python benchmarks/verification.py                     300 builds
python benchmarks/verification.py --count 40 --check  a few, refused where goals are missed
python benchmarks/verification.py --drivers-stray     drivers too differ from one to the next
python benchmarks/verification.py --smoke             five builds: checks that it runs
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from common import print_table

import acoustics as ac

ROOT = Path(__file__).parents[1]
# The builds are those that tests diagnose too.
sys.path.append(str(ROOT / "tests"))

from support.built_loudspeakers import Workshop  # noqa: E402
from support.diagnosed_builds import diagnosed  # noqa: E402
from support.diagnosis_scores import (  # noqa: E402
    CALIBRATION,
    FIRST,
    FIRST_THREE,
    FLAGGED,
    SECONDS,
    SIZED,
    UNKNOWN,
    Scores,
    missed,
    scores_of,
)
from support.judged_builds import Judged, drawn_builds  # noqa: E402

FEW = 100
"""builds below which goals are missed only where bad luck cannot explain it"""


def main() -> int:
    asked = _asked()
    case = ac.read_case(ROOT / "cases" / asked.case)
    workshop = Workshop(case)
    count = 5 if asked.smoke else asked.count
    drawn = drawn_builds(workshop, count, asked.seed, asked.drivers_stray)
    builds = list(diagnosed(workshop, drawn))
    scores = scores_of(builds)
    print(f"{count} builds of {asked.case}, seed {asked.seed}")
    _print(scores)
    wrong = [one for one in builds if not one.right]
    if wrong:
        print("\nNot right:\n")
    for one in wrong:
        print(f"- {told(one)}")
    found = missed(scores, few=count < FEW)
    for goal in found:
        print(f"missed: {goal}")
    return 1 if asked.check and found else 0


def told(one: Judged) -> str:
    """A build that was not diagnosed rightly, with what was said of it."""
    causes = "; ".join(
        f"{probability:.2f} " + " = ".join(" + ".join(member.names) for member in members[:3])
        for members, probability in one.causes[:3]
    )
    how = [
        word
        for word, there in (
            ("no phase", not one.plan.with_phase),
            ("each alone", one.plan.each_alone),
            ("off axis", one.plan.off_axis),
        )
        if there
    ]
    return (
        f"{one.plan.seed}: {one.truth.words} ({', '.join(how) or 'axis'}): {one.verdict}; "
        f"healthy {one.healthy:.2f}, unknown {one.unknown:.2f}, fits {one.chance:.2g}; {causes}"
    )


def _print(scores: Scores) -> None:
    row = print_table("what", "reached", "goal")
    for name, (part, whole), goal in (
        ("right class first", scores.first, f"≥ {FIRST:.0%}"),
        ("right class in the first three", scores.first_three, f"≥ {FIRST_THREE:.0%}"),
        ("size within 10 % of it", scores.sized, f"≥ {SIZED:.0%}"),
        ("size within 10 % of the change", scores.changed, ""),
        ("size within its stated 95 %", scores.covered, ""),
        ("sound builds flagged", scores.flagged, f"≤ {FLAGGED:.0%}"),
        ("sound builds left open", scores.undecided, ""),
        ("unlisted faults called unknown", scores.unknown, f"≥ {UNKNOWN:.0%}"),
    ):
        share = f"{part / whole:.1%}" if whole else "none"
        row(name, f"{share} ({part} of {whole})", goal)
    row("causes named together, mean of the right classes", f"{scores.members:.2f}", "")
    row("expected calibration error", f"{scores.calibration:.3f}", f"≤ {CALIBRATION}")
    median, most = scores.seconds
    told_seconds = f"{median:.2f} s, {most:.2f} s"
    row("core time of a diagnosis, median, 95th percentile", told_seconds, f"≤ {SECONDS} s")


def _asked() -> Namespace:
    parser = ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--count", type=int, default=300, help="builds")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--case", default="compact-passive", help="folder of the design in cases")
    parser.add_argument("--drivers-stray", action="store_true", help="the harder set")
    parser.add_argument("--check", action="store_true", help="exit 1 if a goal is missed")
    parser.add_argument("--smoke", action="store_true", help="five builds only")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
