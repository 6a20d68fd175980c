"""What all pages share: the templates, the style, how times are written, and the foot of a printed page."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from handsfree.job.facts import FACTS
from handsfree.measure.formatting import size_written
from handsfree.procedure.parts import OCCASIONS
from handsfree.review.pages.charts import legend
from handsfree.review.record_lines import FactLine
from handsfree.text.printed import style_sheet
from handsfree.text.terminal import printable_lines
from handsfree.wording.facts import ONLY_SOUND, fact_value
from handsfree.wording.readings import decision_words

LONGEST = 200
"""Letters of a point where room is short; the record has the whole of a longer one."""
LONGEST_SHOWN_NAME = 90
"""Letters of a name there."""
_LONGEST_FOOT = 90
"""Letters of the words at the foot of a page: more would run into its number."""


def render(template: str, *, foot: str, **content: Any) -> str:
    """A page from one of the templates here, everything in it escaped; ``foot`` stands on each printed page, beside
    its number."""
    text = _environment().get_template(template).render(css=Markup(style_sheet()) + page_foot(foot), **content)
    # HTML has no place for control characters, and none may turn the direction of writing.
    return printable_lines(text)


def page_foot(words: str) -> Markup:
    """The foot of each printed page, as CSS (paged media, margin boxes): ``words``, and the number of the page. What a
    name or a serial number may hold does not get out of the string: only letters, digits and a few signs are kept."""
    safe = "".join(letter if letter.isalnum() or letter in " .,-/()" else " " for letter in words)
    left = f'content: "{" ".join(safe.split())[:_LONGEST_FOOT]}";'
    right = 'content: "page " counter(page) " of " counter(pages);'
    return Markup(f"@page {{ @bottom-left {{ {left} }} @bottom-right {{ {right} }} }}\n")


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("handsfree.review.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=False,
        lstrip_blocks=False,
    )
    environment.globals["only_sound"] = ONLY_SOUND
    environment.globals["forms"] = Markup(legend(OCCASIONS))
    environment.filters |= {"moment": moment, "day": day, "clock": clock, "span": span, "capital": capital}
    environment.filters |= {"by_name": by_name, "fact_name": fact_name, "fact_value": fact_value}
    environment.filters |= {"decided": decision_words, "short": shortened, "sized": size_written}
    return environment


def fact_name(about: str) -> str:
    """How a fact is called wherever it is told."""
    return FACTS[about].said if about in FACTS else about


def by_name(lines: Iterable[FactLine]) -> list[tuple[tuple[str, str | None], list[FactLine]]]:
    """What was told, by what it is about and how serious it is, in the order in which each first came: in a list of
    names with what is said of them, a name stands once."""
    found: dict[tuple[str, str | None], list[FactLine]] = {}
    for line in lines:
        found.setdefault((line.about, line.severity), []).append(line)
    return list(found.items())


def moment(at: datetime | str) -> str:
    """Local date and time to the minute."""
    return _local(at).strftime("%Y-%m-%d %H:%M")


def day(at: datetime | str) -> str:
    """Local date."""
    return _local(at).strftime("%Y-%m-%d")


def clock(at: datetime | str) -> str:
    """Local time of day to the second."""
    return _local(at).strftime("%H:%M:%S")


def _local(at: datetime | str) -> datetime:
    return (datetime.fromisoformat(at) if isinstance(at, str) else at).astimezone()


def span(seconds: float) -> str:
    """ "40 s", "12 min", "2 h 05 min"."""
    if seconds < 60:
        return f"{round(seconds)} s"
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02} min" if minutes >= 60 else f"{minutes} min"


def shortened(text: str, most: int = LONGEST, *, end: bool = False) -> str:
    """At most so many letters, cut between words where there are any. The end goes; with ``end`` something before it,
    where it is the end that tells one of several alike."""
    if len(text) <= most:
        return text
    if end:
        tail = text[len(text) - most // 3 :]
        tail = tail[tail.find(" ") + 1 :] if " " in tail[:-1] else tail
        return f"{shortened(text[: len(text) - len(tail)], most - len(tail) - 1)} {tail}"
    cut = text[: most - 1]
    return f"{cut[: cut.rfind(' ')] if cut.rfind(' ') > most // 2 else cut}…"


def capital(text: str) -> str:
    """With a capital letter at the beginning, the rest as it is."""
    return text[:1].upper() + text[1:]
