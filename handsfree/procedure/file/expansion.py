"""A procedure file written out: groups, repeated steps and short names become plain steps, one after the other.

It works on the data as they stand in the file, before they are checked against the model, and remembers where each
thing came from: so every problem is told at the line that the writer knows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from handsfree.procedure import values, variants
from handsfree.procedure.file.format import Group
from handsfree.procedure.file.problems import LocatedFault, in_plain_words
from handsfree.procedure.file.raw import AT_SOME_PLACES, PLACE, as_list, entries_of, keyed, with_place, without_places
from handsfree.procedure.location import Location
from handsfree.procedure.model import AT_PLACE, IN_GROUP, IN_STAGE, MARKS_MET, THEN_STOP, WRITTEN_ONCE

USUAL_STOP = "This is a good place to stop."
REFERENCES = ("rests on", "needs")
"""Keys of a step that name other steps."""
_NAMES = ("id", *REFERENCES, "for each", "only if", "only at")
_TABLES = {"fasteners": "fasteners", "lubricant": "lubricants", "tools": "tools"}
"""Keys of a step whose entries may stand in a table, with the table's key."""


@dataclass
class Expanded:
    """The data with every step for itself, and the way back to the file."""

    data: Any
    faults: list[LocatedFault] = field(default_factory=list)
    _moved: dict[Location, Location] = field(default_factory=dict)

    def place(self, place: Location) -> Location:
        """Where in the file a place of the data comes from."""
        for length in range(len(place), 0, -1):
            origin = self._moved.get(place[:length])
            if origin is not None:
                return (*origin, *place[length:])
        return place

    def move(self, place: Location, origin: Location) -> None:
        self._moved[place] = origin


def expand(data: Any) -> Expanded:
    """Write a file's data out; what can't be (it is no procedure at all) is left as it is."""
    found = Expanded(data)
    if isinstance(data, dict) and isinstance(data.get("steps"), list):
        _Writer(data, found).write()
    return found


@dataclass(frozen=True)
class _Around:
    """What a step has from the group it stands in."""

    group: Any = None
    tray: Any = None
    condition: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    place: str | None = None
    places: tuple[str, ...] = ()
    stage: Any = None
    stop: Any = None
    unsure: bool = False
    """It is repeated, but at places that can't be read."""


