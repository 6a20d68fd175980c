"""Taking apart as a part of a job, in the workshop's own words: what came off, as found, is the job's."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timezone

import pytest

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import NO_WORKSHOP, ready
from handsfree.guide.desk import Desk
from handsfree.job.disassembly import removals, taken_apart
from handsfree.job.events import PartsRemoved
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.making.draft import drafted
from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.words import KnownWords
from handsfree.procedure.workshop import Workshop
from handsfree.review.pages.report import Integrity, report_page
from handsfree.review.record import record_of
from handsfree.review.source import procedures_of
from handsfree.review.text.whole import review_text
from tests.support.played import Played, played_out

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=timezone.utc)
OWN = KnownWords(
    parts=("feed dogs", "bobbin case"),
    places=("bed",),
    fasteners=("hook screw",),
    sizes=("hook thread",),
    measured={"thread tension": ("force",), "lift of the foot": ()},
)

Work = Callable[..., Played]


@pytest.fixture
def at_work(small: Loaded, store: Store) -> Work:
    """Plays typed lines on one job: begun by taking apart, by the small procedure, or taken up again."""

    def work(*lines: str, apart: bool = True, job: str | None = None, workshop: Workshop = NO_WORKSHOP) -> Played:
        loaded = stripping_procedure("Bench gauge, pattern C") if apart else small
        purpose = "stripping" if apart else "repair"
        made = ready(
            loaded, store, NOON, purpose=purpose, words=OWN, job=job, workshop=workshop, new=job is None,
            changing_too=True,
        )  # fmt: skip
        return played_out(made, store, typed(lines, made.language), NOON)

    return work


def _job(store: Store) -> str:
    return store.jobs()[0].id


def test_a_job_in_hand_can_be_taken_apart_by_voice_and_goes_on_where_it_was(at_work: Work) -> None:
    played = at_work(
        "next", "begin taking apart", "removed two screws, M two by five", "tray three", "end of taking apart",
        "log four thou", apart=False,
    )  # fmt: skip
    begun = played.answers("begin taking apart")[0]
    assert begun.startswith("Danger stands since step one of Adjustment of the gate latch.")
    assert begun.endswith("Say what comes off, and its tray.")
    assert played.answers("end of taking apart")[0] == "Taken apart, two things off."
    assert "Step two. Set the latch clearance." in played.answers("end of taking apart")[1]
    assert played.last == "Latch clearance, four thou. In limits."
    assert played.state.purpose == "repair"


def test_a_job_may_begin_by_taking_apart_and_go_on_with_a_procedure(at_work: Work, store: Store) -> None:
    at_work("end play nine thou", "removed the cover", "tray one", "mark made at the bottom", "pause the job")
    assert store.jobs()[0].purpose == "stripping"
    played = at_work("next", "log four thou", "pause the job", apart=False, job=_job(store))
    assert "Step one." in played.said[0]
    assert store.jobs()[0].purpose == "repair"
    state = played.state
    text = review_text(procedures_of(state), state, played.events, job="1")
    for words in ("TAKING APART: BENCH GAUGE, PATTERN C", "The cover. Tray 1.", "Mark made at the bottom.",
                  "end play: 9 thou", "latch clearance"):  # fmt: skip
        assert words in text
    record = record_of(procedures_of(state), state, played.events, job="1")
    (off,), (mark,), found = record.removals, record.marks, record.figures
    assert (off.words, off.tray, off.state, mark.words) == ("the cover", 1, "standing", "mark made at the bottom")
    page = report_page(
        record, procedures_of(state), integrity=Integrity(), written_at=NOON, version="1", sound=lambda _: None
    )
    for words in (
        "<h3>Taken apart</h3>",
        "The cover",
        "Mark made at the bottom",
        'End play</th><td class="figure" data-head="as found">9 thou',
    ):
        assert words in page
    assert 'End play</th><td class="figure" data-head="as found">9 thou' in page
    assert "Take it apart" not in page
    assert [(line.characteristic, line.occasion, line.as_said) for line in found] == [
        ("end play", "as found", "9 thou"), ("latch clearance", "as set", "4 thou"),
    ]  # fmt: skip


def test_taking_apart_is_gone_on_with_and_nothing_is_asked_about_steps(at_work: Work, store: Store) -> None:
    at_work("removed the cover", "pause the job")
    played = at_work("removed the lever", job=_job(store))
    assert played.said == [
        "Taking apart: Bench gauge, pattern C. One thing off; last, the cover. Say what comes off, and its tray.",
        "The lever.",
    ]


def test_a_job_that_was_worked_can_be_taken_apart_later(at_work: Work, store: Store) -> None:
    at_work("next", "pause the job", apart=False)
    played = at_work("removed the cover", "finish the job", "yes", job=_job(store))
    assert [off.what for off in removals(played.state)] == ["cover"]
    assert played.over == "finished"
    assert "Adjustment of the gate latch" in played.said[-2]
    state = taken_apart(played.state)
    assert state is not None
    assert "Fit the cover." in drafted(state, "1").text


def test_taking_apart_is_no_step_that_was_not_done(at_work: Work, store: Store) -> None:
    at_work("removed the cover", "tray one", "pause the job")
    played = at_work("pause the job", apart=False, job=_job(store))
    record = record_of(procedures_of(played.state), played.state, played.events, job="1")
    assert not [finding for finding in record.findings if "Take it apart" in finding.text]


def test_a_workshops_own_words_are_known_in_the_singular_and_the_plural(at_work: Work) -> None:
    workshop = Workshop(words=KnownWords(places=("needle bar side",)))
    played = at_work(
        "removed the feed dog", "removed two feed dogs from the bed", "removed a hook screw hook thread",
        "removed two bobbin cases from the needle bar side", "thread tension two grams", workshop=workshop,
    )  # fmt: skip
    assert played.said[1:] == [
        "The feed dog.", "Two feed dogs, from the bed.", "One hook screw, hook thread.",
        "Two bobbin cases, from the needle bar side.", "Thread tension, as found, two grams force.",
    ]  # fmt: skip


def test_what_the_procedures_at_hand_measure_is_known(at_work: Work) -> None:
    # Of a shipped procedure.
    assert at_work("hook gap point one millimetres").last == "Hook gap, as found, nought point one millimetres."


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("removed two grub screws six BA", ("grub screw", "6 BA", 2)),
        ("removed two six BA grub screws", ("grub screw", "6 BA", 2)),
        ("removed a grub screw, 6 BA", ("grub screw", "6 BA", 1)),
        ("removed a screw number six forty", ("screw", "6-40", 1)),
        ("removed two M two by five cheese head screws", ("screw", "M2 x 5", 2)),
        ("removed three nuts, hexagon head, six BA", ("nut", "6 BA", 3)),
    ],
)
def test_a_fastener_is_named_in_any_usual_order(at_work: Work, said: str, written: tuple[str, str, int]) -> None:
    (off,) = removals(at_work(said).state)
    assert (off.what, off.size, off.count) == written


def test_a_spring_sits_hook_up(at_work: Work) -> None:
    (off,) = removals(at_work("took off a spring, hook up").state)
    assert (off.what, off.way) == ("spring", "hook up")


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("end play four hundred grams", "End play is a length or an angle. Not logged."),
        ("backlash two degrees", "Backlash, as found, two degrees."),
        ("drag two grams", "Drag, as found, two grams force."),
        ("torque two newton centimetres", "Torque, as found, two newton centimetres."),
        ("torque two thou", "Torque is a torque. Not logged."),
        ("lift of the foot two millimetres", "Lift of the foot, as found, two millimetres."),
        ("lift of the foot two grams", "Lift of the foot, as found, two grams."),
    ],
)
def test_a_figure_has_a_unit_that_its_name_allows(at_work: Work, said: str, answer: str) -> None:
    assert at_work(said).last == answer


def test_a_plural_without_a_number_is_asked_back_and_not_written(at_work: Work) -> None:
    played = at_work("removed the screws", "tray one")
    assert played.said[1] == "How many screws? Say removed, and how many. Not written."
    assert played.said[2] == "What came off last is not written. Say it again, then its tray."
    assert removals(played.state) == []


def test_an_unknown_word_is_told_once_with_what_to_say(at_work: Work) -> None:
    played = at_work(*(
        "removed the winder", "removed the winder", "removed two screws from the wall", "mark made at the wall",
        "removed two screws with a dent", "reluctance two thou", "log reluctance two thou",
        "removed spring", "removed screws", "removed a shim",
    ))  # fmt: skip
    assert played.said[1:] == [
        "No such part: winder. Say new part, or note. Not written.",
        "No such place: wall. Say new place, or note. Not written.",
        "Not understood: with a dent. Say it without. Not written.",
        "Nothing measured here is called reluctance. Say note. Not logged.",
        "Say removed the spring, or how many. Not written.",
        "How many screws? Say removed, and how many. Not written.",
        "How thick? Say removed, the shim and its thickness. Not written.",
    ]


def test_what_was_not_understood_is_not_taken_for_the_last_thing_when_a_tray_is_named(at_work: Work) -> None:
    played = at_work(*(
        "removed the cover", "removed the winder", "tray three", "no", "removed the winder from the top", "tray four",
        "yes", "removed the winder", "tray five",
    ))  # fmt: skip
    asked = "What came off last is not written. Only one cover for tray three? Yes or no."
    assert played.answers("tray three")[-1] == asked
    assert played.answers("tray four")[-1] == asked.replace("three", "four")
    assert "Tray four: one cover." in played.said
    # With nothing new it would have moved what lies in tray four.
    assert played.last == "What came off last is not written. Say it again, then its tray."
    assert list(played.state.trays.values()) == [4]


def test_what_has_no_name_gets_a_number_and_its_name_later(at_work: Work) -> None:
    played = at_work(*(
        "new part", "the thing that winds", "end of note", "removed two screws from part one", "new place",
        "end of note", "part one is the drum", "removed part one", "part two is the lever",
    ))  # fmt: skip
    assert played.said[1] == "Part one. Say what it is. Say end of note."
    assert [(off.what, off.place) for off in removals(played.state)] == [
        ("drum", None), ("screw", "the drum"), ("drum", None),
    ]  # fmt: skip
    assert played.last == "There is no part two."
    # The log has what was said, and the name beside it.
    written = [event.what for event in played.events if isinstance(event, PartsRemoved)]
    assert written == ["part one", "screw", "part one"]


def test_the_name_of_a_numbered_part_can_be_typed_at_the_desk(at_work: Work) -> None:
    played = at_work("removed part seven", "two dots across part seven and the body", "removed a screw from part seven")
    assert played.said[1:] == ["Part seven.", "Two dots across part seven and the body.", "One screw, from part seven."]
    part = removals(played.state)[0]
    desk = Desk(played.state, NOON)
    desk.type_text(part.id, "The bobbin winder")
    state = fold([*played.events, *desk.events])
    text = drafted(state, "1").text
    for words in ("Fit the bobbin winder", "across the bobbin winder and the body"):
        assert words in text


def test_a_trays_contents_are_told_with_their_sizes(at_work: Work) -> None:
    played = at_work("removed two screws M two by five", "removed a nut", "tray two", "what is in tray two")
    assert played.last == "Tray two. Two screws, M two by five. One nut."
