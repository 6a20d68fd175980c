"""The review on the terminal, from logs written by hand."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import (
    CheckAnswered,
    ClockSetBack,
    EntryWithdrawn,
    Event,
    FactNoted,
    JobFinished,
    JobPaused,
    JobReopened,
    JobResumed,
    NoteKept,
    OutcomeGiven,
    ProcedureTakenUp,
    QuestionAnswered,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    WorkerChanged,
)
from handsfree.job.state import fold
from handsfree.review.findings import FindingKind, findings_of_job
from handsfree.review.history import past, past_jobs_text
from handsfree.review.pages.job_sheet import job_sheet
from handsfree.review.source import procedure_of, procedures_of
from handsfree.review.text.closing import closing_lines
from handsfree.review.text.whole import at_the_bench, review_text
from handsfree.review.timeline import corrections, step_times, time_line
from handsfree.text.columns import WIDTH
from tests.support.story import AT, OPENED, STORY, at, reading


def review(*events: Event) -> str:
    story = [OPENED, *events]
    return review_text({OPENED.procedure_name: procedure_of(OPENED)}, fold(story), story, job="2026-11-25-1")


def section(text: str, title: str) -> list[str]:
    """The lines between a heading and the next empty line."""
    lines = text.split("\n")
    start = lines.index(title) + 2
    return lines[start : lines.index("", start)]


def flat(lines: list[str]) -> str:
    return re.sub(r"\s+", " ", " ".join(lines))


def test_the_head_says_which_job_it_was_and_how_long_it_took() -> None:
    head = review(*STORY).split("\n\n")[0]
    for words in ("2026-11-25-1", "micrometer no. 2", "0417", "Mrs Åsling", "Bench micrometer, overhaul, revision 3",
                  "Tern & Gable, instrument repairers"):  # fmt: skip
        assert words in head
    local = [moment.astimezone().strftime("%Y-%m-%d %H:%M") for moment in (AT, at(160))]
    assert re.search(f"Opened +{local[0]}\n", head)
    assert re.search(f"Finished +{local[1]}\n", head)
    assert "40 min at the bench, 2 h 40 min in all" in head


@pytest.mark.parametrize(
    ("given", "worked", "item"),
    [("micrometer no. 2", True, "micrometer no. 2"), (None, True, "bench micrometer"), (None, False, "not given")],
)
def test_the_item_is_that_of_the_job_or_else_that_of_its_procedure(given: str | None, worked: bool, item: str) -> None:
    opened = OPENED.model_copy(update={"item": given})
    procedures = {OPENED.procedure_name: procedure_of(opened)} if worked else {}
    text = review_text(procedures, fold([opened]), [opened], job="2026-11-25-1")
    assert f"\nItem        {item}\n" in text


def test_attention_comes_before_everything_else() -> None:
    text = review(*STORY)
    assert text.index("NEEDS ATTENTION") < text.index("STEPS") < text.index("FIGURES") < text.index("COUNTS")
    words = flat(section(text, "NEEDS ATTENTION"))
    assert "Out of limits, accepted (1)" in words
    assert "out of limits, 1 thou under; accepted: owner wants it tight" in words
    assert "Checks answered no (1)" in words
    assert "skipped (gasket to come): Put the cover on." in words
    assert "Provisional figures (1)" in words
    assert "Notes to type (2)" in words
    assert "Steps not done" not in words


def test_where_nothing_wants_attention_it_says_so() -> None:
    steps = [StepDone(at=AT, step=step.id) for step in procedure_of(OPENED).steps]
    unmeasured = OPENED.procedure_text.split("steps:")[0] + "steps:\n  - {id: one, do: Oil the pivot.}\n"
    opened = OPENED.model_copy(update={"procedure_text": unmeasured})
    story = [opened, *steps, StepDone(at=AT, step="one")]
    text = review_text({opened.procedure_name: procedure_of(opened)}, fold(story), story, job="2026-11-25-1")
    assert section(text, "NEEDS ATTENTION") == ["Nothing."]


def test_of_one_procedure_what_wants_attention_is_told_without_its_title() -> None:
    assert procedure_of(OPENED).title not in "\n".join(section(review(*STORY), "NEEDS ATTENTION"))


def test_the_steps_are_listed_with_their_state_and_the_reason() -> None:
    lines = section(review(*STORY), "STEPS")
    assert any(re.match(r"1 +done +Take the spindle out", line) for line in lines)
    assert any(re.match(r"3 +skipped +Put the cover on\.", line) for line in lines)
    assert "skipped because: gasket to come" in flat(lines)


def test_a_step_that_was_done_without_something_says_what_was_missing() -> None:
    rows = flat(section(review(StepDone(at=at(5), step="float", missing=("no figure for end float",))), "STEPS"))
    assert "when it was done: no figure for end float" in rows
    assert "(here)" not in rows


def test_the_answers_about_the_item_stand_in_the_head() -> None:
    answered = QuestionAnswered(at=at(1), name="collar", question="Is there a collar?", answer="yes")
    head = review(answered).split("\n\n")[0]
    assert re.search("Variant +collar: yes", head)
    assert "Variant" not in review()


def test_the_figures_show_what_stands_and_how_it_came_to_be() -> None:
    words = flat(section(review(*STORY), "FIGURES"))
    assert "2 end float as set 9 thou 2 to 5 thou set again (was out of limits, 4 thou over)" in words
    assert "2 end float as set 1 thou 2 to 5 thou out of limits, 1 thou under; accepted: owner wants it tight" in words
    chain = "corrected from 3 thou (in limits) corrected from 15 thou (out of limits)"
    assert words.index("1 thou under") < words.index(chain)
    assert "spindle length as set 40.1 mm none taken back (was no limits)" in words
    assert "spindle length as set 40.2 mm none no limits; provisional" in words
    assert words.count("15 thou") == 1


def test_stale_figures_and_answers_are_shown_as_such() -> None:
    text = review(*STORY[:-1], StepRedone(at=at(156), step="float", stale_steps=("float",)))
    figures = flat(section(text, "FIGURES"))
    assert "no longer stands, step done again (was out of limits, 1 thou under; accepted: owner wants it" in figures
    checks = flat(section(text, "CHECKS"))
    assert "2 no longer stands (was no) Does it run free?" in checks
    assert "2 not answered Does it run free?" in checks


def test_notes_say_that_the_sound_counts_and_which_it_is() -> None:
    lines = section(review(*STORY), "NOTES")
    assert "the sound counts" in lines[0]
    local = at(20).astimezone().strftime("%Y-%m-%d %H:%M")
    assert lines[1:3] == [f"step 2, {local}, 4 s, clip 1a2b3c4d", "    second shim is bent"]
    assert lines[3].endswith("2 s, no clip")
    assert lines[4] == "    (not understood)"


def test_the_counts_are_counted_from_the_log() -> None:
    words = flat(section(review(*STORY), "COUNTS"))
    assert "2 done, 1 skipped, 0 not done, of 3" in words
    assert "2 standing, 1 out of limits, 1 no limits" in words
    assert "2 corrected, 1 set again, 1 taken back" in words
    assert "Checks 0 yes, 1 no" in words
    assert "Notes 2 " in words
    assert f"{len(STORY) + 1} events, 2 clips" in words
    assert "knowingly with: step 2: the check failed" in words


def test_what_was_found_is_counted_apart_from_what_was_left() -> None:
    over = {"decision": "out of limits", "beyond": "4 thou", "side": "high"}
    found = [reading(1, "9 thou", occasion="as found", **over), reading(2, "1 thou", occasion="as found")]
    length = reading(3, "40 mm", occasion="as found", characteristic="spindle length", unit="mm", limits="none",
                     decision="no limits")  # fmt: skip
    words = flat(section(review(*found, length, reading(4, "3 thou")), "COUNTS"))
    assert "Figures 4 standing, 1 in limits, 1 in limits as found, 1 out of limits as found, 1 no limits" in words


def test_the_rule_names_the_uncertainty_that_was_used() -> None:
    words = flat(review(*STORY).split("\n")[-9:])
    assert "ISO 14253-1" in words
    assert "U of feeler gauge: 0.25 thou" in words
    none = review(reading(1, "4 thou", tool=None, uncertainty=None))
    assert "U of tool not named: none stated, taken as nought" in none
    assumed = flat(review(reading(1, "4 thou", uncertainty_assumed="half the resolution")).split("\n")[-9:])
    assert "U of feeler gauge: 0.25 thou (assumed: half the resolution)" in assumed
    assert "No figure was judged against limits." in review()


def test_who_took_a_figure_is_told_where_several_people_worked_and_only_there() -> None:
    jo, sam = WorkerChanged(at=at(0), name="Jo"), WorkerChanged(at=at(2), name="Sam")
    alone = flat(section(review(jo, reading(1, "3 thou"), reading(3, "4 thou")), "FIGURES"))
    assert "by Jo" not in alone
    both = flat(section(review(jo, reading(1, "3 thou"), sam, reading(3, "4 thou")), "FIGURES"))
    assert "in limits; provisional by Jo" in both
    assert "in limits; provisional by Sam" in both


def test_figures_repeated_with_several_tools_are_summed_up_by_what_each_can_tell() -> None:
    # The gauge of the procedure tells half a thou, so the mean of 3 and 5 is 4.0 in whichever order they were taken;
    # what another tool tells is only known from what was stated.
    for first, second in (("feeler gauge", "micrometer"), ("micrometer", "feeler gauge")):
        words = flat(section(review(reading(1, "3 thou", tool=first), reading(2, "5 thou", tool=second)),
                             "REPEATED READINGS"))  # fmt: skip
        assert "end float as set 2 4.0 thou 2.0 thou" in words
    other = flat(section(review(*(reading(n, f"{n} thou", tool="micrometer") for n in (3, 5))), "REPEATED READINGS"))
    assert "end float as set 2 4 thou 2 thou" in other


def test_a_job_just_opened_can_be_reviewed() -> None:
    text = review()
    assert "not finished; last entry" in text
    assert "Steps not done (3)" in text
    assert section(text, "FIGURES") == ["none"]
    assert section(text, "NOTES") == ["none"]


def test_the_time_at_the_bench_leaves_out_pauses_and_crashes() -> None:
    paused: list[Event] = [OPENED, JobPaused(at=at(10)), JobResumed(at=at(100)), StepDone(at=at(105), step="strip")]
    assert at_the_bench(paused) == timedelta(minutes=15)
    meanwhile = NoteKept(at=at(20), id="n1", text="", seconds=1.0)
    assert at_the_bench([*paused[:2], meanwhile, *paused[2:]]) == timedelta(minutes=15)
    crashed: list[Event] = [OPENED, StepDone(at=at(7), step="strip"), JobResumed(at=at(500)), JobFinished(at=at(501))]
    assert at_the_bench(crashed) == timedelta(minutes=8)
    assert at_the_bench([OPENED]) == timedelta()


def test_a_clock_that_was_set_back_takes_nothing_from_the_time() -> None:
    back: list[Event] = [
        OPENED,
        StepEntered(at=at(30), step="float"),
        ClockSetBack(at=at(10), seconds=20 * 60),
        StepDone(at=at(25), step="float"),
    ]
    assert at_the_bench(back) == timedelta(minutes=45)
    assert sum(step_times(back).values(), timedelta()) == timedelta(minutes=15)
    assert "45 min at the bench, 45 min in all" in review(*back[1:])


def test_a_job_that_was_opened_again_says_when_and_why() -> None:
    reopened = JobReopened(at=at(170), reason="the owner heard it rattle")
    (line,) = [line for line in review(*STORY, reopened).splitlines() if line.startswith("Reopened")]
    assert line.endswith(f"{reopened.at.astimezone():%Y-%m-%d %H:%M}: the owner heard it rattle")
    assert "Reopened" not in review(*STORY)


def test_what_the_review_says_is_open_is_what_is_open_now() -> None:
    finished = JobFinished(at=at(100), open_points=("four steps not done",))
    reopened = JobReopened(at=at(110), reason="the rest")
    steps = [StepDone(at=at(120), step=step.id) for step in procedure_of(OPENED).steps]

    def rows(*events: Event) -> dict[str, str]:
        lines = flat(review(*events).split("\n"))
        named = re.search(r"Finished knowingly with: (.*?)(?: Open now (.*?))?(?= [A-Z][a-z]+ [^;]*$| *$)", lines)
        assert named is not None, lines
        return {"finished": named[1], "open now": (named[2] or "")[:200]}

    left = rows(finished)
    assert left["finished"].startswith("four steps not done")
    # What was named at the finish is not all that is open, so what is open now stands beside it.
    assert "not done" in left["open now"]
    done = rows(finished, reopened, *steps)
    assert "four steps not done" in done["finished"]
    assert "not done" not in done["open now"]
    assert done["open now"]


def test_when_all_that_was_open_at_the_finish_is_done_nothing_of_it_is_open_now() -> None:
    finished = JobFinished(at=at(100), open_points=("three steps not done",))
    done: list[Event] = [
        JobReopened(at=at(110), reason="the rest"),
        StepDone(at=at(111), step="strip"),
        reading(112, "3 thou"),
        ReadingSettled(at=at(112), id="r112"),
        reading(113, "40.1 mm", characteristic="spindle length", unit="mm", limits="none", decision="no limits"),
        ReadingSettled(at=at(113), id="r113"),
        CheckAnswered(at=at(114), step="float", id="c1", question="Does it run free?", passed=True),
        StepDone(at=at(115), step="float"),
    ]
    assert "Open now nothing of it" not in flat(section(review(finished, *done), "COUNTS"))
    done.append(StepDone(at=at(116), step="cover"))
    done.append(FactNoted(at=at(117), id="f1", about="signed off", text="T. Gable"))
    assert "Open now nothing of it" in flat(section(review(finished, *done), "COUNTS"))


def test_words_from_the_log_can_not_steer_the_terminal() -> None:
    text = review(NoteKept(at=at(1), id="n1", text="\x1b[2Jgone\x07\u202e", seconds=1.0))
    assert not set(text) & set("\x1b\x07\u202e")
    assert "?[2Jgone" in text


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["in limits", "out of limits", "undecided", "no limits"]), st.text(max_size=150)),
        max_size=6,
    )
)
def test_every_line_fits_whatever_was_said(rows: list[tuple[str, str]]) -> None:
    events: list[Event] = []
    for number, (decision, words) in enumerate(rows):
        events.append(reading(number, f"4 {words}", value="4", decision=decision, limits=words, tool=words or None))
        events.append(OutcomeGiven(at=at(number), id=f"r{number}", outcome="accepted", reason=words))
        events.append(NoteKept(at=at(number), id=f"n{number}", text=words, seconds=1.0))
        events.append(StepSkipped(at=at(number), step="cover", reason=words))
    assert all(len(line) <= WIDTH for line in review(*events).split("\n"))


def test_the_last_lines_have_the_newest_figure_of_each_procedure_in_the_order_of_the_work() -> None:
    other = ProcedureTakenUp(
        at=at(5), procedure_name="cleaning", title="Cleaning", revision="1", procedure_sha256="1",
        procedure_text=OPENED.procedure_text, steps=3,
    )  # fmt: skip
    story = [
        OPENED, reading(1, "9 thou", occasion="as found"), reading(2, "3 thou"), reading(4, "4 thou"), other,
        reading(6, "2.5 thou"), ProcedureTakenUp.again(OPENED, at(7)), reading(8, "5 thou", place="back"),
        reading(9, "1 thou"), EntryWithdrawn(at=at(10), id="r9", why="taken back"),
    ]  # fmt: skip

    def measured(figures: int) -> list[str]:
        state = fold(story)
        lines = closing_lines(procedures_of(state), state, job="2026-11-25-1", figures=figures)
        return flat(lines).split("Measured ")[1].split("To look at")[0].replace(", in limits", "").split(" end float")

    assert [words.removeprefix("end float").strip() for words in measured(9)] == [
        ", as found: 9 thou", ", as set: 4 thou", ", as set: 2.5 thou", ", back, as set: 5 thou",
    ]  # fmt: skip
    assert measured(2)[-1].endswith("5 thou and 2 more, in the review ")


def test_what_of_a_complaint_was_not_understood_is_called_so_in_one_way_everywhere() -> None:
    told = FactNoted(at=at(1), id="f1", about="complaint", text="", to_type=True, seconds=3.0, clip="cd" * 32)
    events = [told, EntryWithdrawn(at=at(2), id="f1", why="taken back")]
    procedures = {OPENED.procedure_name: procedure_of(OPENED)}
    job = JobSummary(
        id="2026-11-25-1", title="t", procedure="p", item="i", serial=None, owner=None, opened=at(0), last=at(1),
        done=0, of=3, status="open",
    )  # fmt: skip
    sheet = job_sheet(fold([OPENED, told]), job.id, workshop="", currency="", written_at=at(9), version="1")
    seen = [
        review(told), past_jobs_text("Earlier", [past(job, [OPENED, told])]), sheet,
        corrections(procedures, [OPENED, *events])[0].words, time_line(procedures, [OPENED, told])[-1].text,
        *(each.text for each in findings_of_job(procedures, fold([OPENED, told])) if each.kind is FindingKind.NOTE),
    ]  # fmt: skip
    assert len(seen) == 6
    assert [text.count("(kept as sound)") >= 1 for text in seen] == [True] * len(seen)
    assert not any("not understood" in text for text in seen)
