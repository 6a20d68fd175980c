"""Every page that is written or served, as it comes out of the commands, against what HTML and CSS are."""

from __future__ import annotations

import io
import struct
import sys
import zlib
from pathlib import Path

import html5lib
import pytest

from handsfree.cli import main
from handsfree.display.app import PAGE
from handsfree.job.log.store import Store
from handsfree.procedure.shipped import shipped_names
from tests.support.html_checker import found_by_html_checker

TAKEN_IN = [
    "--item", "Bench microscope <no. 2> & its case", "--serial", "0417/B", "--owner", "Åsling & Søn",
    "--complaint", 'It sticks "half way"', "--contact", "0191 498 0143", "--accessory", "key", "--promised", "friday",
    "--agreed", "80",
]  # fmt: skip
WORK = """\
note the complaint
the slide is stiff
end of note
serious finding
the strip is worn hollow
end of note
next
log clearance seven thou
note
the pivot is worn <b>on one side</b> & filed
end of note
timer bath ten minutes
next
log clearance four and a half thou
skip this step
gasket to come
next
order two gib screws
finish the job
yes
"""
APART = """\
removed four screws, from the lower bracket
one dot across the cover and the body
"""


def _square() -> bytes:
    """A picture of one grey dot."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = bytes.fromhex("00000001 00000001 08 00 00 00 00")
    body = chunk(b"IDAT", zlib.compress(b"\0\x80"))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + body + chunk(b"IEND", b"")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Every page, of jobs in which there was something to be told."""
    folder = tmp_path_factory.mktemp("pages")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("XDG_CONFIG_HOME", str(folder / "home"))
        Path("photo.png").write_bytes(_square())

        def do(*words: str, typed: str = "") -> None:
            patch.setattr(sys, "stdin", io.StringIO(typed))
            assert main([*words, "--logs", "logs"]) == 0, words

        typed = ["--plain", "--listen", "typed", "--speak", "print"]
        do("job", "new", *TAKEN_IN)
        (job,) = (each.id for each in Store(Path("logs")).jobs())
        do("sheet", job, "--to", "sheet-of-a-job.html")
        do("run", "focusing-slide", "--job", job, "--by", "T. Gable", *typed, typed=WORK)
        do("job", "attach", job, "photo.png", "--text", 'the strip, "as found"')
        do("run", "hook-timing", "--new", *typed, typed="next\nnext\n")
        do("strip", "Bench gauge", *typed, typed=APART)
        for each in Store(Path("logs")).jobs():
            do("report", each.id, "--to", f"report-{each.purpose}-{each.id}.html")
        everything = [f"--with={part}" for part in ("time line", "charts", "sounds", "charges", "remarks")]
        do("report", job, *everything, "--sound", "all", "--say", "Keep it dry & clean.", "--to", "report-of-all.html")
        do("history", "--to", "history.html")
        do("history", "gib clearance", "--to", "history-of-a-figure.html")
        for name in shipped_names():
            assert main(["card", name, "--to", f"card-{name}.html"]) == 0
    return [*sorted(folder.glob("*.html")), PAGE / "index.html"]


def test_the_nu_html_checker_finds_nothing_on_any_page(pages: list[Path]) -> None:
    assert len(pages) >= 10
    assert found_by_html_checker([*pages, *PAGE.glob("*.css")]) == []


def test_every_page_is_html_without_a_parse_error(pages: list[Path]) -> None:
    # html5lib's strict parser raises at the first parse error of the HTML standard.
    for page in pages:
        html5lib.HTMLParser(strict=True).parse(page.read_text(encoding="utf-8"))
