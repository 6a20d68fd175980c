"""Speech and tones out."""
