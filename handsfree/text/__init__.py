"""Words as such: numerals, sentences, how English sounds, and how text is laid out on a terminal."""
