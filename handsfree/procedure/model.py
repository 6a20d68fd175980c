"""A procedure: its steps in order, and what each of them asks for, warns of, measures and rests on.

The parts of a step are in ``parts``. Groups, repeated steps and tables of the file are written out before these models
see them (``expansion``): here every step stands for itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Annotated

from pydantic import Field, PlainValidator, ValidationInfo, WithJsonSchema, field_validator, model_validator

from handsfree.procedure import variants
from handsfree.procedure.check.consistency import inconsistencies
from handsfree.procedure.check.outline import CONDITIONAL_PARTS, OUTLINE_LISTS, Measured, Outline
from handsfree.procedure.location import Location
from handsfree.procedure.parts import (
    OCCASIONS,
    AlignmentMark,
    AnswerField,
    Characteristic,
    ConditionField,
    Danger,
    Fastener,
    Lubricant,
    OneOrList,
    ProcedurePart,
    SpokenName,
    SpokenNames,
    Text,
    Texts,
    Things,
    Tool,
    Wait,
    YesOrNo,
    only_at,
    only_if,
)
from handsfree.procedure.variants import YES_OR_NO, SerialRange, serial_number

__all__ = [
    "OCCASIONS",
    "AlignmentMark",
    "Characteristic",
    "Danger",
    "Fastener",
    "Lubricant",
    "Procedure",
    "SpokenName",
    "SpokenNames",
    "Step",
    "Tool",
    "VariantQuestion",
    "Wait",
]  # fmt: skip

IN_GROUP, AT_PLACE, WRITTEN_ONCE = "(group)", "(place)", "(written once)"
IN_STAGE, THEN_STOP, MARKS_MET = "(stage)", "(stop)", "(marks met)"

WHEN = ("start", "when needed")


def _when(value: object) -> str:
    if value not in WHEN:
        raise ValueError('must be "start" or "when needed"')
    return str(value)


SerialRangeField = Annotated[
    SerialRange, PlainValidator(variants.serial_range), WithJsonSchema({"type": ["string", "integer"]})
]
Answers = Annotated[tuple[AnswerField, ...], OneOrList()]
When = Annotated[str, PlainValidator(_when), WithJsonSchema({"enum": list(WHEN)})]


class Step(ProcedurePart):
    """One act, with everything that belongs to it."""

    id: Text
    act: Text = Field(validation_alias="do")
    fasteners: Annotated[tuple[Fastener, ...], OneOrList()] = ()
    lubricants: Annotated[tuple[Lubricant, ...], OneOrList()] = Field(default=(), validation_alias="lubricant")
    tools: Annotated[tuple[Tool, ...], OneOrList()] = ()
    """What has to be at hand, beyond what a figure is taken with."""
    tray: Text | None = None
    """Where the parts of the step lie."""
    dangers: Annotated[tuple[Danger, ...], OneOrList()] = ()
    """To the person."""
    cautions: Texts = ()
    """For the work."""
    reason: Text | None = Field(default=None, validation_alias="why")
    marks: Annotated[tuple[AlignmentMark, ...], OneOrList()] = ()
    """Alignment marks that are made in this step."""
    meets: Texts = ()
    """Names of the marks that come together again in this step."""
    characteristics: Annotated[tuple[Characteristic, ...], OneOrList()] = Field(default=(), validation_alias="measure")
    check: Text | None = None
    """A question; the answer "yes" lets the step be done."""
    check_by_another: YesOrNo = Field(default=False, validation_alias="check by another")
    """Whether another person than the one who did the step has to answer its check."""
    wait: Wait | None = None
    closes_cover: YesOrNo = Field(default=False, validation_alias="closes cover")
    """Whether this step shuts parts in: the parts tally is asked about before it."""
    details: Text | None = None
    for_the_owner: Text | None = Field(default=None, validation_alias="for the owner")
    """What the owner reads on the report of what this step did, once it is done."""
    rests_on: Texts = Field(default=(), validation_alias="rests on")
    """The steps that have to be proved for this one to stand."""
    needs: Texts = ()
    """The steps that have to be done before this one can be."""
    works_on: Things = Field(default=(), validation_alias="works on")
    """The parts that it fits, moves or sets, and so has to get hold of."""
    traps: Things = ()
    """The parts that it shuts in: they can't be worked on until a step frees them."""
    frees: Things = ()
    gets_at: Things = Field(default=(), validation_alias="gets at")
    """The places that it has to get at."""
    blocks: Things = ()
    """The places that can't be got at any more, until a step opens them."""
    opens: Things = ()
    only_if: ConditionField = only_if()
    only_at: SpokenNames = only_at()

    # What is known only when groups and repeated steps are written out; no key of a file.
    group: Text | None = Field(default=None, validation_alias=IN_GROUP)
    """The group it belongs to."""
    place: Text | None = Field(default=None, validation_alias=AT_PLACE)
    """Which of several places it is done at."""
    origin: Text | None = Field(default=None, validation_alias=WRITTEN_ONCE)
    """The identifier under which a repeated step is written in the file."""
    stage: Text | None = Field(default=None, validation_alias=IN_STAGE)
    """The stage it belongs to."""
    stop: Text | None = Field(default=None, validation_alias=THEN_STOP)
    """What is said at the stop with which its stage ends."""
    marks_met: tuple[AlignmentMark, ...] = Field(default=(), validation_alias=MARKS_MET)
    """The marks that ``meets`` names."""

    @property
    def conditions(self) -> tuple[Mapping[str, tuple[str, ...]], ...]:
        """Those of its parts."""
        return tuple(part.only_if for key in CONDITIONAL_PARTS for part in getattr(self, key) if part.only_if)

    def given(self, answers: Mapping[str, str]) -> Step:
        """The step with the parts that hold for these answers; what is undecided stays."""
        if not any(self.conditions):
            return self
        kept = {
            key: tuple(part for part in getattr(self, key) if variants.holds(part.only_if, answers) is not False)
            for key in CONDITIONAL_PARTS
        }
        return self.model_copy(update=kept)

    def outline(self, at: int) -> Outline:
        """What other steps may have to do with this one, which stands at this position from nought."""
        here: Location = ("steps", at)
        untils = [((*here, "dangers", n, "until"), danger.until) for n, danger in enumerate(self.dangers)]
        return Outline(
            at,
            self.id,
            [(place, until) for place, until in untils if until is not None],
            [((*here, "rests on", n), other) for n, other in enumerate(self.rests_on)],
            [
                Measured(
                    place := (*here, "measure", n),
                    measured.name,
                    [((*place, "also", number), said) for number, said in enumerate(measured.also)],
                    measured.unit,
                    measured.only_if,
                )
                for n, measured in enumerate(self.characteristics)
            ],
            marks=[mark.name for mark in self.marks],
            only_if=self.only_if,
            conditions=[
                ((*here, "only if"), self.only_if),
                *(
                    ((*here, key, n, "only if"), part.only_if)
                    for name, key in CONDITIONAL_PARTS.items()
                    for n, part in enumerate(getattr(self, name))
                ),
            ],
            **{name: getattr(self, name) for name in OUTLINE_LISTS},
        )


