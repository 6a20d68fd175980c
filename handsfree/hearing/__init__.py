"""Sound in: recordings, microphone, ends of utterances, recognisers, and the decision how far to trust them."""
