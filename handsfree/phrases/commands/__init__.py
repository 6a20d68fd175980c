"""Every command that can be said, with its wordings, by subject; ``table`` puts them together.

- ``vocabulary``: the names that a procedure adds to the language, and the parts of commands that are made of them.
"""

__all__ = ["vocabulary"]
