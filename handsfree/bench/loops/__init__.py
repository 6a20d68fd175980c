"""How time passes at the bench: live, on a recording, typed, rehearsed; and what utterances come from."""
