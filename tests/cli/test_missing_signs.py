"""A command says nothing of letters that the font of its figures does not have."""

from __future__ import annotations

import io
import warnings

import pytest
from matplotlib.figure import Figure

from acoustics.cli.output import overlook_missing_signs


def draw(text):
    figure = Figure()
    figure.text(0.5, 0.5, text)
    figure.savefig(io.BytesIO(), format="pdf")


def test_missing_signs_are_overlooked():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pytest.raises(UserWarning, match="missing from"):
            draw("\u4f4e")
        overlook_missing_signs()
        draw("\u4f4e")


def test_other_warnings_are_not():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        overlook_missing_signs()
        with pytest.raises(UserWarning, match="another"):
            warnings.warn("another", UserWarning, stacklevel=1)
