"""Microphones and loudspeakers: how they are called, which one was chosen, and the library that reaches them."""
