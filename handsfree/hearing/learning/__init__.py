"""A voice learned from what one person has read aloud, without anything that the program does not need otherwise.

- ``card``: the card that is read aloud once, and what was said to it so far: kept until the voice is learned.
- ``fitting``: a voice learned: the encoder's norms and biases moved until what was said is likelier to be read.
- ``known_voice``: the small file of one person: what was learned of the voice.
- ``lessons``: what is learned from: each thing said, as it was, in noise and joined to strings; and how the network may
  write it.
- ``telling``: what was found out about a voice, in plain words.
- ``weights_of_files``: the networks' weights, read out of the files that onnxruntime runs.
"""

__all__ = ["card", "fitting", "known_voice", "lessons", "telling", "weights_of_files"]
