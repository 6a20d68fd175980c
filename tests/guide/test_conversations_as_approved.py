"""Whole conversations at the bench, each about one subject: what is answered, written and shown, line after line, word
for word as it was read and found right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from handsfree.bench.changing import taken_up_anew
from handsfree.bench.setting_up import language_of, session_of
from handsfree.guide.effects import Effect, Say
from handsfree.guide.figures.earlier import EarlierFigure
from handsfree.guide.guide import Guide
from handsfree.guide.session import WorkedProcedure
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.measure.figure import Figure
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded, parse_procedure
from handsfree.procedure.workshop import Workshop, read_workshop
from handsfree.review.source import procedures_of
from tests.support.approved import assert_approved
from tests.support.at_the_bench import SOUND, seen, stripping_language, told
from tests.support.conversation import Conversation
from tests.support.everything import CLEANING
from tests.support.played import MORNING

TEXT = """
title: Overhaul of the focusing slide
item: Bench slide
revision: "4"
sign-off by another: true
questions:
  collar: {ask: Is there a collar on the pinion?, when: start}
  pattern: {ask: Is it the early or the late pattern?, by serial: {early: up to 4000, late: from 4001}}
places: {ends: [left end, right end]}
steps:
  - id: cover-off
    do: Take the cover off.
    tray: one
    marks: {name: cover mark, where: "across cover and body"}
    frees: slide
  - id: collar
    do: Take the collar off.
    only if: {collar: "yes"}
  - group: gibs
    for each: ends
    stop: It may stand open for days.
    steps:
      - id: gap
        do: Set the {place} gap.
        works on: slide
        gets at: gib screw
        dangers: {say: Sharp edge.}
        measure:
          - {name: gap, unit: thou, limits: [3, 5], only if: {pattern: early},
             tool: {name: feelers, resolution: 0.5 thou, blades: "2, 3, 3.5, 4, 4.5, 5, 6 thou"}}
          - {name: gap, unit: thou, limits: [4, 6], only if: {pattern: late},
             tool: {name: feelers, resolution: 0.5 thou, blades: "2, 3, 3.5, 4, 4.5, 5, 6 thou"}}
  - id: run-out
    do: Measure the run out and the bore.
    measure:
      - {name: run out, unit: thou, limits: [-3, 3], deviation: true, tool: {name: dial, resolution: 0.25 thou}}
      - {name: bore, unit: mm, at least: 9.85, tool: {name: rule, resolution: 0.5 mm, range: 0 to 150 mm}}
    wait: 2 minutes
  - id: drag
    do: Weigh the drag.
    lubricant: {which: grease, where: the gib}
    fasteners: {count: 4, size: M2 x 5, left-hand thread: true, finish: blued}
    details: Pull it level.
    measure: {name: drag, unit: gf, limits: [80, 120], target: 100, when: as left}
    rests on: gap
    check: Does it run level?
    check by another: true
  - id: cover-on
    do: Put the cover on.
    traps: slide
    blocks: gib screw
    meets: cover mark
    needs: gap
    closes cover: true
"""
MANY = """
title: Many small things
item: Bench slide
revision: "1"
questions:
  finish: {ask: Which finish?, answers: [bright, blued], when: start}
  size: {ask: Which size?, answers: [small, large]}
  hand: {ask: Left or right hand?, answers: [left, right], when: start}
steps:
  - {id: a, do: Clean the first one., cautions: Mind the edge., tools: brush, why: It drags., tray: two}
  - id: b
    do: Time the beat.
    measure:
      - {name: beat, unit: s, limits: [9.8, 10.2], target: 10, tool: {name: watch, resolution: 0.1 s}}
      - {name: lift, unit: mm, at most: 0.4, tool: {name: rule, resolution: 0.1 mm}}
    wait: {for: 1 minute, name: glue}
  - {id: c, do: Clean the third one., only if: {size: large}}
  - {id: d, do: Clean the fourth one., dangers: {say: It is hot., until: e}}
  - {id: e, do: Clean the fifth one., lubricant: [{which: oil, where: the pin}, {which: grease}]}
  - {id: f, do: Clean the sixth one., check: Is it clean?}
  - {id: g, do: Clean the seventh one., rests on: f, measure: {name: gap, unit: thou, limits: [10, 60]}}
  - {id: h, do: Clean the eighth one., needs: g}
  - {id: i, do: Clean the ninth one., needs: h}
