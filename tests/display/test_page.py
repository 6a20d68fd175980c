"""The page in a real browser: what it shows against what was spoken and logged, and whether everybody can read it."""

from __future__ import annotations

import math
import re
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from handsfree.audio import files
from handsfree.bench.ears import open_ear, open_recogniser
from handsfree.bench.loops.sources import HeardLater, recorded
from handsfree.bench.setting_up import load_named
from handsfree.bench.watching import job_review
from handsfree.commands.bench.demo import waits_left_out
from handsfree.display.address import ListeningAddress
from handsfree.display.server import PageServer
from handsfree.job.events import JobFinished, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.procedure.file.loader import Loaded, load_procedure
from tests.support.browser import CAPITAL_HEIGHT, FIRST_VIEW, REACHED, Pages
from tests.support.display_states import STATES, State, in_state
from tests.support.places import FIXTURES
from tests.support.played import SMALL
from tests.support.watching import Watched, watched

RECORDING = FIXTURES / "demo" / "technician.flac"
TABLET = {"width": 1280, "height": 800}
TABLET_INCHES = 10
TALL = {"width": 800, "height": 1280}
PHONE = {"width": 390, "height": 844}

Open = Callable[..., Any]


@pytest.fixture
def job(server: PageServer, small: Loaded, store: Store) -> Iterator[Watched]:
    with watched(small, store, server.show, serial="A 12") as found:
        yield found


@pytest.fixture
def open_page(pages: Pages) -> Iterator[Open]:
    """Opens the page of a server; anything that goes wrong on it, or asks another machine, fails the test."""
    wrong: list[str] = []
    with ExitStack() as stack:

        def open_(server: PageServer, size: dict[str, int] = TABLET, **how: Any) -> Any:
            home = urlsplit(server.url).netloc
            seeing: dict[str, Callable[[Any], None]] = {
                "pageerror": lambda error: wrong.append(str(error)),
                "request": lambda asked: None if urlsplit(asked.url).netloc in ("", home) else wrong.append(asked.url),
            }
            page = stack.enter_context(pages.opened(size, seeing, **how))
            page.goto(server.url)
            page.wait_for_selector(FIRST_VIEW, state="attached")
            return page

        yield open_
    assert wrong == []


def _wait_until(page: Any, selector: str, text: str) -> None:
    """Until this element's text is exactly ``text``."""
    page.wait_for_function(
        "([selector, text]) => document.querySelector(selector).textContent === text", arg=[selector, text]
    )


def _texts(page: Any, selector: str) -> list[str]:
    found: list[str] = page.locator(selector).all_text_contents()
    return found


@pytest.mark.slow
def test_a_whole_job_heard_from_a_recording_is_followed_on_the_page(
    server: PageServer, store: Store, open_page: Open
) -> None:
    """After every utterance the page is compared with what was spoken and with the log on disk."""
    loaded = load_named("focusing-slide")
    with watched(loaded, store, server.show) as job:
        assert job.bench.log is not None
        page, number, seen = open_page(server), job.bench.log.job, 0
        figures: set[tuple[str, str]] = set()
        ear = open_ear(open_recogniser("builtin"), job.job.guide.session.language, job.job.guide.expects)

        def compared() -> None:
            guide = job.job.guide
            _wait_until(page, "#said", job.bench.said)
            _wait_until(page, "#act", loaded.procedure.steps[guide.session.here].act)
            _wait_until(page, "#step", f"Step {job.view.number} of 18{_done(job)}")
            _wait_until(page, "#microphone", job.view.microphone)
            if job.bench.heard is not None:
                _wait_until(page, "#words", job.bench.heard.words)
            step, on_disk = loaded.procedure.steps[guide.session.here], fold(store.events(number))
            for measured in step.characteristics:
                standing = [entry.event for entry in on_disk.readings(step.id, measured.name)]
                last = standing[-1] if standing else None
                shown = _texts(page, ".reading .figure")
                assert shown == [last.shown if isinstance(last, ReadingLogged) else "none yet"]
                if isinstance(last, ReadingLogged):
                    assert _texts(page, ".reading .verdict") == [last.decision]
                    figures.add((last.shown, last.decision))

        def turns() -> Iterator[HeardLater]:
            nonlocal seen
            heard = recorded(files.load_recording(RECORDING), ear)
            # The waits are left out of the recording, as its script says.
            waits = waits_left_out(RECORDING.with_name("script.txt"))
            for turn in sorted([*heard, *waits], key=lambda turn: turn.start):
                yield turn
                compared()
                seen += 1

        job.clock.play(turns())
        if job.view.question is not None:  # whether to finish with what is still open
            _wait_until(page, "#prompt", job.view.question.prompt)
            job.say("yes")
        assert isinstance(store.events(number)[-1], JobFinished)
        _wait_until(page, "#microphone", "microphone closed")
    assert seen > 50
    assert {("4.5 thou", "out of limits"), ("2 thou", "in limits"), ("12 thou", "in limits")} <= figures


