"""The page's server: who gets what, and that nobody who watches can hold up the bench."""

from __future__ import annotations

import argparse
import contextlib
import http.client
import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from dataclasses import replace
from itertools import product
from pathlib import Path
from urllib.parse import urlsplit

import numpy as np
import pytest

from handsfree.bench.watching import job_review
from handsfree.commands.bench.watching import watched as watched_by
from handsfree.display.address import ListeningAddress, parse_address, qr_lines, url
from handsfree.display.door import ACCEPTED_AT_ONCE, MOST_STRANGERS, MOST_STRANGERS_BY_ADDRESS, Door
from handsfree.display.errors import DisplayError
from handsfree.display.server import PageServer
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded
from tests.support.watching import MORNING, Watched, serving, watched

KEY = "abcdefgh23456789"


@pytest.fixture
def locked() -> Iterator[PageServer]:
    """Serves whoever has the key."""
    yield from serving(PageServer(ListeningAddress("127.0.0.1", 0, KEY), press=lambda words: None))


@pytest.fixture(scope="module")
def plain() -> Iterator[PageServer]:
    """The same, asked for what it has by one test after another."""
    yield from serving(PageServer(ListeningAddress("127.0.0.1", 0)))


@pytest.fixture(scope="module")
def with_key() -> Iterator[PageServer]:
    """The same for whoever has the key."""
    yield from serving(PageServer(ListeningAddress("127.0.0.1", 0, KEY), press=lambda words: None))


def _ask(server: PageServer, path: str, method: str = "GET", **headers: str) -> tuple[int, dict[str, str], bytes]:
    at = urlsplit(server.url)
    connection = http.client.HTTPConnection(at.hostname or "", at.port, timeout=5)
    with closing(connection):
        connection.request(method, path, headers={name.replace("_", "-"): value for name, value in headers.items()})
        answer = connection.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read()


class Stream:
    """One watcher's stream, as a page reads it."""

    def __init__(self, server: PageServer, path: str = "/events") -> None:
        at = urlsplit(server.url)
        self._socket = socket.create_connection((at.hostname, at.port), timeout=10)
        self._socket.sendall(f"GET {path} HTTP/1.1\r\nHost: {at.netloc}\r\n\r\n".encode())
        self._file = self._socket.makefile("r", encoding="utf-8", newline="\n")

    def next(self, name: str = "view") -> dict[str, object]:
        """The data of the next event of this name."""
        event = ""
        for line in self._file:
            if line.startswith("event: "):
                event = line.removeprefix("event: ").strip()
            elif line.startswith("data: ") and event == name:
                found: dict[str, object] = json.loads(line.removeprefix("data: "))
                return found
        raise EOFError("the stream has ended")

    def close(self) -> None:
        self._file.close()
        self._socket.close()


def _act(message: dict[str, object]) -> object:
    view = message["view"]
    assert isinstance(view, dict)
    return view["act"]


def _until(stream: Stream, name: str, value: object) -> None:
    """Read on until a snapshot has this value."""
    while stream.next()["view"][name] != value:  # type: ignore[index]
        pass


@pytest.fixture
def shown(server: PageServer, small: Loaded, store: Store) -> Iterator[Watched]:
    """A job that the page shows."""
    with watched(small, store, server.show) as job:
        yield job


def test_a_page_that_comes_late_gets_what_is_to_be_seen_now(server: PageServer, shown: Watched) -> None:
    shown.say("next")
    with closing(Stream(server)) as stream:
        assert _act(stream.next()) == "Set the latch clearance."


def test_a_page_is_told_of_every_change_it_has_time_for(server: PageServer, shown: Watched) -> None:
    with closing(Stream(server)) as stream:
        assert _act(stream.next()) == "Press the spring down and hook it."
        shown.say("next")
        while _act(stream.next()) != "Set the latch clearance.":
            pass


