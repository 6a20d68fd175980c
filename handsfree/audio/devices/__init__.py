"""Microphones and loudspeakers: how they are called, which one was chosen, and the library that reaches them.

- ``chatter``: what libraries in C write to standard error by themselves, kept from filling a terminal or a disk.
- ``library``: the sound library has one state for the whole program: who may use it, and when it is started anew.
- ``naming``: sound devices by name: their indices change from run to run, their names do not.
- ``remembered``: the devices that the user has chosen, kept in the user's settings folder.
"""

__all__ = ["chatter", "library", "naming", "remembered"]
