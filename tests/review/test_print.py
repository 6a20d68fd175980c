"""The report on paper: the owner's part is one page, whatever the job was, and nothing is cut or empty."""

from __future__ import annotations

import re
import shutil
import subprocess
from contextlib import closing
from pathlib import Path

import pytest

from handsfree.job.events import Event, FactNoted, ReadingSettled, StepDone
from handsfree.job.state import fold
from handsfree.review.pages.job_sheet import job_sheet
from handsfree.review.pages.report import Integrity, report_page
from handsfree.review.record import record_of
from handsfree.review.source import procedure_of
from tests.support.browser import CHROMIUM, launched, print_with_browser
from tests.support.story import OPENED, STORY, at, reading

LONG = "clearance between the retaining collar and the shouldered bush at the far end of the traverse screw"
PLACES = ("front post", "rear post", "left pivot", "right pivot", "upper bridge")


def measured(count: int, name: str = "gap", places: tuple[str, ...] = ("",)) -> list[Event]:
    """Found out of limits and left so, the last one the worst."""
    events: list[Event] = []
    for n in range(count):
        for place in places:
            for occasion, over in (("as found", 6), ("as left", n + 1)):
                one = reading(
                    len(events) + 1, f"{over + 5} thou", characteristic=f"{name} {n + 1}", place=place or None,
                    occasion=occasion, decision="out of limits", beyond=f"{over} thou", side="high",
                )  # fmt: skip
                events += [one, ReadingSettled(at=at(len(events) + 1), id=one.id)]
    return events


def told(words: str, count: int = 12) -> list[Event]:
    return [
        FactNoted(at=at(n), id=f"f{n}", about="finding", text=f"{words}, number {n + 1}", severity="serious")
        for n in range(count)
    ]  # fmt: skip


JOBS: dict[str, list[Event]] = {
    "no figures": [StepDone(at=at(1), step="cover")],
    "small": list(STORY),
    "forty figures": [*measured(40), *told("the outer race is pitted", 2)],
    "long names": [*measured(8, LONG), *told(f"{LONG} is worn oval, pitted and was bent before")],
    "five places": [*measured(3, "post clearance", PLACES), *told("the post is bent", 1)],
}


def whole_page(job: str) -> str:
    opened = OPENED
    if job == "long names":
        opened = OPENED.model_copy(update={"item": LONG, "serial": "0417-" * 30, "owner": f"{LONG} and sons"})
    story = [opened, *JOBS[job]]
    procedures = {OPENED.procedure_name: procedure_of(OPENED)}
    record = record_of(procedures, fold(story), story, job="2026-11-25-1")
    say = "Bring it again in a year. " * 20 if job == "long names" else ""
    return report_page(record, procedures, integrity=Integrity(), written_at=at(200), version="1", say=say.strip())


def printed_pages(text: str, paper: str, folder: Path) -> list[str]:
    source, printed = folder / "report.html", folder / "report.pdf"
    source.write_text(text.replace("</style>", f"@page {{ size: {paper}; }}\n</style>", 1), encoding="utf-8")
    print_with_browser(source, printed)
    shown = subprocess.run(["pdftotext", "-layout", str(printed), "-"], check=True, capture_output=True, text=True)
    return shown.stdout.split("\f")[:-1]


@pytest.mark.slow
@pytest.mark.skipif(
    not (CHROMIUM and shutil.which("pdftotext")), reason="Chromium and pdftotext (poppler-utils) are needed to print"
)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("job", JOBS)
def test_the_owners_part_is_one_page_and_no_page_is_empty(job: str, paper: str, tmp_path: Path) -> None:
    pages = printed_pages(whole_page(job), paper, tmp_path)
    first = re.sub(r"\s+", " ", pages[0])
    assert len(pages) >= 2
    for words in ("What was found", "What was done", "Measured", "To watch", "For the workshop", "Date"):
        assert words in first
    assert "Technical record" not in first.replace("in the technical record", "")
    assert "Technical record" in pages[1]
    assert all(len(page.split()) > 25 for page in pages)
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in page
        assert "Job 2026-11-25-1, serial number 0417" in page