"""
WORKSHOP = """
people: [Jo Tern, Al Gable]
tools:
  - {name: dial, identity: D-2, resolution: 0.1 thou, due: 2026-01-31, calibrated on: 2025-01-31}
  - {name: mike, identity: M-1, resolution: 0.01 mm, uncertainty: 0.02 mm, range: 0 to 25 mm}
  - {name: shim box, shims: 4 x 0.1 mm}
  - {name: balance, resolution: 1 g}
"""


def _job(number: int, item: str | None, days: int = 1, **slots: str) -> JobSummary:
    usual: dict[str, Any] = {"title": "", "procedure": "overhaul", "serial": None, "owner": None, "status": "open"}
    when = MORNING + timedelta(minutes=90) - timedelta(days=days)
    return JobSummary(
        id=f"{when:%Y-%m-%d}-{number}", item=item, opened=when, last=when, done=0, of=5, **{**usual, **slots}
    )


def _earlier(name: str, value: int, **slots: Any) -> EarlierFigure:
    usual: dict[str, Any] = {
        "job": "2026-02-02-1", "at": MORNING - timedelta(days=28), "item": "Slide no. 7", "serial": None, "place": None,
        "procedure": "overhaul", "occasion": "as left", "decision": "in limits",
    }  # fmt: skip
    return EarlierFigure(characteristic=name, figure=Figure(Fraction(value), 0, "thou"), **{**usual, **slots})


JOBS = (
    _job(1, "Slide no. 7"), _job(2, "Small lathe", serial="A12", owner="Mill Lane"), _job(3, "Small lathe"),
    *(_job(number, None) for number in range(4, 9)), _job(9, "Lamp"), _job(9, "Lamp", days=8),
)  # fmt: skip
EARLIER = (
    _earlier("gap", 4, place="left end"), _earlier("gap", 7, place="right end", decision="out of limits"),
    _earlier("run out", 2, item="Other slide"),
)  # fmt: skip
CONVERSATIONS = {
    "what differs between items": """
        where am i / yes / which variant / no / serial number one two three four / which variant / next / next /
        early / which variant / ask me again / late / which limits / ask me again / early / serial number five
        thousand / which variant / redo step one / ask me again / early / look ahead / stand by / back at the bench
        / redo step ninety / go to step ninety / what is the serial number / what is the owner
    """,
    "figures by several tools": """
        no / go to step three / yes / early / log four thou goes five thou won't / log gap four thou goes six won't
        / log six goes four won't / log four and a half thou drags / log seven thou / seven thou / leave open / log
        three point two thou / three point five thou / wrong four / log gap four thousandths of an inch / log point
        one millimetres / (seen) / readings / readings of gap / go to step five / log minus one / log run out plus
        two and a half thou / log run out plus three thou / log run out four thou / log run out minus nine thou /
        leave it open / log bore ten / log bore ten point zero one with the mike / log bore nine point eight four
        with the mike / accept it / within wear / log bore two hundred / two hundred millimetres / log bore minus
        one / error of plus two thou / blades for nine thou / shims for point three millimetres / read back / read
        back gap / history of gap / last time / last time gap / last time run out / go to step six / log one hundred
        / log ninety / log one hundred ounces / log fifty grams / leave open / readings / log as found one hundred
        and ten / leave open / accept it / within wear / accept within wear / error of ninety / take back / take
        back / read back drag / ?log ninety / ninety / go to step three / yes / log four thou goes point two
        millimetres won't / log four thou goes point one two millimetres won't / log four thou by the mike / log
        four thou with the mike
    """,
    "the order of steps": """
        no / what can i do now / go to step seven / no / go to step seven / yes / what was left out / back / what
        can i do now / go to step three / yes / early / step done / yes / next / skip this step / no time / next /
        yes / next / what was left out / how far am i / redo step three / go to step six / yes / log one hundred /
        redo step three / log four thou / next / where am i / skip this step
    """,
    "who is at the bench": """
        this is jo / no / go to step six / log one hundred / yes / next / what waits for a check / sign off / this
        is al / what waits for a check / yes / sign off / this is jo / sign off / signed off by juliett tango / this
        is juliett oscar / this is tango golf / this is tango golf / sign off / what waits for a check / (taken up
        again by Al Gable) / this is al / yes / sign off / ?this is jo / ?this is jo
    """,
    "a note and its silence": """
        no / note / ~ 5 / the pawl is bent / ~ 7 / and worn / ~ 8 / note the complaint / it sticks / ~ 20 / serious
        finding / ~ 8 / note / drop it / end of note / material used / oil / end of note / what is the complaint /
        what material / take back / read back / play it / note / (taken up again) / no / where am i / note / it is
        worn / (taken up again) / yes
    """,
    "timers": """
        no / start the timer / timer five minutes / timer ten minutes / timer bath one minute / how long is left /
        how long is left on bath / ~ 60 / ~ 29 / ~ 1 / got it / stop the timer / how long is left / stop timer bath
        / go to step five / start the timer / timer bath two minutes / stop the timer / ~ 130 / got it / got it /
        start the timer / (seen) / go to step six / timer waiting two minutes / go to step five / next / where am i
        / pause the job / ~ 300
    """,
    "questions and silence": """
        no / go to step three / yes / early / log nine thou / (heard) / ~ 19 / ~ 1 / ?next / (heard) / ~ 20 / ?next
        / ?next / drop it / ?skip this step / ?step done / skip this step / (heard) / ~ 20 / log four hundred thou /
        where am i / log four hundred thou / take back / log four hundred thou / log gap four thou / yes / log
        fifteen thou / one five thou / drop it / log nine thou / pause the job / ~ 60
    """,
    "said twice in one breath": """
        no / next & next / early / log four thou & next / log nine thou & next / leave open / log nine thou & log
        eleven thirty seconds / leave open / log four hundred thou / timer bath one minute & where am i / log four
        hundred thou / timer bath one minute & how long is left / pause the job & next
    """,
    "cut off": """
        no / go to step three / yes / early / (cut off) / log four thou / (cut off) / take back / log four thou /
        (cut off) / why / (heard) / log five thou / (cut off) / log three thou / (heard) / read back
    """,
    "the review": """
        no / go to step three / yes / early / log nine thou / leave open / log four thou / note / within wear / end
        of note / owner mike lima / review the job / let it stand / history / play it / next / let it stand / look
        back / wrong it is four / next / wrong it is four / take back / next / take back / next / next / next / play
        it / let it stand / next / next / review the job / yes / next / take back / end of review / review the job /
        pause the job
    """,
    "other jobs": """
        no / which jobs are open / go to job two / go to job nine / go to small lathe / go to job two / go to the
        slide / (leave) / ~ 60 / (come back) / go to step three / yes / early / timer bath one minute / log nine
        thou / (leave) / ~ 70 / ~ 40 / (acknowledge) / (come back) / log four thou / log four thou / note / it is
        worn / end of note / (leave) / (come back) / step done / step done / (leave) / (come back) / go to the small
        lathe / (heard) / ~ 20 / go to the small lathe / yes / go to job three / go to job nine / go to job nine /
        drop it / go to job twenty / skip this step / (leave) / (come back)
    """,
    "another procedure": """
        no / which procedures / change to the overhaul / go to step three / yes / early / log four thou / change to
        cleaning / (change) / where am i / yes / next / log one thou / next / dangers / review the job / next / next
        / wrong it is four and a half / history / take back / end of review / wrong two / (change back) / readings /
        log nine thou / leave open / (change) / set again / review the job / end of review / finish the job / no /
        (change back) / what waits for a check / what was left out / (change) / change to cleaning / (taken up again
        elsewhere) / no / wrong four / wrong it is one / review the job / next / wrong it is four / take back / end
        of review
    """,
    "short answers": """
        short answers / no / go to step three / yes / early / log four thou / log nine thou / leave open / log five
        thou / where am i / repeat / next / yes / next / full answers / repeat / which limits
    """,
    "parts and orders": """
        no / go to step six / four screws out / wrong five / wrong five thou / two springs out / one screw back /
        parts tally / order two gib screws / order a spring / what is on order / the part has arrived / the spring
        has arrived / what is on order / go to step seven / yes / no / go to step seven / yes / yes / four screws
        back / finish the job / no / left with it a case / promised friday / promised friday / may cost up to eighty
        / what is promised / hand it over / no / hand it over / yes / hand it over
    """,
    "many steps": """
        stand by / (talk) back / back at the bench / large / ?this is jo / this is jo / bright / large / right /
        what is the serial number / what is the owner / how far am i / what can i do now / look ahead / look ahead /
        look ahead / back / go to step two / log beat four mils / log lift four mils / four / log lift four mils /
        four thousandths of an inch / log eleven thirty seconds / log beat nine point nine / log ten / (typed) log
        beat eleven thirty seconds / log lift point four / log lift four thou goes point two millimetres won't / log
        lift point one goes point two won't / log lift fifteen thou / plus five / drop it / start the timer / (seen)
        / timer bath five minutes / ~ 61 / stop timer glue / stop timer glue / stop timer bath / got it / next /
        large / dangers / next / next / what was left out / which lubricant / lubricant used / next / yes / yes /
        next / log fifteen / fifteen / fifteen / fifteen / fifteen / log fifteen / one five / log gap fifteen / five
        nought / log thirty / log four hundred thou / four hundred thou with the balance / log four hundred thou /
        four hundred thou with the mike / log two hundred thou / two hundred grams / redo step six / yes / no / next
        / where am i / go to step nine / yes / how far am i / what can i do now / what was left out / next / how far
        am i / back / yes / where am i / go to step one / tools / why / which tray / next / (taken up again) / next
    """,
    "a procedure to its end": """
        what can i do now / yes / next / log one thou / next / what can i do now / what was left out / how far am i
        / where am i / next / step done / back / look ahead / redo step one / no / next / yes / redo step one / yes
        / next / skip this step because not fitted / what can i do now / what was left out / (leave) / (come back) /
        what waits for a check / finish the job / yes
    """,
    "nothing without a cost": """
        bright / right / skip because not fitted / skip because not fitted / small / skip because not fitted / skip
        because not fitted / skip because not fitted / skip because not fitted / skip because not fitted / what can
        i do now / what was left out / next / next / next / how far am i / what can i do now / finish the job / no /
        redo step eight / yes
    """,
    "far ahead": """
        bright / right / go to step nine / yes / small / how far am i / what was left out / what can i do now / back
        / where am i / next / tools / what tools / fasteners / lubricant / which marks / cautions / more / last
        heard / repeat
    """,
    "shut in": """
        no / skip because not fitted / early / what tools / fasteners / go to step five / skip because not fitted /
        which lubricant / lubricant / fasteners / more / which limits / skip because not fitted / what can i do now
        / what was left out / how far am i / which marks / skip because not fitted / no / finish the job
    """,
    "talk and what was not caught": """
        no / (talk) the weather / (near) next / skip this step / (talk) / (talk) no spring here / note / (talk) it
        squeaks / (near) it rattles / end of note / stand by / (near) back at the bench / (talk) back at the bench /
        next / back at the bench / pause the job / next
    """,
    "taking apart": """
        no / log clearance / begin taking apart / (apart) / where am i / removed two screws m two by five / tray one
        / (talk) removed the frob / tray two / removed the frob / tray two / removed two frobs / (near) removed the
        clip / mark made at the bottom / end play four thou / wrong it is five thou / end play nine mils / thou /
        new part / the crank / end of note / part one is the crank / part one is the lever / new part / end of note
        / new place / the bed / end of note / place one is the bed / what has no tray / tray three / yes / what is
        in tray three / take back / tray four / help / next / (leave) / (come back apart) / (taken up again apart) /
        removed the cover / end of taking apart / (change back) / finish the job / yes
    """,
}
"""By subject: the lines, with strokes between them."""
OVERHAUL, CLEANED = parse_procedure(TEXT.encode(), "overhaul.yaml"), parse_procedure(CLEANING.encode(), "cleaning.yaml")
MANY_STEPS, APART = parse_procedure(MANY.encode(), "many.yaml"), stripping_procedure("Bench slide")
WORKED = {
    "many steps": MANY_STEPS,
    "far ahead": MANY_STEPS,
    "nothing without a cost": MANY_STEPS,
    "a procedure to its end": CLEANED,
}
NAMES = {"cleaning": "cleaning", "overhaul": "overhaul"}


@pytest.fixture
def workshop(tmp_path: Path) -> Workshop:
    file = tmp_path / "workshop.yaml"
    file.write_text(WORKSHOP, encoding="utf-8")
    return read_workshop(file)


@pytest.mark.parametrize("subject", CONVERSATIONS)
def test_a_conversation(subject: str, workshop: Workshop) -> None:
    bench = Bench(workshop, WORKED.get(subject, OVERHAUL))
    lines = [f"{line}: {bench.after(line)}" for line in " ".join(CONVERSATIONS[subject].split()).split(" / ")]
    assert_approved(
        f"conversations/{subject.replace(' ', '-')}.txt", "\n".join([bench.begun, *lines, "", *bench.seen()]) + "\n"
    )


class Bench:
    """A procedure at the bench, and what comes of each line: something said ("?" before it: heard doubtfully; "&": two
    commands in one breath; talk and near misses have that in brackets before them), seconds that pass ("~ 20"), or
    something else that happens (in brackets)."""

    def __init__(self, workshop: Workshop, begun: Loaded) -> None:
        self._workshop, self._begun = workshop, begun
        self._talk = Conversation(self._guide(JobState(), begun))
        given = {"serial": "AB 12", "owner": "ML"} if begun is MANY_STEPS else {}
        effects = self._talk.guide.open(opened_with(begun, MORNING, item="Slide no. 7", **given))
        self._talk.happens(effects)
        self.begun = told(effects)

    def seen(self) -> list[str]:
        """What is seen at the end."""
        return seen(self._talk)

    def _guide(self, state: JobState, loaded: Loaded) -> Guide:
        language, apart = self._language(loaded), loaded is APART
        session = session_of(
            loaded.procedure,
            state,
            self._workshop,
            language=language,
            apart=apart,
            earlier=EARLIER,
            others={name: other for name, other in procedures_of(state).items() if name != state.working},
        )
        session.open_jobs = lambda: JOBS
        return Guide(session)

    def _language(self, loaded: Loaded) -> Language:
        if loaded is APART:
            return stripping_language()
        jobs = {"the small lathe": ("2026-03-01-2", "2026-03-01-3"), "the slide": ("2026-03-01-1",)}
        return language_of(loaded.procedure, self._workshop, NAMES, out=("spring",), jobs=jobs)

    def after(self, line: str) -> str:
        """What comes of a line, and where the job stands then; or what is seen."""
        if line == "(seen)":
            return "; ".join(self.seen())
        effects = list(self._effects(line))
        self._talk.happens(effects)
        session = self._talk.session
        return f"{told(effects, line.lstrip('?'))} | {session.machine.state}, {session.state.step}"

    def _effects(self, line: str) -> Sequence[Effect]:
        if line.startswith("~ "):
            return list(self._passing(timedelta(seconds=int(line[2:]))))
        if line.startswith("(typed) "):
            return self._heard(line.removeprefix("(typed) "), Hearing.CLEAR, recogniser="typed")
        if line.startswith("(talk)"):
            said = Utterance((), Hearing.NONE, free_text=line.removeprefix("(talk)").strip(), sound=SOUND)
            return self._talk.guide.hear(said, self._talk.now)
        if line.startswith("(near) "):
            return self._heard(line.removeprefix("(near) "), Hearing.NEAR)
        if line.startswith("("):
            return self._happening(line)
        return self._heard(line.removeprefix("?"), Hearing.DOUBTFUL if line.startswith("?") else Hearing.CLEAR)

    def _happening(self, line: str) -> Sequence[Effect]:
        talk = self._talk
        guide, now = talk.guide, talk.now
        if line.startswith("(taken up again"):
            how = line.removeprefix("(taken up again").strip(" )")
            talk.guide = self._guide(talk.state, {"elsewhere": CLEANED, "apart": APART}.get(how, self._begun))
            talk.session.worker = how.removeprefix("by ") if how.startswith("by ") else None
            return talk.guide.resume(now)
        if line in ("(heard)", "(cut off)"):
            token = next((effect.token for effect in reversed(talk.effects) if isinstance(effect, Say)), -1)
            return guide.spoken(token, completed=line == "(heard)", now=now)
        if line in ("(change)", "(change back)", "(apart)"):
            loaded = {"(change)": CLEANED, "(apart)": APART}.get(line, OVERHAUL)
            worked = WorkedProcedure(loaded.procedure, self._language(loaded), apart=loaded is APART)
            return guide.change(now, taken_up_anew(loaded, now, apart=loaded is APART), worked)
        if line == "(come back apart)":
            return guide.go_on(now, taken_up_anew(APART, now, apart=True))
        return {"(leave)": guide.leave, "(come back)": guide.go_on, "(acknowledge)": guide.acknowledge}[line](now)

    def _heard(self, line: str, hearing: Hearing, recogniser: str = "builtin") -> Sequence[Effect]:
        said, _, then = line.partition(" & ")
        interpret = self._talk.session.language.interpret
        second = interpret(tuple(then.split())) if then else ()
        self._talk.say(said, hearing, recogniser=recogniser, start=10.0, end=12.5, sound=SOUND, then=second)
        return self._talk.effects

    def _passing(self, time: timedelta) -> Iterator[Effect]:
        end = self._talk.now + time
        while (due := self._talk.guide.next_due()) is not None and due <= end:
            self._talk.now = due
            brought = self._talk.guide.tick(due)
            if not brought:
                break
            yield from brought
        self._talk.now = end
