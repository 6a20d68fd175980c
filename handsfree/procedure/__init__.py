"""Procedures: their model, loader and checker.

- ``check``: whether a procedure can be worked, and what would be better.
- ``dangers``: the kinds of danger to the person, each with its usual wording and with what in a procedure calls for
  it.
- ``file``: from the text of a procedure file to a procedure, or everything that is wrong with it.
- ``location``: places in a procedure file.
- ``model``: a procedure: its steps in order, and what each of them asks for, warns of, measures and rests on.
- ``order``: the order of steps: what has to come first, what shuts a part in, what blocks a place, and what that
  costs.
- ``parts``: the parts of a step: fasteners, lubricants, dangers, waits, tools, and what is measured.
- ``settings``: what a workshop has settled once, in its own file, for all its jobs.
- ``shipped``: finding a procedure: by its path, or by the bare name of one that comes with the package.
- ``tool_values``: what a tool can measure, and the pieces of a set, as they are written in a file.
- ``values``: the single values of a procedure file: text, spoken names, figures, units and lengths of time.
- ``variants``: variants of an item: what is asked once, what the serial number decides, and what depends on the
  answers.
- ``words``: a workshop's own words for taking apart: what its parts, places, fasteners and figures are called.
- ``workshop``: the workshop's own small file: its tools and sets, and the English it is spoken to in.
"""

__all__ = [
    "check",
    "dangers",
    "file",
    "location",
    "model",
    "order",
    "parts",
    "settings",
    "shipped",
    "tool_values",
    "values",
    "variants",
    "words",
    "workshop",
]