def _done(job: Watched) -> str:
    return "" if job.view.status == "open" else f", {job.view.status}"


def test_the_review_stays_on_the_page_when_the_job_and_its_server_are_gone(
    small: Loaded, store: Store, open_page: Open
) -> None:
    with watched(small, store) as job:
        assert job.bench.log is not None
        number = job.bench.log.job
        report = "<!doctype html><title>Report</title>"
        server = PageServer(
            ListeningAddress("127.0.0.1", 0), review=lambda: job_review(store, number), report=lambda: report
        )
        server.start()
        server.show(job.view)
        page = open_page(server)
        job.say("next", "log clearance seven thou", "leave open", "finish the job", "yes")
        server.close()
    found = job_review(store, number)
    assert found is not None
    _wait_until(page, "#text", found.text)
    assert _texts(page, "#summary p") == list(found.summary)
    assert _texts(page, "#points h2") == [title for title, _ in found.points]
    assert "7 thou" in page.locator("#points").text_content()
    assert page.locator("#stale").is_hidden()
    with page.expect_download() as download:
        page.get_by_text("Save the report of the job").click()
    assert Path(download.value.path()).read_text(encoding="utf-8") == report


def test_the_review_so_far_is_live(small: Loaded, store: Store, open_page: Open) -> None:
    with watched(small, store) as job, ExitStack() as stack:
        assert job.bench.log is not None
        number = job.bench.log.job
        server = stack.enter_context(
            closing(PageServer(ListeningAddress("127.0.0.1", 0), review=lambda: job_review(store, number)))
        )
        server.start()
        job.bench.tell(lambda: server.show(job.view))
        job.bench.changed()
        page = open_page(server)
        page.get_by_role("button", name="Review").click()
        page.wait_for_selector("#points li")
        assert "7 thou" not in page.locator("#points").text_content()
        job.say("next", "log clearance seven thou", "leave open")
        page.wait_for_function("() => document.getElementById('points').textContent.includes('7 thou')")


EVIL = "<script>document.title='taken'</script><img src=x onerror=\"document.title='taken'\">"


def test_script_and_markup_in_notes_and_names_stay_text(
    server: PageServer, store: Store, tmp_path: Path, open_page: Open
) -> None:
    path = tmp_path / "evil.yaml"
    text = SMALL.replace("do: Press the spring down and hook it.", f"do: {EVIL!r}".replace("\\'", "''"))
    path.write_text(text.replace("title: Adjustment of the gate latch", "title: <b>Latch</b>"), encoding="utf-8")
    with watched(load_procedure(path), store, server.show, item=EVIL, serial="<i>7</i>") as job:
        page = open_page(server)
        _wait_until(page, "#act", EVIL)
        job.say("note", EVIL)
        _wait_until(page, "#noted", EVIL)
        assert page.locator("#item").text_content() == f"{EVIL}, <i>7</i>"
        assert page.title() == "Step 1 of 5 · <b>Latch</b>"
        assert page.locator("main script, main img, footer i").count() == 0


def test_a_page_that_lost_its_server_says_so_and_comes_back(small: Loaded, store: Store, open_page: Open) -> None:
    with watched(small, store) as job:
        first = PageServer(ListeningAddress("127.0.0.1", 0))
        first.start()
        first.show(job.view)
        page = open_page(first)
        port = urlsplit(first.url).port or 0
        first._server.should_exit = first._server.force_exit = True  # gone without a farewell
        _wait_until(page, "#microphone", "connection lost")
        assert page.locator("#stale").text_content().startswith("Connection lost. Out of date since ")
        first._thread.join(timeout=5)
        first._socket.close()
        view = job.say("next")
        with closing(PageServer(ListeningAddress("127.0.0.1", port))) as second:
            second.start()
            second.show(view)
            _wait_until(page, "#act", "Set the latch clearance.")
            _wait_until(page, "#microphone", "microphone open")
            assert page.locator("#stale").is_hidden()


