"""Sound in: recordings, microphone, ends of utterances, recognisers, and the decision how far to trust them.

- ``ahead``: the networks that hear, loaded before anybody asks for them.
- ``builtin``: the recogniser that works straight after installation: the networks, the grammar spelled in tokens, the
  search.
- ``disfluency``: a second look at speech that is no plain command: an "um" in it, a start broken off, two commands in
  one breath.
- ``ear``: from the sound of one utterance to what the guide is told.
- ``ensemble``: two recognisers of different kinds: where they agree, that is the best confidence there is.
- ``errors``: what can go wrong in hearing, in words for the person at the bench.
- ``learning``: a voice learned from what one person has read aloud.
- ``listening``: sound as it comes in: the microphone, voice or no voice, where utterances begin and end.
- ``memory``: what loading costs: time that is not needed, and memory that is given back to the machine.
- ``recogniser``: what every recogniser can do.
- ``vosk``: the recogniser for whoever has fetched a Vosk model, and the fetching.
"""

__all__ = [
    "ahead",
    "builtin",
    "disfluency",
    "ear",
    "ensemble",
    "errors",
    "learning",
    "listening",
    "memory",
    "recogniser",
    "vosk",
]