class VariantQuestion(ProcedurePart):
    """What differs between items, asked once or decided by the serial number."""

    ask: Text
    by_serial: dict[AnswerField, SerialRangeField] = Field(default_factory=dict, validation_alias="by serial")
    """For each answer the serial numbers that decide it."""
    answers: Answers = ()
    when: When = "when needed"

    @field_validator("by_serial")
    @classmethod
    def _apart(cls, value: dict[str, SerialRange]) -> dict[str, SerialRange]:
        for (one, first), (other, second) in combinations(value.items(), 2):
            if first.meets(second):
                raise ValueError(f'has serial numbers that mean both "{one}" and "{other}"; keep the ranges apart')
        return value

    @field_validator("answers")
    @classmethod
    def _several(cls, value: tuple[str, ...], info: ValidationInfo) -> tuple[str, ...]:
        decided = info.data.get("by_serial", {})
        if len(set(value)) < 2 or len(set(value)) != len(value):
            raise ValueError("must be two or more different answers")
        absent = [each for each in decided if each not in value]
        if absent:
            raise ValueError(f'lack "{absent[0]}", which a serial number can decide')
        return value

    @model_validator(mode="after")
    def _default_answers(self) -> VariantQuestion:
        if not self.answers:
            known = tuple(self.by_serial) if len(self.by_serial) > 1 else YES_OR_NO
            object.__setattr__(self, "answers", known)
        return self

    def decided_by(self, serial: str | None) -> str | None:
        """The answer that a serial number gives, if it gives one."""
        number = serial_number(serial)
        if number is None:
            return None
        return next((said for said, numbers in self.by_serial.items() if numbers.holds(number)), None)


