"""What comes in, changed at random: archives, sound, procedures, requests to the page's server."""

from __future__ import annotations

import random
import shutil
import socket
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit

import numpy as np
import soundfile

from handsfree.audio.errors import SoundError
from handsfree.audio.files import load_recording
from handsfree.display.address import ListeningAddress
from handsfree.display.server import PageServer
from handsfree.job.log import backup
from handsfree.procedure.shipped import find
from tests.faults.logs import HARMS, answers, larger_log
from tests.faults.outcomes import Outcome, Tally, said_by

KEY = "abcdefgh23456789"
PATHS = ("", "page.css", KEY[:-1], "../", "%2e")


def _changed(content: bytes, chance: random.Random) -> bytes:
    hurt = bytearray(content)
    for _ in range(chance.choice((1, 1, 2, 8))):
        if hurt:
            chance.choice(HARMS)(hurt, chance)
    if chance.random() < 0.1:
        at = chance.randrange(len(hurt) + 1)
        hurt[at:at] = chance.choice((b"\x00", b"\xff\xfe", b"1e999", b"[" * 2000, b"\r\n", b"&a [*a]", b"x" * 5000))
    return bytes(hurt)


def archives(folder: Path, tally: Tally, count: int, chance: random.Random) -> None:
    """Backups that are brought back: the same log, or none and a sentence."""
    log = larger_log(folder)
    backup.save(log, folder / "good.zip")
    good, to, file = (folder / "good.zip").read_bytes(), folder / "to", folder / "changed.zip"
    right = answers(log)

    def restored() -> Outcome:
        code, _, _ = said_by("restore", str(file), "--logs", str(to))
        if code:
            return "silent" if (to / "handsfree.db").exists() else "told"
        return "harmless" if answers(to) == right else "silent"

    for number in range(count):
        shutil.rmtree(to, ignore_errors=True)
        file.write_bytes(_changed(good, chance))
        tally.judged(f"archive {number}", restored)


def sounds(folder: Path, tally: Tally, count: int, chance: random.Random) -> None:
    """Recordings: a sound of some length, or a sentence. Nothing says what a recording was, so other sound is no
    fault; far more of it than there was would be."""
    tone = np.sin(np.arange(16_000) / 9) / 2
    made = []
    for name, rate in (("a.wav", 16_000), ("b.flac", 44_100), ("c.ogg", 22_050), ("d.aiff", 8_000), ("e.mp3", 16_000)):
        soundfile.write(folder / name, tone, rate)
        made.append(folder / name)

    def loaded(file: Path) -> Outcome:
        try:
            sound = load_recording(file)
        except SoundError:
            return "told"
        return "harmless" if len(sound) < 100 * len(tone) and np.isfinite(sound).all() else "silent"

    for number in range(count):
        good = made[number % len(made)]
        file = folder / f"changed{good.suffix}"
        file.write_bytes(_changed(good.read_bytes(), chance))
        tally.judged(f"{file.name} {number}", lambda file=file: loaded(file))  # type: ignore[misc]


def procedures(folder: Path, tally: Tally, count: int, chance: random.Random) -> None:
    """Procedure files: what can be said with them, or what is wrong with them."""
    made = [find(name).read_bytes() for name in ("focusing-slide", "engine-valves", "lathe-spindle")]
    file = folder / "changed.yaml"

    def read() -> Outcome:
        code, _, said = said_by("check", str(file))
        return "told" if code else "harmless" if not said else "silent"

    for number in range(count):
        file.write_bytes(_changed(made[number % len(made)], chance))
        tally.judged(f"procedure {number}", read)


def requests(tally: Tally, count: int, chance: random.Random) -> None:
    """Requests to the server of the page: without the key nothing comes back but that there is nothing."""
    with closing(PageServer(ListeningAddress("127.0.0.1", 0, KEY), press=lambda words: None)) as server:
        server.start()
        at = urlsplit(server.url)
        for number in range(count):
            way, host = chance.choice(("GET", "POST", "PUT", "HEAD")), chance.choice((at.netloc, "[::1", "x", ""))
            path, length = chance.choice(PATHS), chance.choice(("0", "-1", "9" * 30))
            written = (f"{way} /{path} HTTP/1.1", f"Host: {host}", f"Content-Length: {length}", "Connection: close")
            request = _changed("".join(f"{line}\r\n" for line in (*written, "")).encode(), chance)
            tally.judged(f"request {number}: {request[:60]!r}", lambda request=request: _asked(at, request))  # type: ignore[misc]


def _asked(at: object, request: bytes) -> Outcome:
    with socket.create_connection((getattr(at, "hostname", ""), getattr(at, "port", 0)), timeout=10) as connection:
        try:
            connection.sendall(request)
            connection.shutdown(socket.SHUT_WR)
            answer = connection.recv(4096)
        except (ConnectionError, OSError) as error:
            if isinstance(error, TimeoutError):
                return "silent"
            return "told"
    status = answer.split(b" ")[1:2]
    if status and status[0].startswith(b"5"):
        return "silent"
    return "silent" if status and status[0].startswith(b"2") else "told"
