"""The spoken language: one definition for recognisers, interpreter, cheat sheet and sampler.

- ``automaton``: the words that may follow one another: the form in which recognisers are given the grammar.
- ``breath``: what people say in one breath: a command with an "um" in it, one begun twice, or two commands one after
  the other.
- ``commands``: every command that can be said, with its wordings, by subject; ``table`` puts them together.
- ``continuation``: whether a command may still be going on when its speaker pauses.
- ``disassembly``: what can be said while something is taken apart.
- ``expectation``: what the step in view and an open question make likely to be said next. It weighs; it never hides
  anything.
- ``grammar``: phrases as a small algebra: one description that is compiled for recognisers, parsed, sampled and
  printed.
- ``intents``: what can be meant: the closed list of intents and their slots.
- ``language``: the language of one procedure: what recognisers are given, what words mean, what can be said.
- ``quantities``: numbers, figures, sizes and codes as they are said.
- ``typed_figures``: figures and sums as they are typed, with digits, symbols and threads among the words.
- ``utterance``: what was heard: plain values that hearing hands on and the guide decides upon.
"""

__all__ = [
    "automaton",
    "breath",
    "commands",
    "continuation",
    "disassembly",
    "expectation",
    "grammar",
    "intents",
    "language",
    "quantities",
    "typed_figures",
    "utterance",
]
