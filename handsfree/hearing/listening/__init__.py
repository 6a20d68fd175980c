"""Sound as it comes in: the microphone, voice or no voice, where utterances begin and end."""
