"""Numbers, figures, sizes and codes as they are said.

- ``days``: days as they are said at a counter: "friday", "the fourth of december", "in two weeks".
- ``figures``: figures: a number with its unit, as people say them together.
- ``money``: amounts of money as they are said: "eighty pounds fifty".
- ``numbers``: numbers as they are said at a bench: whole numbers, digit by digit, decimals, fractions.
- ``spelling``: codes spelled aloud: the ICAO spelling alphabet, figures, and a few marks; and codes read back in
  groups.
"""

__all__ = ["days", "figures", "money", "numbers", "spelling"]
