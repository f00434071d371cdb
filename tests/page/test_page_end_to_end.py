"""The whole way with the real studies: dragged curves that settle to what `predict` says."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case import read_case
from acoustics.page.studio import Studio
from acoustics.prediction import predict
from acoustics.studies.live.drafts import draft_of
from acoustics.studies.live.engine import Engine
from acoustics.studies.live.exact import heard_case
from support.page_site import running


class Real:
    """In place of a script."""

    def studio(self) -> Studio:
        return Studio(Engine)


@pytest.mark.slow
def test_a_dragged_driver_is_heard_and_let_go_it_is_as_predicted(tmp_path, monkeypatch):
    monkeypatch.setattr("support.asgi_client.PATIENCE", 300.0)
    with running(tmp_path, Real()) as site, site.tab() as tab:
        design = tab.begun()
        draft = design["draft"]
        draft["places"]["woofer"] = [0.01, -0.03]
        for serial, right in ((1, 0.0), (2, 0.004)):
            draft["places"]["tweeter"] = [right, 0.12]
            tab.ask("hear", serial=serial, held=True, draft=draft)
        dragged = tab.until("curves", serial=2)
        assert dragged["state"] in ("live", "coarse")
        tab.until("ready", share=1.0)
        tab.ask("hear", serial=3, held=True, draft=draft)
        live = tab.until("curves", serial=3)
        assert live["state"] == "live", live["missing"]
        tab.ask("hear", serial=4, held=False, draft=draft)
        exact = tab.until("curves", serial=4, state="exact")
        tab.ask("save", serial=5, draft=draft, seen=design["seen"], over=[])
        tab.until("saved")
        saved = read_case(site.path)
    case = read_case(site.path)
    # The file that was saved, predicted as anybody would, where and as finely as the page draws.
    told = predict(heard_case(saved, draft_of(case)))
    axis = told.arc_pressure.sum("driver").sel(plane="horizontal", angle=0.0)
    level = 20 * np.log10(np.abs(axis.values) / 20e-6)  # re 20 µPa, rms (IEC 60027-3)
    np.testing.assert_allclose(exact["arrays"]["axis"], level, atol=1e-4)
    off = np.abs(live["arrays"]["axis"] - exact["arrays"]["axis"])
    assert np.median(off) < 0.5  # dB: sources are those of the last exact answer
