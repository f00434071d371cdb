"""Diagnoses of builds whose truth is known."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence

from acoustics.studies.verification.bench.bench import bench_of
from acoustics.studies.verification.diagnosis.diagnosis import diagnose
from acoustics.studies.verification.faults.all_faults import faults_of
from acoustics.studies.verification.strays.strays import strays_of
from support.build_plans import Plan
from support.built_loudspeakers import Remembering, Workshop
from support.judged_builds import Judged, judged
from support.planted_faults import Truth


def diagnosed(workshop: Workshop, builds: Sequence[tuple[Plan, Truth]]) -> Iterator[Judged]:
    """Each build measured, diagnosed and judged, in order.

    The bench's fields are solved once for all builds that are measured at the same places; a
    diagnosis is timed from readings to verdict without that, in core seconds: other work on the
    machine does not count, and a second core would make it no longer.
    """
    design, known = workshop.design, Remembering()
    for (plan, truth), readings in zip(
        builds, workshop.builds([plan for plan, _ in builds]), strict=True
    ):
        bench_of(design, readings, solve=known)
        start = time.process_time()
        bench = bench_of(design, readings, solve=known)
        faults = faults_of(bench.design, readings)
        diagnosis = diagnose(bench, faults, strays_of(bench.design, readings))
        yield judged(diagnosis, plan, truth, time.process_time() - start)
