"""The sheet that goes with an item from the counter on: whose it is, what was arranged, and a label with its number."""

from __future__ import annotations

from datetime import datetime

import segno
from markupsafe import Markup

from handsfree.job.counter.orders import orders_of
from handsfree.job.events import FactNoted
from handsfree.job.facts import FACTS
from handsfree.job.state import Entry, JobState
from handsfree.review.pages.shared import render
from handsfree.wording.facts import ONLY_SOUND, fact_value

_SHOWN = ("complaint", "condition", "accessory", "promised", "agreed", "approved", "returns")
_RULED = 6
"""Lines to write on by hand."""


def job_sheet(state: JobState, job: str, *, workshop: str, currency: str, written_at: datetime, version: str) -> str:
    """One page that needs nothing but itself, on paper of A4 or Letter; the code on its label is the job's number."""
    told = []
    for fact in (FACTS[name] for name in _SHOWN):
        texts = [_shown(entry, currency) for entry in state.facts(fact.name)]
        if texts:
            told.append((fact.said if len(texts) == 1 else fact.many, texts))
    return render(
        "job_sheet.html",
        foot=f"Job {job}",
        job=job,
        code=qr_code(job),
        workshop=workshop,
        head=[(name, state.fact(name)) for name in ("item", "serial", "owner", "contact")],
        opened=state.opened.at if state.opened else written_at,
        told=told,
        orders=[f"{order.text} ({order.stage})" for order in orders_of(state)],
        ruled=range(_RULED),
        closing=f"Written {written_at.astimezone():%Y-%m-%d %H:%M} by Handsfree {version} from the job's log.",
    )


def _shown(entry: Entry, currency: str) -> str:
    event = entry.event
    assert isinstance(event, FactNoted)
    text = fact_value(event, entry.text) or ONLY_SOUND
    return f"{text} {currency}".strip() if event.amount and text == event.amount else text


def qr_code(text: str) -> Markup:
    """A QR code (ISO/IEC 18004) of ``text`` as a drawing in a page."""
    drawn = segno.make(text, error="m", micro=False).svg_inline(scale=4, border=4, dark="#000", light="#fff")
    return Markup(drawn)
