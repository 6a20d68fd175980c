"""What each kind of command may change."""

from __future__ import annotations

from handsfree.phrases.intents import Changes, Kind


def test_of_every_kind_it_is_known_what_it_may_change() -> None:
    assert {kind for kind in Kind if isinstance(kind.changes, Changes)} == set(Kind)


def test_only_an_answer_may_change_whatever_was_asked() -> None:
    assert all(kind.changes is Changes.ASKED for kind in Kind if kind.only_answers)
