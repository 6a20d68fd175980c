"""A procedure: its steps in order, and what each of them asks for, warns of, measures and rests on.

The models are immutable and exact. Where a key of the file has another name than the field, the field says so
(``validation_alias``); in code the fields' own names are used.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainValidator,
    ValidationInfo,
    field_validator,
    model_validator,
)

from handsfree.measure.figure import Figure
from handsfree.measure.limits import Limits
from handsfree.measure.units import UnitError
from handsfree.procedure import tool_values, values
from handsfree.procedure.consistency import inconsistencies, outline

OCCASIONS = ("as found", "as set", "as left")


def _listed(value: object) -> object:
    return value if isinstance(value, (list, tuple)) else [value]


def _figure_here(value: object, info: ValidationInfo) -> Figure:
    """A plain number, in the characteristic's own unit."""
    return replace(values.figure(value), unit=info.data.get("unit"))


def _pair_here(value: object, info: ValidationInfo) -> tuple[Figure, Figure]:
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        raise ValueError('must be two numbers, such as [1.5, 3]; for one only use "at least" or "at most"')
    low, high = (_figure_here(each, info) for each in value)
    _in_order(low, high)
    return low, high


def _in_order(low: Figure, high: Figure) -> None:
    if low.value > high.value:
        raise ValueError(f"are the wrong way round ({low.text}, then {high.text}); write the smaller one first")
    if low.value == high.value:
        raise ValueError(f"leave no room (both {low.text}); widen them")


def _size(value: object) -> Figure:
    size = values.figure_with_unit(value)
    if size.value <= 0:
        raise ValueError(f"must be more than nought, not {size.text}")
    return size


def _occasion(value: object) -> str:
    if value not in OCCASIONS:
        raise ValueError(f'must be "as found", "as set" or "as left", not {values.kind_of(value)}')
    return str(value)


