"""The browser in which the page is looked at."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest

from tests.support.browser import CHROMIUM, launched


@pytest.fixture(scope="module")
def playwright() -> Iterator[Any]:
    if CHROMIUM is None:
        pytest.skip("Chromium is needed to look at the page")
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is needed to drive a browser")
    with sync_api.sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright: Any) -> Iterator[Any]:
    with closing(launched(playwright)) as started:
        yield started
