"""The parts of a step: fasteners, lubricants, dangers, waits, tools, and what is measured.

The models are immutable and exact. Where a key of the file has another name than the field, the field says so
(``validation_alias``); in code the fields' own names are used.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Annotated, Any, ClassVar

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    PlainValidator,
    ValidationInfo,
    WithJsonSchema,
    field_validator,
    model_validator,
)
from pydantic_core import CoreSchema, core_schema

from handsfree.measure.figure import Figure, exact_text, figure_from_text
from handsfree.measure.limits import Limits
from handsfree.measure.rounding import two_figures
from handsfree.measure.units import UnitError
from handsfree.procedure import tool_values, values, variants
from handsfree.procedure.dangers import DANGER_KINDS

AS_FOUND, AS_SET, AS_LEFT = OCCASIONS = ("as found", "as set", "as left")


def _listed(value: object) -> object:
    return value if isinstance(value, (list, tuple)) else [value]


def _figure_here(value: object, info: ValidationInfo) -> Figure:
    """A plain number, in the characteristic's own unit."""
    return replace(values.exact_figure(value), unit=info.data.get("unit"))


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


def _danger_kind(value: object) -> str:
    if not isinstance(value, str) or value not in DANGER_KINDS:
        near = values.nearest_word(str(value), DANGER_KINDS)
        hint = f'did you mean "{near}"?' if near else f"kinds are {', '.join(DANGER_KINDS)}"
        raise ValueError(f'"{value}" is not a kind of danger; {hint}' if isinstance(value, str) else "must be a word")
    return str(value)