class ProcedureHead(ProcedurePart):
    """Everything of a procedure but its steps."""

    title: Text
    item: Text
    revision: Text
    workshop: Text | None = None
    sign_off_by_another: YesOrNo = Field(default=False, validation_alias="sign-off by another")
    """Whether another person than those who did the work has to sign the job off."""
    for_the_owner: Texts = Field(default=(), validation_alias="for the owner")
    """What the owner reads on the report of the work as a whole, once no step of it is left."""
    vocabulary: dict[SpokenName, SpokenNames] = Field(default_factory=dict)
    """Further spoken names of characteristics, by name."""
    questions: dict[SpokenName, VariantQuestion] = Field(default_factory=dict)
    """What differs between items, by a short name."""
    places: dict[SpokenName, SpokenNames] = Field(default_factory=dict)
    """Lists of places at which steps are repeated, by a short name."""
    fastener_table: dict[Text, Fastener] = Field(default_factory=dict, validation_alias="fasteners")
    lubricant_table: dict[Text, Lubricant] = Field(default_factory=dict, validation_alias="lubricants")
    tool_table: dict[Text, Tool] = Field(default_factory=dict, validation_alias="tools")


class Procedure(ProcedureHead):
    """A whole procedure. Step numbers count from one."""

    steps: tuple[Step, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _consistent(self) -> Procedure:
        questions = {name: question.answers for name, question in self.questions.items()}
        outlines = [step.outline(at) for at, step in enumerate(self.steps)]
        for _, message in inconsistencies(outlines, self.vocabulary, questions):
            raise ValueError(message)
        return self

    def maker_of(self, mark: str) -> Step | None:
        """The step that makes a mark."""
        return next((step for step in self.steps if any(each.name == mark for each in step.marks)), None)

    def given(self, answers: Mapping[str, str]) -> Procedure:
        """The procedure as it is for these answers: of each step only the parts that hold. Steps keep their numbers;
        those that do not apply are in ``left_out``."""
        if not self.questions:
            return self
        return self.model_copy(update={"steps": tuple(step.given(answers) for step in self.steps)})

    def left_out(self, answers: Mapping[str, str]) -> tuple[str, ...]:
        """The identifiers of the steps that do not apply with these answers, in order."""
        return tuple(step.id for step in self.steps if variants.holds(step.only_if, answers) is False)

    def undecided(self, step_id: str, answers: Mapping[str, str]) -> tuple[str, ...]:
        """The questions that have to be answered before this step can be announced, in order."""
        step = self.by_id(step_id)
        if variants.holds(step.only_if, answers) is False:
            return ()
        asked = [name for condition in (step.only_if, *step.conditions) for name in condition]
        return tuple(name for name in self.questions if name in asked and name not in answers)

    def by_id(self, step_id: str) -> Step:
        """The step of this identifier; KeyError where there is none."""
        return self.steps[self.step_number(step_id) - 1]

    def step_number(self, step_id: str) -> int:
        """The step's number, counted from one; KeyError where there is none."""
        for number, step in enumerate(self.steps, 1):
            if step.id == step_id:
                return number
        raise KeyError(step_id)

    @property
    def characteristics(self) -> tuple[Characteristic, ...]:
        """Every characteristic in the order of measuring; one that is measured in two steps stands twice."""
        return tuple(characteristic for step in self.steps for characteristic in step.characteristics)

    @property
    def names(self) -> dict[str, str]:
        """Each spoken name of a characteristic with its canonical name."""
        return dict(_names(self.steps, self.vocabulary))

    @property
    def timers(self) -> tuple[str, ...]:
        """The names of the waits, each once."""
        return tuple(dict.fromkeys(step.wait.name for step in self.steps if step.wait and step.wait.name))

    @property
    def answers(self) -> tuple[str, ...]:
        """The answers to its questions beyond yes and no, each once."""
        said = (answer for question in self.questions.values() for answer in question.answers)
        return tuple(dict.fromkeys(answer for answer in said if answer not in YES_OR_NO))

    def resting_on(self, step_id: str) -> tuple[str, ...]:
        """The identifiers of all steps that rest on this one, directly or through others, in order."""
        stale = {step_id}
        for step in self.steps:
            if stale.intersection(step.rests_on):
                stale.add(step.id)
        return tuple(step.id for step in self.steps if step.id in stale and step.id != step_id)


def _names(steps: tuple[Step, ...], vocabulary: dict[str, tuple[str, ...]]) -> Iterator[tuple[str, str]]:
    for step in steps:
        for characteristic in step.characteristics:
            for said in (characteristic.name, *characteristic.also, *vocabulary.get(characteristic.name, ())):
                yield said, characteristic.name
