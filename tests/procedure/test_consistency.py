"""What must hold between steps, asked of their outlines."""

from __future__ import annotations

from handsfree.procedure.check.consistency import inconsistencies
from handsfree.procedure.check.outline import Measured, Outline


def measuring(*names: str | None) -> Outline:
    """A step in which these are measured; None for a name that can't be read."""
    return Outline(0, "set", measured=[Measured(("steps", 0, "measure", n), name) for n, name in enumerate(names)])


def said(*steps: Outline, vocabulary: dict[str, tuple[str, ...]]) -> list[str]:
    return [message for _, message in inconsistencies(steps, vocabulary)]


def test_a_vocabulary_of_something_that_no_step_measures_is_a_mistake() -> None:
    (message,) = said(measuring("end float"), vocabulary={"clearance": ("gap",)})
    assert message == '"vocabulary" names "clearance", which no step measures; correct the name or take it out'


def test_while_a_name_can_t_be_read_nobody_says_that_the_vocabulary_s_is_wrong() -> None:
    # It may be the very one that is meant.
    assert said(measuring("end float", None), vocabulary={"clearance": ("gap",)}) == []


def test_a_word_of_the_vocabulary_that_means_something_else_already_is_told_whatever_can_t_be_read() -> None:
    (message,) = said(measuring("end float", "play", None), vocabulary={"end float": ("play",)})
    assert message == '"play" already stands for "play" (step 1); a spoken name may mean one thing only'


def test_the_first_step_of_two_with_one_identifier_keeps_it() -> None:
    steps = [Outline(0, "fit"), Outline(1, "set"), Outline(2, "fit")]
    assert list(inconsistencies(steps)) == [
        (("steps", 2, "id"), '"fit" is already the identifier of step 1; choose another')
    ]