class OneOrList:
    """Marks a list in whose place a single entry may stand."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(_listed, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        listed = handler(schema)
        return {"anyOf": [listed["items"], listed]}


# How the plain values look in the file, for the JSON Schema.
_TEXT = {"type": ["string", "number"]}
_NUMBER = {"type": ["number", "string"]}
_WORDS = {"type": "string", "pattern": "^[A-Za-z'’ -]+$"}
_ANSWER = {"anyOf": [_WORDS, {"type": "boolean"}]}
_ANSWERS = {"anyOf": [_ANSWER, {"type": "array", "items": _ANSWER}]}
_CONDITION = {"type": "object", "minProperties": 1, "additionalProperties": _ANSWERS}
_YES_OR_NO = {"type": "boolean"}

Text = Annotated[str, PlainValidator(values.text), WithJsonSchema(_TEXT)]
Texts = Annotated[tuple[Text, ...], OneOrList()]
SpokenName = Annotated[str, PlainValidator(values.spoken_name), WithJsonSchema(_WORDS)]
SpokenNames = Annotated[tuple[SpokenName, ...], OneOrList()]
Thing = Annotated[str, PlainValidator(values.thing), WithJsonSchema(_TEXT)]
Things = Annotated[tuple[Thing, ...], OneOrList()]
FigureHere = Annotated[Figure, PlainValidator(_figure_here), WithJsonSchema(_NUMBER)]
Pair = Annotated[
    tuple[Figure, Figure],
    PlainValidator(_pair_here),
    WithJsonSchema({"type": "array", "items": _NUMBER, "minItems": 2, "maxItems": 2}),
]
Size = Annotated[Figure, PlainValidator(_size), WithJsonSchema(_NUMBER)]
_SPAN = {"anyOf": [{"type": "string"}, {"type": "array", "items": _NUMBER, "minItems": 2, "maxItems": 2}]}
_PIECES = {"anyOf": [_NUMBER, {"type": "array", "items": _NUMBER}]}
ToolRangeField = Annotated[tuple[Figure, Figure], PlainValidator(tool_values.range_of), WithJsonSchema(_SPAN)]
PiecesField = Annotated[tuple[Figure, ...], PlainValidator(tool_values.stated_set), WithJsonSchema(_PIECES)]
AnswerField = Annotated[str, PlainValidator(variants.answer_text), WithJsonSchema(_ANSWER)]
Count = Annotated[int, PlainValidator(values.count), WithJsonSchema({"type": "integer", "minimum": 1})]
YesOrNo = Annotated[bool, PlainValidator(values.yes_or_no), WithJsonSchema(_YES_OR_NO)]
UnitField = Annotated[str, PlainValidator(values.unit_key), WithJsonSchema({"type": "string"})]
Occasion = Annotated[str, PlainValidator(_occasion), WithJsonSchema({"enum": list(OCCASIONS)})]
Seconds = Annotated[int, PlainValidator(values.seconds), WithJsonSchema({"type": "string"})]
DangerKindField = Annotated[str, PlainValidator(_danger_kind), WithJsonSchema({"enum": list(DANGER_KINDS)})]
ConditionField = Annotated[dict[str, tuple[str, ...]], PlainValidator(variants.condition), WithJsonSchema(_CONDITION)]


def only_if() -> Any:
    """The answers on which a part depends; nothing: it is always there."""
    return Field(default_factory=dict, validation_alias="only if")


def only_at() -> Any:
    """The places at which a part of a repeated step is there; what remains after reading holds everywhere."""
    return Field(default=(), validation_alias="only at")


class ProcedurePart(BaseModel):
    """What all parts share. ``IN_TEXT``: a plain text may stand for the whole part in the file."""

    IN_TEXT: ClassVar[bool] = False
    EITHER: ClassVar[tuple[str, ...]] = ()
    """Keys of which one is enough."""
    # Built when it is first used, as part of the whole to which it belongs.
    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, defer_build=True)

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        part = handler.resolve_ref_schema(handler(schema))
        if cls.EITHER:
            # Nothing else of such a part is needed.
            part.pop("required", None)
            part["anyOf"] = [{"required": [key]} for key in cls.EITHER]
        return {"anyOf": [{"type": "string"}, part]} if cls.IN_TEXT else part


class Fastener(ProcedurePart):
    """Fasteners of one sort that a step uses."""

    IN_TEXT, EITHER = True, ("size", "use")

    use: Text | None = None
    """Its short name in the table of fasteners, whose keys it then has."""
    count: Count = 1
    size: Text
    """Thread and length: "M2 x 5", "8 BA x 3/16 in", "6-32 x 1/4"."""
    head: Text | None = None
    finish: Text | None = None
    where: Text | None = None
    left_hand: YesOrNo = Field(default=False, validation_alias="left-hand thread")
    tighten: Text | None = None
    """How firmly: "firm, crosswise", "forty newton centimetres"."""
    only_if: ConditionField = only_if()
    only_at: SpokenNames = only_at()

    @property
    def thread(self) -> str:
        """The size without the length: "M2", "8 BA"."""
        return self.size.replace("×", " x ").split(" x ")[0].strip()

    @property
    def length(self) -> str | None:
        """The length as written ("5", "3/16 in"), or None where the size names none."""
        parts = self.size.replace("×", " x ").split(" x ", 1)
        return parts[1].strip() if len(parts) == 2 else None


class Lubricant(ProcedurePart):
    """One lubricant of a step: which, where, how much."""

    IN_TEXT, EITHER = True, ("which", "use")

    use: Text | None = None
    """Its short name in the table of lubricants, whose keys it then has."""
    which: Text
    where: Text | None = None
    how_much: Text | None = Field(default=None, validation_alias="how much")
    only_if: ConditionField = only_if()
    only_at: SpokenNames = only_at()


class Danger(ProcedurePart):
    """A danger to the person, spoken before the step without being asked."""

    IN_TEXT, EITHER = True, ("say", "kind")

    kind: DangerKindField | None = None
    """A key of ``dangers.DANGER_KINDS``."""
    say: Text
    """Its words; where the file has none, the usual ones of its kind."""
    until: Text | None = None
    """The step at whose end the danger is over; None: at the end of its own step."""
    only_if: ConditionField = only_if()
    only_at: SpokenNames = only_at()

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        if isinstance(value, str):
            value = {"kind": value} if value in DANGER_KINDS else {"say": value}
        kind = value.get("kind") if isinstance(value, dict) and "say" not in value else None
        if isinstance(kind, str) and kind in DANGER_KINDS:
            return {**value, "say": DANGER_KINDS[kind].say}
        return value


class AlignmentMark(ProcedurePart):
    """An alignment mark, made when stripping, by which the parts meet again."""

    name: Text
    where: Text
    """Across which parts, and where on them: it is spoken back when they meet."""
    made_already: YesOrNo = Field(default=False, validation_alias="made already")
    """It was made when the item was taken apart: here it is only found."""


class Wait(ProcedurePart):
    """A time that has to pass before the step is done."""

    IN_TEXT = True

    seconds: Seconds = Field(validation_alias="for")
    name: SpokenName | None = None
    """The timer's name, as it is said."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return {"for": value} if isinstance(value, str) else value


