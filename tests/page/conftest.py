"""A running server for every test of the page that asks for one."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from support.page_site import Site, running


@pytest.fixture
def site(tmp_path) -> Iterator[Site]:
    with running(tmp_path) as site:
        yield site


@pytest.fixture(scope="module")
def shared_site(tmp_path_factory) -> Iterator[Site]:
    """One server for all tests of a file that leave it as it is."""
    with running(tmp_path_factory.mktemp("page")) as site:
        yield site
