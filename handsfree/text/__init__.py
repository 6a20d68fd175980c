"""Words as such: numerals, sentences, how English sounds, and how text is laid out on a terminal.

- ``calendar``: days in words: weekdays, months, and the numbers of days.
- ``columns``: columns of plain text that wrap inside themselves.
- ``english``: British and American ways of saying figures: chosen once, when the program starts.
- ``ipa``: phones as a dictionary prints them, in one letter each.
- ``money``: amounts of money in words, in the currency that a workshop's file names.
- ``numerals``: numbers in words: the one home of digits, teens, tens and named parts, of cardinals, and of numerals
  in a text.
- ``phonetics``: how English words sound, roughly: letters to phones by rule, and how far two names are apart in
  phones.
- ``printed``: the style of everything that is printed.
- ``prose``: sentences and lists: the few rules of English that everything which is told shares.
- ``terminal``: words from files, logs and sound on a terminal.
"""

__all__ = ["calendar", "columns", "english", "ipa", "money", "numerals", "phonetics", "printed", "prose", "terminal"]
