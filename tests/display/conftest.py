"""The page's server, and the browser in which the page is looked at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from functools import cache
from typing import Any

import pytest

from handsfree.display.address import ListeningAddress
from handsfree.display.server import PageServer
from tests.support.browser import CHROMIUM, Pages, launched
from tests.support.watching import serving


@pytest.fixture
def server() -> Iterator[PageServer]:
    """Serves this machine only."""
    yield from serving(PageServer(ListeningAddress("127.0.0.1", 0)))


@pytest.fixture(scope="module")
def playwright() -> Iterator[Any]:
    if CHROMIUM is None:
        pytest.skip("Chromium is needed to look at the page")
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is needed to drive a browser")
    with sync_api.sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def pages_of(playwright: Any) -> Iterator[Callable[[int], Pages]]:
    """Pages in the browser of somebody whose letters are so large: 16 is what browsers come with."""
    with ExitStack() as stack:

        @cache
        def started(letters: int) -> Pages:
            flag = f"--blink-settings=defaultFontSize={letters}"
            return Pages(stack.enter_context(closing(launched(playwright, flag))))

        yield started


@pytest.fixture(scope="module")
def pages(pages_of: Callable[[int], Pages]) -> Pages:
    return pages_of(16)
