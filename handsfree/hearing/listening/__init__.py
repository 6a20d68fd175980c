"""Sound as it comes in: the microphone, voice or no voice, where utterances begin and end.

- ``denoise``: a Wiener filter against steady noise, used only where there is noise.
- ``endpoints``: where utterances begin and end in a stream of sound.
- ``listener``: the thread that listens: blocks in, utterances out, deaf while the program itself speaks.
- ``microphone``: sound from a microphone, brought to 16 kHz.
"""

__all__ = ["denoise", "endpoints", "listener", "microphone"]
