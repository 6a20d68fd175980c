"""What can be said while something is taken apart.

- ``commands``: removals, trays, marks and figures as found, in closed phrases.
- ``language``: the language of taking apart.
- ``not_caught``: which word was not known in what was said, and what it was taken for.
- ``removal``: what came off in one go, as it was said.
- ``words``: the words that are known in every workshop, and all that are known here.
"""

__all__ = ["commands", "language", "not_caught", "removal", "words"]
