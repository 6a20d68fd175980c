"""The wiring: utterances, time and the end of speech into the guide, and its effects out to log, voice and screen."""
