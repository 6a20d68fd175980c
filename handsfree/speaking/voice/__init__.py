"""Speech from text: the voice engine, its settings, and what it is given to say."""