def test_a_lost_connection_stops_every_clock(tmp_path: Path, open_page: Open) -> None:
    """What can't be known any more does not look as if it were."""
    pages: list[Any] = []
    lost = State(("timer bath ten minutes",), lost=True)
    with in_state(lost, tmp_path, lambda server: pages.append(open_page(server))) as _:
        page = pages[0]
        _wait_until(page, "#microphone", "connection lost")
        shown = page.locator("#timers li").text_content()
        page.wait_for_timeout(2500)  # two ticks of the page's clock
        assert page.locator("#timers li").text_content() == shown
        assert page.locator("#microphone").get_attribute("data-form") == "lost"


def test_a_figure_of_another_step_is_one_line_and_a_left_hand_thread_a_plate(tmp_path: Path, open_page: Open) -> None:
    with in_state(STATES["the last check, after a figure"], tmp_path) as (job, server):
        page = open_page(server)
        _wait_until(page, "#act", job.view.act)
        assert page.locator("#before").text_content() == (
            "Before, at step 1: gib clearance, as found, 4.5 thou, out of limits, 1.5 thou over"
        )
        assert page.locator(".figure").count() == 0
        assert page.locator("#left-hand span").text_content() == "Left-hand thread. Turning right takes it off."
        assert page.locator("#cautions li").count() == 0


def test_a_reading_off_the_scale_shows_by_how_much(tmp_path: Path, open_page: Open) -> None:
    with in_state(STATES["out of limits"], tmp_path) as (_, server):
        page = open_page(server)
        page.wait_for_selector(".scale .by")
        assert page.locator(".scale .by").text_content() == "2 thou over"


def test_what_was_decided_about_a_figure_stays_in_sight_on_a_full_page(tmp_path: Path, open_page: Open) -> None:
    for page, _ in _turned("out of limits", tmp_path, open_page):
        assert page.locator(".reading .why").text_content() == "2 thou over; accepted: within wear"
        assert _seen(page, ".reading .why"), page.viewport_size


def test_the_finished_page_opens_with_the_result(tmp_path: Path, open_page: Open) -> None:
    pages: list[Any] = []
    with in_state(STATES["finished"], tmp_path, lambda server: pages.append(open_page(server))) as (job, _):
        page = pages[0]
        _wait_for_state(page, "finished", job)
        # The danger of its first step was never ended.
        assert page.locator("#result-word").text_content() == "Not safe to use"
        assert "1 figure is out of limits" in page.locator("#result-words").text_content()
        assert page.locator("#result").bounding_box()["y"] < page.locator("#review-title").bounding_box()["y"]


def test_a_timer_runs_on_between_two_snapshots(server: PageServer, job: Watched, open_page: Open) -> None:
    job.say("timer bath ten minutes")
    page = open_page(server)
    page.wait_for_selector("#timers li")
    before = page.locator("#timers li").text_content()
    page.wait_for_function("before => document.querySelector('#timers li').textContent !== before", arg=before)
    assert "bath: 9:5" in page.locator("#timers li").text_content()


def test_the_buttons_stand_by_and_call_back(small: Loaded, store: Store, open_page: Open) -> None:
    with watched(small, store) as job:
        pressed: list[str] = []
        with closing(PageServer(ListeningAddress("127.0.0.1", 0), press=pressed.append)) as server:
            server.start()
            server.show(job.view)
            page = open_page(server)
            page.get_by_role("button", name="stand by").click()
            page.get_by_role("button", name="next").click()
            server.show(job.say("stand by"))
            page.get_by_role("button", name="back at the bench").click()
            assert page.get_by_role("button", name="next").is_disabled()
            size = page.locator("#next").bounding_box()
            _until(lambda: len(pressed) == 3)
        assert pressed == ["stand by", "next", "back at the bench"]
        assert min(size["width"], size["height"]) >= 90


def _until(true: Callable[[], bool]) -> None:
    for _ in range(500):
        if true():
            return
        time.sleep(0.01)


def test_without_the_option_there_are_no_buttons(server: PageServer, job: Watched, open_page: Open) -> None:
    page = open_page(server)
    page.wait_for_function("() => fetch('what').then((answer) => answer.json()).then((what) => what.buttons === false)")
    assert page.locator("#buttons").is_hidden()