Text = Annotated[str, PlainValidator(values.text)]
Texts = Annotated[tuple[Text, ...], BeforeValidator(_listed)]
SpokenName = Annotated[str, PlainValidator(values.spoken_name)]
SpokenNames = Annotated[tuple[SpokenName, ...], BeforeValidator(_listed)]
FigureHere = Annotated[Figure, PlainValidator(_figure_here)]
Size = Annotated[Figure, PlainValidator(_size)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


class Fastener(_Part):
    """Fasteners of one sort that a step uses."""

    count: Annotated[int, PlainValidator(values.count)] = 1
    size: Text
    """Thread and length: "M2 x 5", "8 BA x 3/16 in", "6-32 x 1/4"."""
    head: Text | None = None
    finish: Text | None = None
    where: Text | None = None
    left_hand: Annotated[bool, PlainValidator(values.yes_or_no)] = Field(
        default=False, validation_alias="left-hand thread"
    )

    @property
    def thread(self) -> str:
        """The size without the length: "M2", "8 BA"."""
        return self.size.replace("×", " x ").split(" x ")[0].strip()

    @property
    def length(self) -> str | None:
        """The length as written ("5", "3/16 in"), or None where the size names none."""
        parts = self.size.replace("×", " x ").split(" x ", 1)
        return parts[1].strip() if len(parts) == 2 else None


class Lubricant(_Part):
    """One lubricant of a step: which, where, how much."""

    which: Text
    where: Text | None = None
    how_much: Text | None = Field(default=None, validation_alias="how much")


class Danger(_Part):
    """A danger to the person, spoken before the step without being asked."""

    say: Text
    until: Text | None = None
    """The step at whose end the danger is over; None: at the end of its own step."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return {"say": value} if isinstance(value, str) else value


class Wait(_Part):
    """A time that has to pass before the step is done."""

    seconds: Annotated[int, PlainValidator(values.seconds)] = Field(validation_alias="for")
    name: SpokenName | None = None
    """The timer's name, as it is said."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return {"for": value} if isinstance(value, str) else value


class Tool(_Part):
    """What a figure is taken with. Sizes without a unit are in the characteristic's unit."""

    name: Text
    resolution: Size | None = None
    uncertainty: Size | None = None
    """Expanded uncertainty U."""
    also: SpokenNames = ()
    """Other names by which it is called."""
    range: Annotated[tuple[Figure, Figure] | None, PlainValidator(tool_values.range_of)] = None
    """From where to where it reads."""
    blades: Annotated[tuple[Figure, ...] | None, PlainValidator(tool_values.stated_set)] = None
    """The blades of a set of feelers, each with its unit."""
    shims: Annotated[tuple[Figure, ...] | None, PlainValidator(tool_values.stated_set)] = None
    """The shims of a box, each as often as it is there, each with its unit."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return {"name": value} if isinstance(value, str) else value


class Characteristic(_Part):
    """What a step measures: its names, unit, limits, and the tool it is measured with."""

    # The order of the fields matters: later ones are checked against earlier ones.
    name: SpokenName
    also: SpokenNames = ()
    """Other names by which it is called."""
    unit: Annotated[str, PlainValidator(values.unit_key)]
    """A key of ``units.UNITS``."""
    between: Annotated[tuple[Figure, Figure] | None, PlainValidator(_pair_here)] = Field(
        default=None, validation_alias="limits"
    )
    at_least: FigureHere | None = Field(default=None, validation_alias="at least")
    at_most: FigureHere | None = Field(default=None, validation_alias="at most")
    target: FigureHere | None = None
    tool: Tool | None = None
    deviation: Annotated[bool, PlainValidator(values.yes_or_no)] = False
    """Whether the tool shows the deviation from the target (from nought where there is none): "plus two minus one"."""
    occasion: Annotated[str, PlainValidator(_occasion)] = Field(default="as set", validation_alias="when")

    @field_validator("at_least", "at_most")
    @classmethod
    def _one_way_only(cls, value: Figure | None, info: ValidationInfo) -> Figure | None:
        if value is not None and info.data.get("between") is not None:
            raise ValueError('can\'t stand beside "limits"; keep one of the two')
        low = info.data.get("at_least")
        if info.field_name == "at_most" and value is not None and low is not None:
            _in_order(low, value)
        return value

    @field_validator("target")
    @classmethod
    def _inside_limits(cls, value: Figure | None, info: ValidationInfo) -> Figure | None:
        low, high = info.data.get("between") or (info.data.get("at_least"), info.data.get("at_most"))
        if value is None:
            return value
        if low is not None and value.value < low.value:
            raise ValueError(f"{value.text} is below the lower limit {low.text}; change one of them")
        if high is not None and value.value > high.value:
            raise ValueError(f"{value.text} is above the upper limit {high.text}; change one of them")
        return value

    @field_validator("tool")
    @classmethod
    def _tool_fits_unit(cls, value: Tool | None, info: ValidationInfo) -> Tool | None:
        unit = info.data.get("unit")
        for size in (value.resolution, value.uncertainty, *(value.range or ())) if value else ():
            try:
                if size is not None and unit is not None:
                    values.in_unit(size, unit)
            except UnitError as error:
                raise ValueError(f"does not fit the unit: {error}") from None
        return value

    @property
    def low(self) -> Figure | None:
        return self.between[0] if self.between else self.at_least

    @property
    def high(self) -> Figure | None:
        return self.between[1] if self.between else self.at_most

    @property
    def resolution(self) -> Fraction | None:
        """The tool's resolution in the characteristic's unit, where it is known."""
        size = self.tool.resolution if self.tool else None
        return None if size is None else values.in_unit(size, self.unit)

    @property
    def uncertainty(self) -> Fraction:
        """U in the characteristic's unit: as stated, else half the resolution, else nought."""
        if self.tool and self.tool.uncertainty:
            return values.in_unit(self.tool.uncertainty, self.unit)
        return (self.resolution or Fraction(0)) / 2

    @property
    def limits(self) -> Limits:
        """Bounds, target and uncertainty, all in the characteristic's unit."""
        low, high, target = (None if f is None else f.value for f in (self.low, self.high, self.target))
        return Limits(low, high, target, self.uncertainty)


class Step(_Part):
    """One act, with everything that belongs to it."""

    id: Text
    act: Text = Field(validation_alias="do")
    fasteners: Annotated[tuple[Fastener, ...], BeforeValidator(_listed)] = ()
    lubricants: Annotated[tuple[Lubricant, ...], BeforeValidator(_listed)] = Field(
        default=(), validation_alias="lubricant"
    )
    dangers: Annotated[tuple[Danger, ...], BeforeValidator(_listed)] = ()
    """To the person."""
    cautions: Texts = ()
    """For the work."""
    reason: Text | None = Field(default=None, validation_alias="why")
    characteristics: Annotated[tuple[Characteristic, ...], BeforeValidator(_listed)] = Field(
        default=(), validation_alias="measure"
    )
    check: Text | None = None
    """A question; the answer "yes" lets the step be done."""
    wait: Wait | None = None
    closes_cover: Annotated[bool, PlainValidator(values.yes_or_no)] = Field(
        default=False, validation_alias="closes cover"
    )
    """Whether this step shuts parts in: the parts tally is asked about before it."""
    details: Text | None = None
    rests_on: Texts = Field(default=(), validation_alias="rests on")
    """The steps that have to be proved for this one to stand."""


class Procedure(_Part):
    """A whole procedure. Step numbers count from one."""

    title: Text
    item: Text
    revision: Text
    workshop: Text | None = None
    vocabulary: dict[SpokenName, SpokenNames] = Field(default_factory=dict)
    """Further spoken names of characteristics, by name."""
    steps: tuple[Step, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _consistent(self) -> Procedure:
        for _, message in inconsistencies([outline(*each) for each in enumerate(self.steps)], self.vocabulary):
            raise ValueError(message)
        return self

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

    def dangers_at(self, step_id: str) -> tuple[tuple[Step, Danger], ...]:
        """The dangers present during a step, each with the step where it began, earliest first."""
        here = self.step_number(step_id)
        return tuple(
            (step, danger)
            for number, step in enumerate(self.steps[:here], 1)
            for danger in step.dangers
            if here <= (number if danger.until is None else self.step_number(danger.until))
        )

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
