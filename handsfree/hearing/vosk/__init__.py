"""The recogniser for whoever has fetched a Vosk model, and the fetching."""