EVERY_STATE = [
    state if state in ("a question is asked", "dense") else pytest.param(state, marks=pytest.mark.slow)
    for state in STATES
]
"""The fullest ones are looked at always."""
SETTLED = "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
"""Two frames on: what was to be laid out anew has been."""
FAR = (".wanted:not(.long)", ".reading .figure", ".verdict")
"""What is read from across the bench, beside the act, as long as nothing else comes before it."""
AT_LEAST = {"#microphone": 56, "#dangers strong": 60, "#prompt": 60, "#cautions li": 40, "#left-hand": 40}
"""The size of letters, in dots of a tablet of 1280 by 800, that these never fall below."""
STEPS_BACK = """document.body.matches("[data-asking], [data-lost], [data-looking], [data-state='standing by']"
  + ", [data-state=noting], [data-tight='7']")"""
"""Whether something else than the step comes first, or a danger, a plate and cautions leave the figures less room."""
DANGER_AND_TWO_FIGURES = """() => document.querySelectorAll(".wanted").length > 1
  && [...document.querySelectorAll("#dangers strong")].some((each) => each.checkVisibility())"""
"""Whether a danger stands beside two figures: what is to be done then gives way to both."""
SHORT_ACT = 60
"""An act of so many characters has letters of 12 mm whatever else is shown; a longer one gives way a little."""


def _seen(page: Any, selector: str) -> bool:
    """Whether the first of these that is not hidden is wholly above the foot of the page (or is the foot's own)."""
    box = page.locator(f"{selector} >> visible=true").first.bounding_box()
    foot = page.viewport_size["height"] if selector == "#microphone" else page.locator("footer").bounding_box()["y"]
    return bool(box["y"] >= 0 and box["y"] + box["height"] <= foot + 1)


def _turned(state: str, folder: Path, open_page: Open) -> Iterator[tuple[Any, Watched]]:
    """The page of a job in ``state`` on a tablet lying and standing and on a telephone, one after the other."""
    pages: list[Any] = []
    with in_state(STATES[state], folder, lambda server: pages.append(open_page(server))) as (job, _):
        _wait_for_state(pages[0], state, job)
        for size in (TABLET, TALL, PHONE):
            pages[0].set_viewport_size(size)
            pages[0].evaluate(SETTLED)
            yield pages[0], job


CUT = """() => {
  const cut = [];
  const texts = document.createTreeWalker(document.getElementById("job"), NodeFilter.SHOW_TEXT);
  for (let text = texts.nextNode(); text; text = texts.nextNode()) {
    if (!text.data.trim() || !text.parentElement.checkVisibility() || text.parentElement.closest(".unseen")) continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    const clips = [];
    for (let one = text.parentElement; one; one = one.parentElement) {
      if (getComputedStyle(one).overflowY !== "visible") {
        const { top } = one.getBoundingClientRect();
        clips.push([top + one.clientTop, top + one.clientTop + one.clientHeight]);
      }
    }
    clips.push([0, document.querySelector("footer").getBoundingClientRect().top]);
    const line = parseFloat(getComputedStyle(text.parentElement).lineHeight);
    for (const { top, bottom } of range.getClientRects()) {
      // The letters themselves, without what a font leaves free above and below.
      const [high, low] = [(top + bottom) / 2 - line * 0.36, (top + bottom) / 2 + line * 0.36];
      const [from, to] = [Math.max(...clips.map((one) => one[0])), Math.min(...clips.map((one) => one[1]))];
      const crosses = (edge) => high < edge - 1 && low > edge + 1;
      if (low - high > 2 && (crosses(from) || crosses(to))) cut.push(text.data.trim());
    }
  }
  return cut;
}"""
"""The texts of the page of which a line of letters is cut through by an edge."""


@pytest.mark.parametrize("state", EVERY_STATE)
def test_a_line_of_letters_is_whole_or_absent(state: str, tmp_path: Path, open_page: Open) -> None:
    """The review scrolls as a whole, and may be cut where it does."""
    for page, job in _turned(state, tmp_path, open_page):
        assert page.evaluate(CUT) == [], page.viewport_size
        # And once more as a page does after its second snapshot.
        job.bench.changed()
        page.evaluate(SETTLED)
        assert page.evaluate(CUT) == [], page.viewport_size


def test_a_line_that_is_cut_would_be_found(server: PageServer, job: Watched, open_page: Open) -> None:
    job.say("next")
    page = open_page(server)
    page.evaluate(SETTLED)
    assert page.evaluate(CUT) == []
    page.evaluate("""() => {
      const near = document.getElementById("near");
      near.style.minHeight = near.style.maxHeight = `${near.clientTop + 15}px`;
    }""")
    assert page.evaluate(CUT) != []


