"""Whether a procedure can be worked, and what would be better.

- ``checker``: a procedure file looked over before it is used at the bench: what is wrong, and what would be better.
- ``gap_marks``: gaps in a procedure file that only its writer can fill: marked with the word GAP, in a text or in a
  comment.
"""

__all__ = ["checker", "gap_marks"]