def test_a_silent_stream_shows_that_it_is_alive(
    server: PageServer, shown: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("handsfree.display.hub.BEAT", 0.1)
    with closing(Stream(server)) as stream:
        assert stream.next("beat") == {}


@pytest.mark.parametrize("path", ["/", "/events", "/page.js", "/what", "/review", "/report", "/press"])
def test_without_the_key_there_is_nothing(with_key: PageServer, path: str) -> None:
    for before in ("", "/wrong", f"/{KEY[:-1]}", f"/{KEY}x", f"/{KEY.upper()}", "/%00", "/%C3%A9"):
        status, _, body = _ask(with_key, before + path)
        assert (status, body) == (404, b"")
        status, _, body = _ask(with_key, before + path, "POST", X_Handsfree_Press="next")
        assert (status, body) == (404, b"")


def test_with_the_key_there_is_the_page(with_key: PageServer) -> None:
    status, headers, body = _ask(with_key, f"/{KEY}/")
    assert status == 200
    assert b"<title>Handsfree</title>" in body
    assert "default-src 'none'" in headers["content-security-policy"]
    assert headers["referrer-policy"] == "no-referrer"


def test_another_sites_name_for_this_machine_gets_nothing(plain: PageServer) -> None:
    assert _ask(plain, "/", Host="evil.example:8740")[0] == 404
    assert _ask(plain, "/", Host="localhost:8740")[0] == 200


@pytest.mark.parametrize("path", ["/../errors.py", "/%2e%2e/errors.py", "/..%2ferrors.py", "/__init__.py", "/index.js"])
def test_only_the_pages_own_files_are_served(plain: PageServer, path: str) -> None:
    assert _ask(plain, path)[0] == 404


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
def test_nothing_can_be_changed_from_the_page(server: PageServer, shown: Watched, method: str) -> None:
    assert shown.bench.log is not None
    before = shown.bench.log.events()
    for path in ("/", "/press", "/events", "/review", "/what"):
        status, _, _ = _ask(server, path, method, X_Handsfree_Press="next")
        assert status in (404, 405)
    assert shown.bench.log.events() == before


def test_buttons_say_only_what_they_are_for_and_only_to_our_own_page() -> None:
    pressed: list[str] = []
    with closing(PageServer(ListeningAddress("127.0.0.1", 0), press=pressed.append)) as server:
        server.start()
        assert _ask(server, "/press", "POST", X_Handsfree_Press="stand by")[0] == 204
        assert _ask(server, "/press", "POST", X_Handsfree_Press="finish the job")[0] == 403
        assert _ask(server, "/press", "POST")[0] == 403
        assert _ask(server, "/press", "POST", X_Handsfree_Press="next", Origin="http://evil.example")[0] == 403
        assert _ask(server, "/press", "GET", X_Handsfree_Press="next")[0] != 204
    assert pressed == ["stand by"]


def test_the_key_alone_does_not_let_another_sites_page_press() -> None:
    pressed: list[str] = []
    with closing(PageServer(ListeningAddress("127.0.0.1", 0, KEY), press=pressed.append)) as server:
        server.start()
        for origin in ("http://evil.example", "null", "http://127.0.0.1:1"):
            assert _ask(server, f"/{KEY}/press", "POST", X_Handsfree_Press="next", Origin=origin)[0] == 403
    assert pressed == []


def test_the_review_so_far_is_that_of_the_log(small: Loaded, store: Store) -> None:
    with watched(small, store) as job:
        job.say("next", "log clearance seven thou", "leave open")
        assert job.bench.log is not None
        number = job.bench.log.job
        server = PageServer(ListeningAddress("127.0.0.1", 0), review=lambda: job_review(store, number))
        with closing(server):
            server.start()
            found = json.loads(_ask(server, "/review")[2])
    assert found["job"] == number
    (out,) = [texts for title, texts in found["points"] if title == "Out of limits, left open"]
    assert [point["text"] for point in out] == [
        "step 2: latch clearance, as set: 7 thou, limits 3 to 5 thou: out of limits, 2 thou over; left open"
    ]


def test_the_report_may_bring_its_own_style_but_no_script() -> None:
    server = PageServer(ListeningAddress("127.0.0.1", 0), report=lambda: "<!doctype html><title>Report</title>")
    with closing(server):
        server.start()
        status, headers, body = _ask(server, "/report")
    assert (status, body) == (200, b"<!doctype html><title>Report</title>")
    assert "script-src" not in headers["content-security-policy"]
    assert headers["content-security-policy"].startswith("default-src 'none'")


def _page_servers() -> set[threading.Thread]:
    return {thread for thread in threading.enumerate() if thread.name == "page server"}


def test_the_job_takes_its_server_with_it_and_leaves_the_review(small: Loaded, store: Store) -> None:
    before = _page_servers()
    with watched(small, store) as job:
        assert job.bench.log is not None
        number = job.bench.log.job
        server = PageServer(ListeningAddress("127.0.0.1", 0), review=lambda: job_review(store, number))
        server.start()
        server.show(job.view)
        with closing(Stream(server)) as stream:
            stream.next()
            server.close()
            last = stream.next("last")
            with pytest.raises(EOFError):
                stream.next()
    assert isinstance(last["review"], dict)
    assert last["review"]["job"] == number
    at = urlsplit(server.url)
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection((at.hostname, at.port), timeout=2)
    assert _page_servers() == before


def test_a_job_that_breaks_takes_its_server_with_it(small: Loaded, store: Store) -> None:
    args = argparse.Namespace(display=False, display_address="127.0.0.1:0", display_buttons=False, plain=True)
    with watched(small, store) as job:
        before = _page_servers()
        with pytest.raises(ZeroDivisionError), watched_by(args, job.bench, store, now=lambda: MORNING, source="typed"):
            started = _page_servers() - before
            assert len(started) == 1
            raise ZeroDivisionError
    assert not any(thread.is_alive() for thread in started)


def test_a_stream_that_is_open_when_the_key_changes_gets_nothing_more(small: Loaded, store: Store) -> None:
    """The display is closed and opened anew on the same port, with another key."""
    with watched(small, store) as job, ExitStack() as stack:
        first = stack.enter_context(closing(PageServer(ListeningAddress("127.0.0.1", 0, KEY))))
        first.start()
        first.show(job.view)
        stream = stack.enter_context(closing(Stream(first, f"/{KEY}/events")))
        assert _act(stream.next()) == "Press the spring down and hook it."
        first.close()
        first.show(job.say("next"))
        other = KEY[::-1]
        second = stack.enter_context(
            closing(
                PageServer(ListeningAddress("127.0.0.1", urlsplit(first.url).port or 0, other), review=lambda: None)
            )
        )
        second.start()
        second.show(job.view)
        assert stream.next("last") == {"review": None, "report": None}
        with pytest.raises(EOFError):
            stream.next()
        assert first.watching == second.watching == 0
        assert _ask(second, f"/{KEY}/events")[0] == _ask(second, f"/{KEY}/")[0] == 404
        assert (
            _act(stack.enter_context(closing(Stream(second, f"/{other}/events"))).next()) == "Set the latch clearance."
        )


def test_a_port_in_use_is_told_in_one_sentence(plain: PageServer) -> None:
    port = urlsplit(plain.url).port
    with pytest.raises(DisplayError, match=rf"port {port} of 127\.0\.0\.1 is in use.*--display-address 127\.0\.0\.1:"):
        PageServer(ListeningAddress("127.0.0.1", port or 0)).start()


def test_an_address_of_another_machine_is_told_in_one_sentence() -> None:
    with pytest.raises(DisplayError, match=r"can.t be served at 192\.0\.2\.77"):  # TEST-NET-1 of RFC 5737
        PageServer(ListeningAddress("192.0.2.77", 0)).start()


def test_fifty_pages_and_one_that_never_reads_do_not_hold_up_the_bench(
    server: PageServer, small: Loaded, store: Store
) -> None:
    with closing(Stream(server)) as deaf, ExitStack() as stack, watched(small, store, server.show) as job:
        streams = [stack.enter_context(closing(Stream(server))) for _ in range(50)]
        while server.watching < 51:
            time.sleep(0.01)
        # More than the system's buffers hold for a page that does not read: it stands still from here on.
        for count in range(12):
            server.show(replace(job.view, note="x" * 1_000_000, events=1000 + count))
            _until(streams[0], "events", 1000 + count)
        said = job.say("next", "log clearance four thou").said
        for stream in streams:
            _until(stream, "said", said)
        assert _act(deaf.next()) == "Press the spring down and hook it."


# addresses


@pytest.mark.parametrize(
    ("text", "host", "port", "open_to_others"),
    [
        ("0.0.0.0", "0.0.0.0", 8740, True),
        ("192.168.1.20:9000", "192.168.1.20", 9000, True),
        ("[::]:9000", "::", 9000, True),
        ("::1", "::1", 8740, False),
        ("127.0.0.1:0", "127.0.0.1", 0, False),
        ("localhost", "localhost", 8740, False),
    ],
)
def test_only_this_machine_comes_without_a_key(text: str, host: str, port: int, open_to_others: bool) -> None:
    place = parse_address(text)
    assert (place.host, place.port) == (host, port)
    assert bool(place.key) is open_to_others
    assert place.key == "" or (len(place.key) == 16 and place.key != parse_address(text).key)


@pytest.mark.parametrize("text", ["", ":9000", "0.0.0.0:door", "0.0.0.0:70000"])
def test_an_address_that_is_none_is_told(text: str) -> None:
    with pytest.raises(DisplayError, match="write it like"):
        parse_address(text)


def test_the_address_has_the_key_in_it() -> None:
    assert url(ListeningAddress("192.168.1.20", 0, KEY), 9000) == f"http://192.168.1.20:9000/{KEY}/"
    assert url(ListeningAddress("::1", 0), 9000) == "http://[::1]:9000/"
    assert "0.0.0.0" not in url(ListeningAddress("0.0.0.0", 0, KEY), 9000)


def test_the_code_on_the_terminal_reads_back_as_the_address() -> None:
    """Read by ZXing, an implementation of its own."""
    zxingcpp = pytest.importorskip("zxingcpp", reason="zxing-cpp is needed to read a QR code")
    address = f"http://192.168.1.20:8740/{KEY}/"
    lines = qr_lines(address)
    rows = [[character in dark for character in line] for line in lines for dark in ("█▀", "█▄")]
    picture = np.kron(np.where(rows, 0, 255).astype(np.uint8), np.ones((8, 8), np.uint8))
    assert zxingcpp.read_barcode(np.pad(picture, 40, constant_values=255)).text == address


def _crowd(server: PageServer, count: int) -> list[socket.socket]:
    """So many connections on which nobody says anything; those that are refused count as well."""
    at = urlsplit(server.url)
    crowd = []
    for number in range(count):
        if number % (ACCEPTED_AT_ONCE // 2) == 0:
            time.sleep(0.01)  # more at once than are accepted would wait a second for their next try
        idle = socket.socket()
        idle.settimeout(5)
        with contextlib.suppress(OSError):
            idle.connect((at.hostname, at.port))
        crowd.append(idle)
    return crowd


def _files_open() -> int:
    return len(list(Path("/proc/self/fd").iterdir()))


def test_idle_connections_without_the_key_neither_starve_the_page_nor_use_up_the_jobs_files(
    locked: PageServer, small: Loaded, store: Store
) -> None:
    # 1,100 of them ended a job that was being recorded, and 400 kept the tablet out.
    if not Path("/proc/self/fd").exists():
        pytest.skip("the system does not list the files that are open")
    before = _files_open()
    with ExitStack() as stack:
        crowd = [stack.enter_context(idle) for idle in _crowd(locked, 400)]
        assert _files_open() - before - len(crowd) <= MOST_STRANGERS + ACCEPTED_AT_ONCE + 20
        for _ in range(5):
            assert _ask(locked, f"/{KEY}/")[0] == 200
        stream = stack.enter_context(closing(Stream(locked, f"/{KEY}/events")))
        crowd += [stack.enter_context(idle) for idle in _crowd(locked, 100)]
        with watched(small, store, locked.show) as job:
            job.say("yes", "next", "log clearance four thou")
            assert stream.next()
    assert store.jobs()


class _Caller:
    def __init__(self) -> None:
        self.broken_off = False

    def break_off(self) -> None:
        self.broken_off = True


def test_strangers_are_few_by_address_and_go_in_the_order_in_which_they_came() -> None:
    now = 0.0
    door = Door(lambda: now)
    callers = {("10.0.0.1", port): _Caller() for port in range(MOST_STRANGERS_BY_ADDRESS + 3)}
    for client, caller in callers.items():
        door.come(client, caller)
        now += 1
    gone = [client[1] for client, caller in callers.items() if caller.broken_off]
    assert gone == [0, 1, 2]
    page = _Caller()
    door.come(("10.0.0.2", 1), page)
    assert door.let_in(("10.0.0.2", 1))
    for port in range(3 * MOST_STRANGERS):
        door.come((f"10.1.{port % 200}.7", port), _Caller())
    door.lose_patience(("10.0.0.2", 1))
    assert not page.broken_off
    assert not door.let_in(("10.0.0.1", 0))


def test_a_stranger_is_not_kept(locked: PageServer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("handsfree.display.door.STRANGER_SECONDS", 0.05)
    (idle,) = _crowd(locked, 1)
    with idle, contextlib.suppress(ConnectionResetError):
        assert idle.recv(1) == b""


@pytest.mark.parametrize("host", ["[::1", "]", "", "tern.example"])
def test_a_request_that_makes_no_sense_gets_nothing(plain: PageServer, with_key: PageServer, host: str) -> None:
    asked = ("GET foo HTTP/1.1", "GET / HTTP/1.1", "GET * HTTP/1.1", "GET // HTTP/1.1")
    for each, line in product((plain, with_key), asked):
        (raw,) = _crowd(each, 1)
        with raw:
            raw.sendall(f"{line}\r\nHost: {host}\r\n\r\n".encode())
            status = raw.recv(100).split(b" ")[1]
            assert status in (b"404", b"400"), (line, host, status)


def test_no_other_sites_page_can_load_what_belongs_to_this_one(plain: PageServer) -> None:
    for path in ("/", "/page.css", "/page.js"):
        assert _ask(plain, path)[1]["cross-origin-resource-policy"] == "same-origin"