class _Writer:
    def __init__(self, data: Mapping[str, Any], found: Expanded) -> None:
        self._data = data
        self._found = found
        self._steps: list[Any] = []
        self._unsure: set[tuple[str, ...]] = set()
        """Lists of places that could be read in part only."""
        self._copies: dict[str, list[tuple[str, str]]] = {}
        """For each identifier of a repeated step those of its copies, with their places."""

    def write(self) -> None:
        self._entries(self._data["steps"], ("steps",), _Around())
        for at, step in enumerate(self._steps):
            if isinstance(step, dict):
                self._refer(step, ("steps", at))
                self._look_up(step, ("steps", at))
                self._meet(step)
        self._found.data = {**self._data, "steps": self._steps}

    def _fault(self, place: Location, message: str) -> None:
        self._found.faults.append(LocatedFault(place, message))

    # groups and repeats
    def _entries(self, entries: Sequence[Any], origin: Location, around: _Around) -> None:
        for at, entry in enumerate(entries):
            here = (*origin, at)
            if isinstance(entry, dict) and "steps" in entry:
                self._group(entry, here, around)
            elif isinstance(entry, dict):
                self._step(entry, here, around)
            else:
                self._add(entry, here)

    def _add(self, step: Any, origin: Location) -> Location:
        here: Location = ("steps", len(self._steps))
        self._found.move(here, origin)
        self._steps.append(step)
        return here

    def _group(self, group: dict[str, Any], here: Location, around: _Around) -> None:
        try:
            Group.model_validate({**group, "steps": []}, by_alias=True, by_name=False)
        except ValidationError as error:
            for fault in in_plain_words(error, whole=Group):
                self._found.faults.append(LocatedFault((*here, *fault.place), fault.message, fault.of_key))
        steps = group["steps"]
        if not isinstance(steps, list) or not steps:
            self._fault((*here, "steps"), '"steps" of a group must be a list with at least one step')
            return
        places = self._places(group, here, around)
        condition = self._condition(group, here, around)
        tray = group.get("tray", around.tray)
        stage, stop = around.stage, around.stop
        if group.get("stop"):
            stage, stop = group.get("group"), USUAL_STOP if group["stop"] is True else group["stop"]
        for place in places or (around.place,):
            unsure = "for each" in group and not places
            inner = _Around(
                group=group.get("group"),
                tray=tray,
                condition=condition,
                place=place,
                places=places or around.places,
                stage=stage,
                stop=stop,
                unsure=unsure,
            )
            self._entries(steps, (*here, "steps"), inner)

    def _step(self, raw: dict[str, Any], here: Location, around: _Around) -> None:
        places = self._places(raw, here, around)
        step = {key: value for key, value in raw.items() if key != "for each"}
        condition = self._condition(raw, here, around)
        if condition:
            step["only if"] = {name: list(fitting) for name, fitting in condition.items()}
        if around.group is not None:
            step[IN_GROUP] = around.group
        if around.stop:
            step[IN_STAGE], step[THEN_STOP] = around.stage, around.stop
        if around.tray is not None:
            step.setdefault("tray", around.tray)
        if not places and around.place is None:
            if "for each" in raw or around.unsure:
                without_places(step)
            else:
                self._anywhere(step, here)
            self._add(step, here)
            return
        for place in places or (around.place or "",):
            self._at(step, here, place, places or around.places)

    def _anywhere(self, step: Mapping[str, Any], here: Location) -> None:
        for part, where in [(step, here), *((each, (*here, *at)) for at, each in entries_of(step))]:
            if isinstance(part, dict) and "only at" in part:
                self._fault(
                    (*where, "only at"),
                    '"only at" stands in a step that is not repeated; add "for each" or take it out',
                )

    def _at(self, step: dict[str, Any], here: Location, place: str, places: tuple[str, ...]) -> None:
        """One copy of a repeated step."""
        if not self._wanted(step, here, place, places):
            return
        copy = {
            key: value if key in _NAMES else with_place(value, place) for key, value in step.items() if key != "only at"
        }
        act = step.get("do")
        if isinstance(act, str) and PLACE not in act:
            copy["do"] = f"{act.rstrip('.!')}, {place}."
        copy[AT_PLACE] = place
        name = step.get("id")
        if isinstance(name, str) and name.strip():
            name = " ".join(name.split())
            copy[WRITTEN_ONCE], copy["id"] = name, f"{name}/{place}"
            self._copies.setdefault(name, []).append((copy["id"], place))
        added = self._add(copy, here)
        for key in AT_SOME_PLACES:
            if key in copy:
                copy[key] = self._some(copy[key], (*here, key), (*added, key), place, places)

    def _some(self, entries: Any, origin: Location, added: Location, place: str, places: tuple[str, ...]) -> Any:
        """The entries that are there at a place."""
        kept: list[Any] = []
        for at, entry in enumerate(entries if isinstance(entries, list) else [entries]):
            if isinstance(entry, dict):
                if not self._wanted(entry, (*origin, at), place, places):
                    continue
                kept.append({key: value for key, value in entry.items() if key != "only at"})
            else:
                kept.append(entry)
            if len(kept) != at + 1:
                self._found.move((*added, len(kept) - 1), (*origin, at))
        return kept

    def _wanted(self, part: Mapping[str, Any], here: Location, place: str, places: tuple[str, ...]) -> bool:
        if "only at" not in part:
            return True
        said = part["only at"]
        wanted = []
        for number, each in enumerate(said if isinstance(said, list) else [said]):
            try:
                name = values.spoken_name(each)
            except ValueError as error:
                self._fault((*here, "only at", number), keyed("only at", error))
                continue
            wanted.append(name)
            if name not in places and places not in self._unsure:
                near = values.nearest_word(name, places)
                hint = f'did you mean "{near}"?' if near else f"places are {', '.join(places)}"
                self._fault((*here, "only at", number), f'"only at": the step is not repeated at "{name}"; {hint}')
        return place in wanted

    def _places(self, part: Mapping[str, Any], here: Location, around: _Around) -> tuple[str, ...]:
        """The places named by "for each": a list, or the short name of one."""
        if "for each" not in part:
            return ()
        here = (*here, "for each")
        said = part["for each"]
        if around.place is not None:
            self._fault(here, '"for each" stands in a group that is repeated itself; repeat one of the two')
            return ()
        lists = self._data.get("places")
        lists = lists if isinstance(lists, dict) else {}
        if isinstance(said, str):
            name = said.strip()
            if name not in lists:
                near = values.nearest_word(name, lists)
                hint = f'did you mean "{near}"?' if near else 'name one, or write a list, such as "[inlet, exhaust]"'
                self._fault(here, f'"for each": there is no list "{name}" under "places"; {hint}')
                return ()
            said, here = lists[name], ("places", name)
        if not isinstance(said, list):
            self._fault(here, f'"{here[-1]}" must be a list of places, such as "[inlet, exhaust]"')
            return ()
        places: list[str] = []
        before = len(self._found.faults)
        for number, raw in enumerate(said):
            try:
                place = values.spoken_name(raw)
            except ValueError as error:
                self._fault((*here, number), keyed(str(here[-1]), error))
                continue
            if place in places:
                self._fault((*here, number), f'"{place}" is here twice; a step is done once at each place')
            else:
                places.append(place)
        if len(self._found.faults) > before:
            self._unsure.add(tuple(places))
        return tuple(places)

    def _condition(self, part: Mapping[str, Any], here: Location, around: _Around) -> dict[str, tuple[str, ...]]:
        """The conditions of a step and of the group around it, together."""
        if "only if" not in part:
            return dict(around.condition)
        try:
            own = variants.condition(part["only if"])
        except ValueError as error:
            self._fault((*here, "only if"), keyed("only if", error))
            return {}
        joined = dict(around.condition)
        for name, fitting in own.items():
            both = tuple(each for each in fitting if each in joined.get(name, fitting))
            if not both:
                self._fault(
                    (*here, "only if"), f'no answer about "{name}" fits both this and the group around it; change one'
                )
            joined[name] = both or fitting
        return joined

    # what steps refer to
    def _refer(self, step: dict[str, Any], here: Location) -> None:
        """Names of repeated steps become those of their copies: the one at the same place, else all of them."""
        place = step.get(AT_PLACE)
        for key in REFERENCES:
            if key not in step:
                continue
            names, origin = step[key], self._found.place((*here, key))
            written: list[Any] = []
            for at, name in enumerate(names if isinstance(names, list) else [names]):
                for copy in self._copies_for(name, place):
                    if len(written) != at:
                        self._found.move((*here, key, len(written)), (*origin, at))
                    written.append(copy)
            step[key] = written
        dangers = step.get("dangers")
        for danger in dangers if isinstance(dangers, list) else [dangers]:
            if isinstance(danger, dict) and isinstance(until := danger.get("until"), str) and until in self._copies:
                # A copy for this step alone: the entry may be shared through an alias.
                danger_here = {**danger, "until": self._copies_for(until, place)[-1]}
                if isinstance(dangers, list):
                    step["dangers"] = [danger_here if each is danger else each for each in step["dangers"]]
                else:
                    step["dangers"] = danger_here

    def _copies_for(self, name: Any, place: Any) -> list[Any]:
        copies = self._copies.get(name) if isinstance(name, str) else None
        if not copies:
            return [name]
        return [copy for copy, at in copies if at == place] or [copy for copy, _ in copies]

    def _meet(self, step: dict[str, Any]) -> None:
        """The marks that come together in a step, with where they are."""
        if "meets" in step:
            made = [mark for each in self._steps if isinstance(each, dict) for mark in as_list(each.get("marks"))]
            met = [
                mark
                for name in as_list(step["meets"])
                for mark in made
                if isinstance(mark, dict)
                and isinstance(name, str)
                and set(mark) - {"made already"} == {"name", "where"}
                and mark["name"] == name
            ]
            step[MARKS_MET] = list({str(mark["name"]): mark for mark in met}.values())

    # tables
    def _look_up(self, step: dict[str, Any], here: Location) -> None:
        for key, table in _TABLES.items():
            if key not in step:
                continue
            entries = step[key] if isinstance(step[key], list) else [step[key]]
            step[key] = [
                self._entry(entry, (*here, key, at), table, must=key != "tools") for at, entry in enumerate(entries)
            ]
        if "measure" in step:
            entries = step["measure"] if isinstance(step["measure"], list) else [step["measure"]]
            step["measure"] = [
                {**each, "tool": self._entry(each["tool"], (*here, "measure", at, "tool"), "tools", must=False)}
                if isinstance(each, dict) and "tool" in each
                else each
                for at, each in enumerate(entries)
            ]

    def _entry(self, entry: Any, here: Location, table: str, *, must: bool) -> Any:
        """An entry with the keys that its short name has in the table."""
        used = entry.get("use") if isinstance(entry, dict) else entry
        if not isinstance(used, str):
            return entry
        rows = self._data.get(table)
        row = rows.get(used) if isinstance(rows, dict) else None
        if row is None:
            if must or isinstance(entry, dict):
                near = values.nearest_word(used, rows) if isinstance(rows, dict) else None
                hint = f'did you mean "{near}"?' if near else f'put it there, or write out its keys ("{_FORMS[table]}")'
                self._fault(
                    self._found.place((*here, "use") if isinstance(entry, dict) else here),
                    f'"{used}" is not in the table "{table}"; {hint}',
                )
                return _NOTHING[table] if not isinstance(entry, dict) else {**_NOTHING[table], **entry}
            return entry
        own = {key: value for key, value in entry.items() if key != "use"} if isinstance(entry, dict) else {}
        if not isinstance(row, dict):
            row = {"name": row} if table == "tools" else {}
        for key in {*row, *_NOTHING[table]} - set(own):
            self._found.move((*here, key), (table, used, key))
        return {**row, **own, "use": used}


_FORMS = {"fasteners": "size: M2 x 5", "lubricants": "which: instrument oil", "tools": "name: feeler blades"}
_NOTHING: Mapping[str, Mapping[str, str]] = {
    "fasteners": {"size": "unknown"}, "lubricants": {"which": "unknown"}, "tools": {"name": "unknown"},
}  # fmt: skip
"""Stands in for what is missing, so that one mistake gives one message."""
