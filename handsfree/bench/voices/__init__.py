"""One person's voice: read aloud from a card, learned, and kept where it helps.

- ``card_reading``: the card read aloud by one person, hands free: what is asked for next, and what is made of each
  thing said.
- ``learned``: a person's voice learned from the card, tried, and kept where it helps.
"""

__all__ = ["card_reading", "learned"]
