"""The view on a terminal, tried in a real one (a pseudo-terminal), and where it gives way to plain lines."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import cache
from itertools import product
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from handsfree.bench.bench import Line
from handsfree.bench.printing import lines_of_event
from handsfree.cli import main
from handsfree.display.lines import Told, fitted, panes, rendered, scale, screen
from handsfree.guide.view.scale import ScalePlace
from handsfree.guide.view.shown import Scale, View
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded
from tests.support.display_states import STATES, in_state
from tests.support.played import MORNING
from tests.support.watching import Watched, watched

pty = pytest.importorskip("pty", reason="pseudo-terminals are needed")

STYLE = re.compile(r"\x1b\[[0-9;]*m")
SCREEN_OF_ITS_OWN = "\x1b[?1049h"


@pytest.fixture
def job(small: Loaded, store: Store) -> Iterator[Watched]:
    with watched(small, store, serial="A 12") as found:
        yield found


@pytest.fixture(scope="module")
def view_of(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], View]:
    """What can be seen in a state; each is played once."""

    @cache
    def seen(state: str) -> View:
        with in_state(STATES[state], tmp_path_factory.mktemp("state")) as (job, _):
            return job.view

    return seen


def _plain(job: Watched, width: int = 100, height: int = 40) -> str:
    return "\n".join(rendered(screen(job.view, 0.0, width), width, height, colour=False))


def test_the_terminal_shows_what_the_page_shows(job: Watched) -> None:
    job.say("next", "timer bath ten minutes", "log clearance seven thou")
    shown = _plain(job)
    for words in (
        "Step 2 of 5", "1 of 5 done", "MICROPHONE OPEN", "Danger. Spring under load. Keep your face clear.",
        "Set the latch clearance.", "latch clearance, as set: 3 to 5 thou", "= 7 thou", "out of limits", "2 thou over",
        "2 off: M2 × 5, cheese head. Left-hand thread.", "instrument oil, the pivot, one drop", "bath: 9:",
        "“log clearance seven thou”, taken as: log, latch clearance, 7 thou", "Set again, accept it, or leave open?",
        "set again · accept it, and the reason · leave open · drop it",
    ):  # fmt: skip
        assert words in shown


def test_the_scale_has_the_reading_between_its_limits_and_the_target_named(job: Watched) -> None:
    job.say("next", "log clearance three and a half thou")
    drawn = job.view.asked[0].reading
    assert drawn is not None and isinstance(drawn.scale, Scale)
    line, figures = scale(drawn.scale, 57)
    low, at, target, high = (line.index(sign) for sign in "├▼┼┤")
    assert low < at < target < high
    assert (figures[low], figures[target], figures[high]) == ("3", "4", "5")
    # Limits two apart with half of that beyond each: a thou is a quarter of the scale.
    assert [low, at, target, high] == [round(56 * share) for share in (1 / 4, 3 / 8, 1 / 2, 3 / 4)]
    assert line[at - 1] == line[at + 1] == "═", "the uncertainty stands to both sides of it"
    assert line[low + 1] == "─" and line[low - 1] == "·"


@given(
    st.integers(20, 80), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1), st.floats(0, 0.5),
    st.sampled_from(["", "0.125", "1234.5678"]),
)  # fmt: skip
def test_a_scale_is_as_wide_as_there_is_room_whatever_it_shows(
    width: int, low: float, high: float, at: float, doubt: float, figure: str
) -> None:
    low, high = sorted((low, high))
    place = ScalePlace(at=at, low=low, high=high, target=(low + high) / 2, uncertainty=doubt, off="")
    line, figures = scale(Scale(place, figure, figure, figure), width)
    assert len(line) == width
    assert len(figures) <= width
    assert "▼" in line
    assert set(figures.split()) <= {figure}, "no figure is written into another"


def test_a_reading_off_the_scale_is_an_arrow_at_its_end(job: Watched) -> None:
    job.say("next", "log clearance nine thou")
    assert re.search(r"·▶\n", _plain(job))


def test_markup_and_control_characters_stay_harmless(job: Watched) -> None:
    job.say("note", "[red]worn[/red] \x1b[2J\x07 [link=http://x]here[/link]")
    shown = _plain(job)
    assert "[red]worn[/red]" in shown
    assert "[link=http://x]here[/link]" in shown
    assert "\x1b[2J" not in shown and "\x07" not in shown


@pytest.mark.parametrize("width", [40, 80, 200])
def test_no_line_is_wider_than_the_terminal(job: Watched, width: int) -> None:
    job.say("next", "log clearance seven thou")
    lines = rendered(screen(job.view, 0.0, width), width, 12, colour=False)
    assert len(lines) <= 12
    assert max(len(re.sub(r"\x1b\[[0-9;]*m", "", line)) for line in lines) <= width


@pytest.mark.parametrize("state", STATES)
def test_a_small_terminal_keeps_what_matters(state: str, view_of: Callable[[str], View]) -> None:
    view = view_of(state)
    matters = (
        view.heading, view.microphone.upper(), view.act,
        *(danger.say for danger in view.dangers), *(asked.wanted for asked in view.asked),
        *(asked.reading.verdict for asked in view.asked if asked.reading),
        view.question.prompt if view.question else "", *view.cautions,
        *(label for label, there in (("timers", view.timers), ("heard", view.heard), ("fasteners", view.fasteners))
          if there),
    )  # fmt: skip
    nearer = ["you can say"] if view.phrases else []
    for width, height in ((80, 21), (60, 17), (120, 37)):
        lines = fitted(view, 0.0, width, height, colour=False)
        assert len(lines) <= height
        shown = " ".join(re.sub(r"\x1b\[[0-9;]*m", "", " ".join(lines)).split())
        for words in (*matters, *(nearer if width > 60 else ())):
            assert " ".join(words.split()) in shown, (width, height)


WRAPS = "the pivot is worn on the side of the pawl, it was bent before, and somebody has filed the end of it flat"
TOLD: tuple[tuple[Line, str], ...] = (
    ("says", f"Danger. Spring under load. Keep your face clear. Step two. {WRAPS}."),
    ("heard", WRAPS),
    ("ignored", "so I said to him"),
    ("not caught", ""),
    ("trouble", "The microphone is lost."),
    ("doubtful", "log clearance four thou"),
)


def _told(*, colour: bool) -> list[Told]:
    def lines(line: Line, text: str) -> Told:
        return lambda width: lines_of_event(MORNING, line, text, width, colour=colour)

    return [lines(*each) for each in TOLD]


@pytest.mark.parametrize("state", STATES)
def test_no_line_of_the_live_view_is_wider_than_the_terminal(state: str, view_of: Callable[[str], View]) -> None:
    address = ("http://192.168.178.31:8740/abcdefgh/", *("█▀▄ █" * 6 for _ in range(15)))
    sizes, ways = ((16, 9), (40, 17), (60, 17), (80, 21), (120, 37)), ((True, address), (False, ()))
    for (width, height), (colour, aside) in product(sizes, ways):
        lines = panes(view_of(state), 0.0, width, height, told=_told(colour=colour), aside=aside, colour=colour)
        assert len(lines) <= height, (width, height)
        assert [line for line in lines if cell_len(STYLE.sub("", line)) > width] == []


def test_what_happened_stands_beside_the_step_from_a_hundred_columns_on_and_below_it_else(job: Watched) -> None:
    job.say("next")
    for width, beside in ((100, True), (99, False)):
        lines = panes(job.view, 0.0, width, 37, told=_told(colour=False), colour=False)
        act = next(number for number, line in enumerate(lines) if "Set the latch clearance." in line)
        trouble = next(number for number, line in enumerate(lines) if "The microphone is lost." in line)
        assert ("│" in lines[act]) is beside
        assert (trouble < 20) is beside or trouble > act
        assert all(("│" in line) is beside for line in lines)


@pytest.mark.parametrize("width", [60, 80, 120])
def test_nothing_is_said_twice_where_there_is_room_for_what_happened(job: Watched, width: int) -> None:
    job.say("next")
    assert job.view.heard is not None and job.view.said
    told: list[Told] = [lambda width: lines_of_event(MORNING, "says", job.view.said, width, colour=False)]
    shown = "\n".join(panes(job.view, 0.0, width, 37, told=told, colour=False))
    assert "taken as" not in shown and "answered" not in shown
    assert shown.count("instrument oil") == 1
    # With no room for it, what was made of the last words is not lost.
    assert "taken as" in "\n".join(panes(job.view, 0.0, width=80, height=15, told=told, colour=False))


@pytest.mark.parametrize("width", [40, 60, 80])
def test_what_wraps_stands_under_its_first_word(width: int) -> None:
    first, *rest = lines_of_event(MORNING, "says", WRAPS, width, colour=False)
    begins = first.index("the pivot")
    assert rest and all(line[:begins].isspace() and line[begins] != " " for line in rest)
    assert max(map(len, [first, *rest])) <= width


def test_the_other_items_on_the_bench_are_told_with_their_timers(view_of: Callable[[str], View]) -> None:
    view = view_of("another item on the bench")
    assert (view.item, view.timers) == ("Sewing head", ())
    shown = re.sub(r"\s+", " ", "\n".join(fitted(view, 5.0, 80, 40, colour=False)))
    assert re.search(
        r"other items Bench gauge, pattern C, A 12, step 2 of 5; bath: 9:\d\d left; lacquer: 19:\d\d left", shown
    )


class Terminal:
    """A job of ``handsfree run`` in a pseudo-terminal."""

    def __init__(self, *arguments: str) -> None:
        self._ours, theirs = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "handsfree.cli", "run", *arguments],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env={**os.environ, "TERM": "xterm", "COLUMNS": "100", "LINES": "40"},
            start_new_session=True,
        )
        os.close(theirs)
        os.set_blocking(self._ours, False)
        self.out = ""

    def wait_for(self, words: str, seconds: float = 90) -> str:
        """Everything that was written until ``words`` were."""
        until = time.monotonic() + seconds
        while words not in self.out and time.monotonic() < until:
            try:
                self.out += os.read(self._ours, 65536).decode("utf-8", "replace")
            except BlockingIOError:
                time.sleep(0.02)
            except OSError:  # the other side is gone
                break
        assert words in self.out
        return self.out

    def type(self, line: str) -> None:
        os.write(self._ours, f"{line}\n".encode())

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        os.close(self._ours)


@pytest.fixture
def start(procedure: Path, tmp_path: Path) -> Iterator[type[Terminal]]:
    started: list[Terminal] = []

    def start_(*more: str) -> Terminal:
        logs = str(tmp_path / "logs")
        started.append(Terminal(str(procedure), "--listen", "typed", "--speak", "print", "--logs", logs, *more))
        return started[-1]

    yield start_  # type: ignore[misc]
    for terminal in started:
        terminal.close()


def test_on_a_terminal_the_whole_view_is_drawn_and_the_screen_given_back(start: type[Terminal]) -> None:
    terminal = start()
    assert SCREEN_OF_ITS_OWN in terminal.wait_for("Press the spring down and hook it.")
    terminal.type("next")
    terminal.wait_for("3 to 5 thou")
    terminal.type("finish the job")
    terminal.wait_for("Finish anyway?")
    terminal.type("yes")
    out = terminal.wait_for("is finished. Its review: handsfree review")
    given_back = out.rindex("\x1b[?1049l")
    assert given_back < out.index("is finished. Its review")
    stays = out[given_back:]
    assert re.search(r"The job +\S+, .*: 1 of 5 steps done, finished", stays)
    assert re.search(r"Result +Not safe to use\. So far: |Result +Not safe to use\. 1 danger", stays)
    assert re.search(r"To look at +\S", stays)
    assert terminal.process.wait(timeout=20) == 0


def test_plain_lines_can_be_had_on_a_terminal(start: type[Terminal]) -> None:
    terminal = start("--plain")
    out = terminal.wait_for("Step one. Press the spring down")
    assert "\x1b" not in out


def test_the_address_with_its_key_and_its_code_stand_on_the_terminal(start: type[Terminal]) -> None:
    terminal = start("--plain", "--display-address", "0.0.0.0:0")
    out = terminal.wait_for("Step one.")
    (address,) = re.findall(r"http://\S+/[a-z0-9]{16}/", out)
    # How many of each there are depends on the key, which is drawn anew each time.
    assert sum(map(out.count, "█▀▄")) > 200
    port = re.findall(r":(\d+)/", address)[0]
    path = address.rsplit(":", 1)[1].partition("/")[2]
    with urlopen(f"http://127.0.0.1:{port}/{path}", timeout=5) as page:
        assert b"<title>Handsfree</title>" in page.read()


@pytest.mark.slow
def test_a_killed_job_leaves_no_server_and_its_port_to_the_next(start: type[Terminal]) -> None:
    first = start("--plain", "--display-address", "127.0.0.1:0")
    found = re.search(r"http://127\.0\.0\.1:(\d+)/", first.wait_for("Step one."))
    assert found is not None
    port = found[1]
    assert urlopen(found[0], timeout=5).status == 200
    first.process.send_signal(signal.SIGKILL)
    first.process.wait(timeout=20)
    with pytest.raises(URLError):
        urlopen(found[0], timeout=5)
    second = start("--plain", "--new", "--display-address", f"127.0.0.1:{port}")
    second.wait_for("Step one.")
    third = start("--plain", "--new", "--display-address", f"127.0.0.1:{port}")
    third.wait_for(f"port {port} of 127.0.0.1 is in use")
    assert third.process.wait(timeout=20) == 2
    assert urlopen(found[0], timeout=5).status == 200


def test_a_port_in_use_stops_the_command_before_a_job_is_begun(
    procedure: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        where = ["--logs", str(tmp_path / "logs"), "--display-address", f"127.0.0.1:{port}"]
        assert main(["run", str(procedure), "--listen", "typed", "--speak", "print", *where]) == 2
    err = capsys.readouterr().err
    assert f"port {port} of 127.0.0.1 is in use" in err
    assert "Traceback" not in err
    assert Store(tmp_path / "logs").jobs() == []
