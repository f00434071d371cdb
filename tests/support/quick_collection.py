"""Thousands of tests are collected and kept without being searched for garbage again and again."""

from __future__ import annotations

import gc
from collections.abc import Generator

import pytest


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What collecting makes is never garbage; searching it took a quarter of the time."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()
