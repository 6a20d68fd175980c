"""The bench's equipment: microphones and loudspeakers, a check of everything, models, what recordings are taken for.

- ``arguments``: the arguments of these commands.
"""

__all__ = ["arguments"]
