"""Procedures that several tests work by."""

from __future__ import annotations

VALVES = """\
title: Valves
item: Bench engine
revision: 1
questions:
  collar: {ask: Is there a collar on the pinion?, when: start}
  pattern:
    ask: Is it early or late?
    by serial: {early: up to 4000, late: from 4001}
places:
  cylinders: [cylinder one, cylinder two]
fasteners:
  cover screw: {size: M4 x 12, head: cheese head, tighten: "firm, crosswise"}
lubricants:
  thin oil: {which: instrument oil, how much: one drop}
tools:
  feelers: {name: feeler blades, resolution: 0.5}
steps:
  - {id: open, do: Take the cover off.}
  - group: valves
    for each: cylinders
    tray: three
    stop: true
    steps:
      - id: turn
        do: Turn to top dead centre of {place}.
        dangers: {say: It turns., until: set}
      - id: set
        do: Set both valves.
        rests on: turn
        lubricant: thin oil
        measure:
          - {name: inlet clearance, unit: thou, limits: [3, 5], tool: feelers, only if: {pattern: early}}
          - {name: inlet clearance, unit: thou, limits: [4, 6], tool: feelers, only if: {pattern: late}}
          - {name: exhaust clearance, unit: thou, limits: [5, 7], tool: feelers, only at: cylinder two}
  - id: close
    do: Put the cover on.
    only if: {collar: yes}
    fasteners: {use: cover screw, count: 4, where: the cover}
    rests on: set
"""


OTHER = """
title: Cleaning of the latch
item: Bench gauge, pattern C
revision: 4
steps:
  - id: load
    do: Brush the latch.
  - id: set
    do: Dry the latch.
    measure: {name: play, unit: thou, at most: 3}
"""