def test_the_other_items_on_the_bench_are_listed_with_their_running_timers(tmp_path: Path, open_page: Open) -> None:
    pages: list[Any] = []
    state = STATES["another item on the bench"]
    with in_state(state, tmp_path, lambda server: pages.append(open_page(server))) as (job, _):
        _wait_for_state(pages[0], "another item on the bench", job)
        (line,) = _texts(pages[0], "#others li")
        assert re.fullmatch(r"Bench gauge, pattern C, A 12, step 2 of 5; bath 9:\d\d; lacquer 19:\d\d", line)
        assert pages[0].locator("#timers").is_hidden()
        pages[0].wait_for_function("before => document.querySelector('#others li').textContent !== before", arg=line)


@pytest.mark.parametrize("state", EVERY_STATE)
def test_what_is_read_from_across_the_bench_is_large_and_in_sight(state: str, tmp_path: Path, open_page: Open) -> None:
    """Capital letters of 12 mm on a 10-inch tablet, lying and standing, and on a telephone at least in sight."""
    for page, job in _turned(state, tmp_path, open_page):
        shown = [each for each in ("#act", *FAR, *AT_LEAST) if page.locator(f"{each} >> visible=true").count()]
        assert "#microphone" in shown
        assert "#act" in shown or state in ("finished", "the review so far")
        for selector in shown:
            assert _seen(page, selector), f"{selector} is not in sight at {page.viewport_size}"
            size = page.viewport_size
            if size == PHONE or (selector == "#act" and len(job.view.act) > SHORT_ACT):
                continue
            first = page.locator(f"{selector} >> visible=true").first
            if selector in AT_LEAST:
                steps_back = selector == "#cautions li" and job.view.question is not None
                assert steps_back or first.evaluate(FONT_SIZE) >= AT_LEAST[selector], f"{selector} at {size}"
                continue
            beside_danger = selector == "#act" and page.evaluate(DANGER_AND_TWO_FIGURES)
            if beside_danger or page.evaluate(STEPS_BACK):
                assert first.evaluate(FONT_SIZE) >= 40, f"{selector} at {size}"
                continue
            dots_per_mm = math.hypot(*size.values()) / TABLET_INCHES / 25.4
            assert first.evaluate(CAPITAL_HEIGHT) / dots_per_mm >= 12, f"{selector} at {size}"
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        near = page.locator("#near")
        if near.evaluate("(one) => one.offsetParent && one.scrollHeight > one.clientHeight + 1"):
            assert near.get_attribute("tabindex") == "0"


SCALES = """() => [...document.querySelectorAll(".scale")].filter((each) => each.offsetParent).map((each) => {
  const box = (one) => { const { left, right, width } = one.getBoundingClientRect(); return { left, right, width }; };
  return { ...box(each), marks: [...each.querySelectorAll(".mark")].map(box) };
})"""
"""Every limit scale in sight, with the places of the figures at its limits."""
WITH_SCALES = [name for name in STATES if "figure" in name or "limits" in name or "undecided" in name]


@pytest.mark.parametrize(
    "state", [name if "after" in name else pytest.param(name, marks=pytest.mark.slow) for name in WITH_SCALES]
)
def test_a_limit_scale_has_room_and_its_figures_do_not_overlap(state: str, tmp_path: Path, open_page: Open) -> None:
    for page, _ in _turned(state, tmp_path, open_page):
        turned = page.viewport_size
        for scale in page.evaluate(SCALES):
            assert scale["width"] >= 180, turned
            assert all(mark["left"] >= 0 and mark["right"] <= turned["width"] for mark in scale["marks"])
            marks = sorted(scale["marks"], key=lambda mark: mark["left"])
            assert all(left["right"] <= right["left"] for left, right in pairwise(marks)), turned


def _wait_for_state(page: Any, state: str, job: Watched) -> None:
    if STATES[state].over:
        _wait_until(page, "#microphone", "microphone closed")
    elif STATES[state].lost:
        _wait_until(page, "#microphone", "connection lost")
    else:
        _wait_until(page, "#said", job.bench.said)
        _wait_until(page, "#act", job.view.act)
        _wait_until(page, "#microphone", job.view.microphone)
    if job.view.point is not None and not STATES[state].over:
        page.wait_for_selector("#points [aria-current]")


