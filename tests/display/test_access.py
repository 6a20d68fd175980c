"""The page with letters twice as large, and as a screen reader has it; in a real browser."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from tests.support.browser import REACHED, Pages
from tests.support.display_states import STATES, State, in_state
from tests.support.watching import Watched

TABLET = {"width": 1280, "height": 800}
ZOOMED = {"width": 640, "height": 400}
"""What is left of a tablet's dots for the page at a zoom of 200 in a hundred."""

OVERLAPS = """() => {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (walker.nextNode()) {
    const parent = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || parent.closest(".unseen, .scale") || !parent.offsetParent) continue;
    const range = document.createRange();
    range.selectNodeContents(walker.currentNode);
    for (const box of range.getClientRects()) found.push([walker.currentNode.data.trim(), box]);
  }
  const over = [];
  found.forEach(([one, a], at) => found.slice(at + 1).forEach(([other, b]) => {
    const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (wide > 1 && high > Math.min(a.height, b.height) / 2) over.push(`${one} / ${other}`);
  }));
  return over;
}"""
"""Pieces of text that lie over one another: half a line high or more."""

Look = Callable[..., tuple[Any, Watched]]


@pytest.fixture
def look(pages: Pages, tmp_path: Path) -> Iterator[Look]:
    """A page that watches a job come into a state, and the job."""
    with ExitStack() as stack:

        def look_(state: State, size: dict[str, int] = TABLET, **how: Any) -> tuple[Any, Watched]:
            page = stack.enter_context(pages.opened(size, **how))
            job, server = stack.enter_context(in_state(state, tmp_path))
            page.goto(server.url)
            page.wait_for_function(
                "said => document.getElementById('said').textContent === said", arg=str(job.bench.said)
            )
            return page, job

        yield look_


@pytest.mark.parametrize("state", ["a question is asked", "dense", "two figures are asked for", "standing by"])
def test_at_twice_the_size_everything_is_reached_and_nothing_lies_over_another(state: str, look: Look) -> None:
    page, _ = look(STATES[state], ZOOMED, device_scale_factor=2)
    page.wait_for_selector("#buttons", state="visible" if STATES[state].buttons else "attached")
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert page.evaluate(OVERLAPS) == []
    shown = ("#act", ".wanted", ".reading .figure", "#phrases li", "#said", "#microphone", "#step", "#turn", "#next")
    for selector in shown if STATES[state].buttons else shown[:-1]:
        for each in page.locator(selector).all():
            each.scroll_into_view_if_needed()
            assert each.evaluate(REACHED), f"{selector} is covered"


def _tree(page: Any) -> str:
    found: str = page.locator("body").aria_snapshot()
    return found


def test_a_screen_reader_has_the_act_the_figure_asked_for_and_the_microphone_in_words(look: Look) -> None:
    tree = _tree(look(STATES["a figure is asked for"])[0])
    assert '- heading "Set the latch clearance." [level=1]' in tree
    for words in ("Asked for: latch clearance, as set", "3 to 5 thou", "none yet", "microphone open", "Step 2 of 5"):
        assert words in tree
    assert "Danger" in tree


def test_a_screen_reader_has_the_question_the_reading_and_its_place(look: Look) -> None:
    tree = _tree(look(STATES["a question is asked"])[0])
    assert '- heading "Set the latch clearance." [level=1]' in tree
    assert 'img "7 thou, limits 3 to 5 thou: out of limits 2 thou over"' in tree
    assert "listitem: “leave open”" in tree
    assert '- heading "Question" [level=2]' in tree
    assert '- button "stand by"' in tree
    for words in ("Set again, accept it, or leave open?", "3 to 5 thou", "7 thou", "out of limits", "microphone open"):
        assert words in tree


def test_a_screen_reader_has_that_the_bench_stands_by(look: Look) -> None:
    tree = _tree(look(STATES["standing by"])[0])
    assert '- heading "Set the latch clearance." [level=1]' in tree
    assert "paragraph: standing by" in tree
    assert "microphone open" not in tree
    assert "3 to 5 thou" in tree
    assert '- button "back at the bench"' in tree
    assert '- button "next" [disabled]' in tree


@pytest.mark.slow
def test_an_act_is_told_once_and_the_clock_never(look: Look) -> None:
    page, job = look(State())
    page.evaluate("""() => {
      window.heard = [];
      const live = document.getElementById("tell");
      new MutationObserver(() => window.heard.push(live.textContent)).observe(live, {childList: true, subtree: true});
    }""")
    job.say("next", "timer bath ten minutes")
    page.wait_for_selector("#timers li")
    job.say("log clearance seven thou")
    page.wait_for_function("() => document.getElementById('expires').textContent.includes('dropped in')")
    before = page.evaluate(
        "[document.getElementById('timers').innerText, document.getElementById('expires').innerText]"
    )
    page.wait_for_function(
        "before => document.getElementById('timers').innerText !== before[0]"
        " && document.getElementById('expires').innerText !== before[1]",
        arg=before,
    )
    heard = page.evaluate("window.heard")
    assert sum("Set the latch clearance." in each for each in heard) == 1
    assert sum("7 thou, out of limits" in each for each in heard) == 1
    assert not [each for each in heard if re.search(r"\d:\d\d", each)]
    aloud = "(one) => one.closest('[aria-live], [role=alert], [role=status], [role=timer]') === null"
    assert all(page.locator(each).evaluate(aloud) for each in ("#timers", "#expires"))
