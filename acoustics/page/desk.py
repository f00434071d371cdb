"""A design that is ready to be changed and heard."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import Any
from weakref import finalize

from acoustics.page.bounds import REMEMBERED
from acoustics.page.design import design_message
from acoustics.page.reading import Reading
from acoustics.page.studio import LiveEngine, Studio
from acoustics.studies.live.curves import DraftCurves
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.drafts import draft_of


class Desk:
    """One reading of the file with all that is needed to hear drafts of it.

    Tabs that read the same share it. `share` is how far its first fields are prepared.
    """

    def __init__(self, reading: Reading, studio: Studio) -> None:
        self.reading = reading
        self.case = reading.case
        self.draft = draft_of(reading.case)
        self.design: dict[str, Any] = design_message(
            reading, self.draft, studio.limits_of(reading.case)
        )
        self.engine: LiveEngine = studio.engine(reading.case)
        finalize(self, self.engine.close)
        self.share = 0.0
        self._exact = OrderedDict[Draft, DraftCurves]()
        self._lock = Lock()

    def exact(self, draft: Draft) -> DraftCurves | None:
        """The exact answer for a draft, if it was found before."""
        with self._lock:
            return self._exact.get(draft)

    def remember(self, draft: Draft, curves: DraftCurves) -> None:
        """Keep an exact answer; the oldest goes."""
        with self._lock:
            self._exact[draft] = curves
            while len(self._exact) > REMEMBERED:
                self._exact.popitem(last=False)