@pytest.mark.parametrize("letters", [pytest.param(20, marks=pytest.mark.slow), 24])
@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["lying", "phone"])
def test_nothing_is_lost_with_larger_letters(
    pages_of: Callable[[int], Pages], tmp_path: Path, size: dict[str, int], letters: int
) -> None:
    """Also how it looks at a zoom of 125 and 150 in a hundred: more letters on fewer dots."""
    with (
        in_state(STATES["dense"], tmp_path) as (job, server),
        pages_of(letters).opened(size) as page,
    ):
        page.goto(server.url)
        _wait_until(page, "#act", job.view.act)
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        for selector in ("#act", ".wanted", ".reading .figure", "#said", "#microphone"):
            shown = page.locator(selector).first
            shown.scroll_into_view_if_needed()
            assert shown.evaluate(REACHED), f"{selector} is covered"


def test_the_point_that_is_spoken_is_marked_in_the_review(
    tmp_path: Path, small: Loaded, store: Store, open_page: Open
) -> None:
    """Without a touch, in words and for a screen reader; a corrected figure stays the one that is marked."""
    pages: list[Any] = []
    with in_state(STATES["the review so far"], tmp_path, lambda server: pages.append(open_page(server, PHONE))) as (
        job,
        _,
    ):
        page = pages[0]
        for at in range(1, 5):
            point = job.view.point
            assert point is not None
            assert (point.number, point.of) == (at, 4)
            _wait_until(page, "#point-number", f"Point {at} of 4, being gone through")
            assert page.locator("#point-words").text_content() == point.text
            marked = page.locator("#points [aria-current=true]")
            page.wait_for_function(
                "key => document.querySelector('#points [aria-current]')?.dataset.key === key", arg=point.key
            )
            assert marked.count() == 1
            assert marked.text_content().startswith("Now: ")
            assert page.locator("footer").bounding_box()["y"] > marked.bounding_box()["y"]
            if at == 2:
                job.say("wrong, it is four thou")
                page.wait_for_function(
                    "() => document.querySelector('#points [aria-current]')?.textContent.includes('four thou')"
                )
            job.say("next")
        assert job.view.point is None
        page.wait_for_selector("#act", state="visible")
        assert page.locator("[aria-current]").count() == 0


@pytest.mark.parametrize("state", EVERY_STATE)
def test_an_accessibility_checker_finds_nothing(state: str, tmp_path: Path, open_page: Open) -> None:
    """Checked with axe-core, light and dark."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python brings axe-core")
    pages: list[Any] = []
    with in_state(STATES[state], tmp_path, lambda server: pages.append(open_page(server))) as (job, _):
        _wait_for_state(pages[0], state, job)
        # In the dark only the colours are others.
        for light, only in (("light", {}), ("dark", {"runOnly": ["color-contrast"]})):
            pages[0].emulate_media(color_scheme=light)
            found = axe.Axe().run(pages[0], options={"resultTypes": ["violations"], **only})
            violations = found.response["violations"]
            assert [(each["id"], [node["target"] for node in each["nodes"]]) for each in violations] == [], light


def test_larger_letters_are_larger_on_the_page(
    job: Watched, server: PageServer, pages_of: Callable[[int], Pages]
) -> None:
    """The reader's own font size counts."""
    sizes = []
    for letters in (16, 24):
        with pages_of(letters).opened({"width": 1920, "height": 1200}) as page:
            page.goto(server.url)
            page.wait_for_selector(FIRST_VIEW)
            sizes.append([page.locator(each).evaluate(FONT_SIZE) for each in ("#act", "#near", "#step")])
    assert sizes[1] == [pytest.approx(1.5 * size) for size in sizes[0]]


FONT_SIZE = "(element) => parseFloat(getComputedStyle(element).fontSize)"


def test_nothing_moves(server: PageServer, job: Watched, open_page: Open) -> None:
    page = open_page(server, reduced_motion="reduce")
    job.say("next", "log clearance seven thou")
    _wait_until(page, "#said", job.bench.said)
    assert page.evaluate("document.getAnimations().length") == 0


def test_what_has_changed_is_told_to_a_screen_reader_once(server: PageServer, job: Watched, open_page: Open) -> None:
    page = open_page(server)
    assert page.locator("#tell").get_attribute("aria-live") == "polite"
    job.say("next")
    page.wait_for_function("() => document.getElementById('tell').textContent.includes('Set the latch clearance.')")
    job.say("log clearance four thou")
    page.wait_for_function("() => document.getElementById('tell').textContent.includes('4 thou, in limits')")
    assert "Set the latch" not in page.locator("#tell").text_content()
    assert page.get_by_role("img", name="4 thou, limits 3 to 5 thou: in limits").count() == 1
