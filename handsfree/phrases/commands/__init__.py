"""Every command that can be said, with its wordings, by subject; ``table`` puts them together.

- ``choices``: choosing one of several, by its number or by a name that no other has.
- ``reasons``: reasons for leaving a step out, or for accepting a figure that is out of limits.
- ``vocabulary``: the names that a procedure adds to the language, and the parts of commands that are made of them.
"""

__all__ = ["choices", "reasons", "vocabulary"]
