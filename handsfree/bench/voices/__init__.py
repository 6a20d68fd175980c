"""One person's voice: read aloud from a card, learned, and kept where it helps.

- ``card_reading``: the card read aloud by one person, hands free: what is asked for next, and what is made of each
  thing said.
- ``from_jobs``: the figures that one person said at the bench, and that stood: what a voice is learned from further.
- ``learned``: a person's voice learned from the card or from figures, tried, and kept where it helps.
"""

__all__ = ["card_reading", "from_jobs", "learned"]
