"""``handsfree phrases``: the cheat sheet of everything that can be said."""

from __future__ import annotations

import argparse
import shutil
import textwrap

from handsfree.bench.changing import at_hand, spoken_names
from handsfree.bench.setting_up import language_of, load_named
from handsfree.measure.units import UNITS
from handsfree.phrases.language import Language


def run_phrases(args: argparse.Namespace) -> int:
    """Print the cheat sheet."""
    if args.procedure is None:
        language, title = Language(), "Everything that can be said (a procedure adds the names of what it measures)"
    else:
        loaded = load_named(args.procedure)
        procedure = loaded.procedure
        others = spoken_names(at_hand(loaded.path.parent))
        language, title = language_of(procedure, procedures=others), f"Everything that can be said: {procedure.title}"
    print("\n".join(cheat_sheet(language, title)))
    return 0


def cheat_sheet(language: Language, title: str) -> list[str]:
    """The cheat sheet's lines, from the same definition that is recognised and understood."""
    width = max(60, min(110, shutil.get_terminal_size((100, 24)).columns))
    lines = [title, ""]
    group = ""
    for command in language.commands:
        if command.group != group:
            group = command.group
            lines += [*([""] if lines[-1] else []), group]
        lines.append(f"  {command.help}")
        for wording in command.wordings:
            lines += textwrap.wrap(wording, width, initial_indent="      ", subsequent_indent="          ")
    names: dict[str, list[str]] = {}
    for said, name in language.vocabulary.characteristics.items():
        names.setdefault(name, []).append(said)
    units = ", ".join(dict.fromkeys(unit.many for unit in UNITS.values() if unit.many))
    explained = [
        "[ ] may be left out; ( / ) one of these",
        "NUMBER: four; forty two; one twenty five; one two five; double four; point one zero two; four and a half;"
        " eleven thirty seconds; one over fifty; minus two",
        f"FIGURE: a number, with a unit or without ({units}); three tenths of a second",
        "READING: a figure; four thou drags (free, binds); four goes, five won't, of two blades; plus two minus one,"
        " where a figure is measured from its target",
        "THREAD: M two point five; eight B A; quarter Whitworth; quarter B S F; six thirty two",
        "TIME: ten minutes; half an hour; ninety seconds",
    ]
    if names:
        said = "; ".join(" or ".join(dict.fromkeys(forms)) for forms in names.values())
        explained.append(f"CHARACTERISTIC: {said}")
    if language.vocabulary.tools:
        explained.append(f"TOOL: {'; '.join(language.vocabulary.tools)}")
    if language.vocabulary.procedures:
        explained.append(f"PROCEDURE: {'; '.join(language.vocabulary.procedures)}")
    lines += ["", "How to read this"]
    for line in explained:
        lines += textwrap.wrap(line, width, initial_indent="  ", subsequent_indent="      ")
    return lines
