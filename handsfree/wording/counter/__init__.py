"""What is told at the counter, in words.

- ``before``: an item that was here before, for the ear and for the eye.
"""

__all__ = ["before"]
