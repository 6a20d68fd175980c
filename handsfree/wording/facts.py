"""Facts about a job in words: what each is called, and each in a sentence."""

from __future__ import annotations

from handsfree.job.events import FactNoted
from handsfree.job.state import Entry
from handsfree.phrases.commands import CODES
from handsfree.phrases.quantities.spelling import spelled
from handsfree.text.prose import sentence

NAMES = {
    "item": "item number", "serial": "serial number", "owner": "owner", "complaint": "complaint",
    "condition": "condition as found", "part replaced": "part replaced", "material": "material used",
    "finding": "finding", "signed off": "signed off by",
}  # fmt: skip
"""What each fact is called when it is spoken of."""


def fact_words(entry: Entry) -> str:
    """A fact in one sentence."""
    event = entry.event
    assert isinstance(event, FactNoted)
    name = f"{event.severity} finding" if event.severity else NAMES[event.about]
    free = event.to_type or " " in entry.text or event.about not in CODES.values()
    text = entry.text or "kept as sound"
    if event.about == "signed off" and free:
        return sentence(f"{name} {text}")
    return sentence(f"{name}, {text}") if free else f"{sentence(name)} {spelled(text)}"