class Tool(ProcedurePart):
    """What a figure is taken with. Sizes without a unit are in the characteristic's unit."""

    IN_TEXT, EITHER = True, ("name", "use")

    use: Text | None = None
    """Its short name in the table of tools, whose keys it then has."""
    name: Text
    resolution: Size | None = None
    digital: YesOrNo = False
    """Whether it shows figures; a pointer can stand half way between two divisions."""
    uncertainty: Size | None = None
    """Expanded uncertainty U."""
    also: SpokenNames = ()
    """Other names by which it is called."""
    range: ToolRangeField | None = None
    """From where to where it reads."""
    blades: PiecesField | None = None
    """The blades of a set of feelers, each with its unit."""
    shims: PiecesField | None = None
    """The shims of a box, each as often as it is there, each with its unit."""

    @property
    def least_shown(self) -> Figure | None:
        """What two readings differ by at the least: a division, or half of one where a pointer is read between two."""
        if self.resolution is None or self.digital or self.blades:
            return self.resolution
        half = self.resolution.value / 2
        return Figure(half, None, self.resolution.unit)

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return {"name": value} if isinstance(value, str) else value


class Characteristic(ProcedurePart):
    """What a step measures: its names, unit, limits, and the tool it is measured with."""

    # The order of the fields matters: later ones are checked against earlier ones.
    name: SpokenName
    also: SpokenNames = ()
    """Other names by which it is called."""
    unit: UnitField
    """A key of ``units.UNITS``."""
    between: Pair | None = Field(default=None, validation_alias="limits")
    at_least: FigureHere | None = Field(default=None, validation_alias="at least")
    at_most: FigureHere | None = Field(default=None, validation_alias="at most")
    target: FigureHere | None = None
    tool: Tool | None = None
    deviation: YesOrNo = False
    """Whether the tool shows the deviation from the target (from nought where there is none): "plus two minus one"."""
    occasion: Occasion = Field(default=AS_SET, validation_alias="when")
    only_if: ConditionField = only_if()
    only_at: SpokenNames = only_at()

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
    def uncertainty_assumed(self) -> str | None:
        """How U was come by where the tool states none; None where it does, and where there is none."""
        return "half the resolution" if self.uncertainty and not (self.tool and self.tool.uncertainty) else None

    @property
    def uncertainty_shown(self) -> Figure:
        """U for the eye and the ear: exact where it is in the characteristic's unit, else to two significant
        figures."""
        size = (self.tool.uncertainty or self.tool.resolution) if self.tool else None
        own = size is None or size.unit in (None, self.unit)
        exact = figure_from_text(exact_text(self.uncertainty), self.unit)
        return exact if own else two_figures(self.uncertainty, self.unit)

    @property
    def limits(self) -> Limits:
        """Bounds, target and uncertainty, all in the characteristic's unit."""
        low, high, target = (None if f is None else f.value for f in (self.low, self.high, self.target))
        return Limits(low, high, target, self.uncertainty)
