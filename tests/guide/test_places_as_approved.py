"""What is seen at each kind of place in a job, what is expected to be said there, and what comes where nothing is said
or what was being said is cut off: word for word as it was read and found right."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from handsfree.guide.effects import Say
from handsfree.guide.view.snapshot import other_item
from tests.support.approved import assert_approved
from tests.support.at_the_bench import AT_THE_BENCH, TAKING_APART, at, seen, told
from tests.support.conversation import Conversation

PLACES = {
    **{place: (lines, False) for place, lines in AT_THE_BENCH.items()},
    **{f"apart {place}": (lines, True) for place, lines in TAKING_APART.items()},
}
_FIGURES = (
    "log four thou",
    "log clearance four point one thou",
    "log four hundred thou",
    "log stop gap ten millimetres",
)
_MOST = 8
"""So many things that time brings are told."""


@pytest.mark.parametrize("place", PLACES)
def test_what_a_place_is_like(place: str) -> None:
    lines, apart = PLACES[place]
    cut_off = at(*lines, apart=apart)
    parts = {
        "seen": seen(at(*lines, apart=apart)),
        "seen from another job": [str(other_item(cut_off.guide, cut_off.now))],
        "expected": _expected(at(*lines, apart=apart)),
        "where what was said is cut off, and a reason asked for": [_cut_off(cut_off)],
        "where nothing more is said": _silence(at(*lines, apart=apart)),
    }
    text = "\n".join(f"{title}:\n{''.join(f'    {line}{chr(10)}' for line in told)}" for title, told in parts.items())
    assert_approved(f"places/{re.sub('[ ,]+', '-', place)}.txt", text)


def _expected(talk: Conversation) -> list[str]:
    expected = talk.guide.expects()
    limits = {name: (str(each.low), str(each.high)) for name, each in expected.limits.items()}
    interpret = talk.session.language.interpret_text
    hardly = [line for line in _FIGURES if any(map(expected.implausible, interpret(line)))]
    return [
        f"units: {dict(expected.units)}",
        f"limits: {limits}",
        f"as found: {sorted(expected.found)}",
        f"answers: {', '.join(sorted(kind.name for kind in expected.answers or ()))}",
        *(f"hardly meant: {words}" for words in hardly),
    ]


def _last_say(talk: Conversation) -> int | None:
    return next((effect.token for effect in reversed(talk.effects) if isinstance(effect, Say)), None)


def _cut_off(talk: Conversation) -> str:
    token = _last_say(talk)
    if token is not None:
        talk.happens(talk.guide.spoken(token, completed=False, now=talk.now))
        talk.say("why")
    return told(talk.effects, "why")


def _silence(talk: Conversation) -> list[str]:
    """What was said is heard to its end, and time passes: nothing comes a second early."""
    found = []
    token = _last_say(talk)
    if token is not None:
        talk.happens(talk.guide.spoken(token, completed=True, now=talk.now))
        found.append(told(talk.effects))
    begun = talk.now
    while (due := talk.guide.next_due()) is not None and len(found) < _MOST:
        assert talk.guide.tick(due - timedelta(seconds=1)) == []
        talk.happens(talk.guide.tick(due))
        found.append(f"after {due - begun}: {told(talk.effects)}")
    return found