@pytest.mark.slow
@pytest.mark.skipif(
    not (CHROMIUM and shutil.which("pdftotext")), reason="Chromium and pdftotext (poppler-utils) are needed to print"
)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_of_a_job_is_one_page_with_its_lines_and_its_label(paper: str, tmp_path: Path) -> None:
    state = fold([OPENED, *told("the post is bent", 4)])
    text = job_sheet(state, "2026-11-25-1", workshop="Tern & Gable", currency="pounds", written_at=at(5), version="1")
    (page,) = printed_pages(text, paper, tmp_path)
    assert all(words in page for words in ("Arranged", "By hand", "Label", "page 1 of 1"))


@pytest.mark.slow
@pytest.mark.skipif(
    not (CHROMIUM and shutil.which("pdftotext")), reason="Chromium and pdftotext (poppler-utils) are needed to print"
)
def test_what_has_no_room_on_the_owners_page_is_counted_there_and_stands_in_the_record(tmp_path: Path) -> None:
    pages = printed_pages(whole_page("forty figures"), "Letter", tmp_path)
    first, rest = pages[0], " ".join(pages[1:])
    shown = {int(number) for number in re.findall(r"Gap (\d+) ", first)}
    (more,) = re.findall(r"And (\d+) more figures, none of them worse, in the technical record", first)
    assert len(shown) + int(more) == 40
    assert shown == set(range(41 - len(shown), 41))
    assert first.count("the outer race is pitted".capitalize()) == 2
    # All of them, with every reading, also where a table goes on overleaf.
    assert {int(number) for number in re.findall(r"Gap (\d+), 2 to 5 thou", rest)} == set(range(1, 41))


@pytest.mark.slow
@pytest.mark.skipif(
    not (CHROMIUM and shutil.which("pdftotext")), reason="Chromium and pdftotext (poppler-utils) are needed to print"
)
def test_a_dozen_serious_findings_and_the_worst_figures_are_all_on_the_owners_page(tmp_path: Path) -> None:
    first = printed_pages(whole_page("long names"), "Letter", tmp_path)[0]
    assert first.count("Serious:") == 12
    assert re.search(r"out of limits, 8 thou over", first) and re.search(r"out of limits, 7 thou over", first)


@pytest.mark.slow
@pytest.mark.skipif(not CHROMIUM, reason="Chromium is needed to show a page")
def test_an_accessibility_checker_finds_nothing_folded_or_open_light_or_dark(tmp_path: Path) -> None:
    """Checked with axe-core."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python brings axe-core")
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright drives the browser")
    source = tmp_path / "report.html"
    source.write_text(whole_page("five places"), encoding="utf-8")
    with playwright.sync_playwright() as driver, closing(launched(driver)) as browser:
        page = browser.new_page(viewport={"width": 390, "height": 844})
        page.goto(source.as_uri())
        for opened, light in ((False, "light"), (True, "light"), (True, "dark")):
            page.emulate_media(color_scheme=light)
            page.evaluate(
                "open => document.querySelectorAll('details').forEach(each => { each.open ||= open })", opened
            )
            assert page.evaluate("document.documentElement.scrollWidth") == 390
            found = axe.Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
            assert [(each["id"], [node["target"] for node in each["nodes"]]) for each in found] == []


@pytest.mark.slow
@pytest.mark.skipif(not CHROMIUM, reason="Chromium is needed to show a page")
@pytest.mark.parametrize(("width", "share"), [(390, 0.84), (800, 0.6), (1280, 0.7)])
def test_of_a_chart_the_plot_is_the_most_and_nothing_beside_it_is_cut(width: int, share: float, tmp_path: Path) -> None:
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright drives the browser")
    source = tmp_path / "report.html"
    source.write_text(whole_page("five places"), encoding="utf-8")
    with playwright.sync_playwright() as driver, closing(launched(driver)) as browser:
        page = browser.new_page(viewport={"width": width, "height": 844})
        page.goto(source.as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
        assert page.evaluate("document.documentElement.scrollWidth") == width
        charts = page.locator(".chart[role=img]").all()
        assert len(charts) == 3
        for chart in charts:
            plot, whole = chart.bounding_box(), chart.locator("xpath=..").bounding_box()
            assert plot["width"] / whole["width"] >= share
            for text in chart.locator("text:visible").all():
                box = text.bounding_box()
                assert box["x"] >= 0 and box["x"] + box["width"] <= width
