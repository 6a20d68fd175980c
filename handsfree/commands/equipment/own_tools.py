"""``handsfree tools`` and ``handsfree check-tool``: the workshop's measuring tools, and whether they still measure."""

from __future__ import annotations

import argparse
from datetime import date

from handsfree.bench.workshop import load_workshop
from handsfree.commands.bench.run import work
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.catalogue.earlier import jobs_with
from handsfree.making.tool_check import check_name, check_procedure, drift_lines, drifts, standards_of
from handsfree.procedure.workshop import OwnTool, Workshop
from handsfree.text.calendar import from_today

_NO_TOOLS = "No tools are in the workshop's file (handsfree where names it)"


def run_tools(args: argparse.Namespace) -> int:
    """List the tools with when they are due, or tell what the checks of one have shown."""
    workshop = load_workshop(args.workshop)
    if args.name is None:
        if not workshop.tools:
            print(f"{_NO_TOOLS}.")
        for tool in workshop.tools:
            print(_line(tool, date.today()))
        return 0
    tool = _tool(workshop, args.name)
    print(_line(tool, date.today()))
    store = store_of(args)
    jobs = [store.events(job.id) for job in reversed(jobs_with(store, procedure=check_name(tool)))]
    shown = drifts(tool, jobs)
    for drift in shown:
        print("\n".join(drift_lines(drift)))
    if not shown:
        print(f"It was not checked here yet: handsfree check-tool {tool.name!r}")
    return 0


def run_check_tool(args: argparse.Namespace) -> int:
    """Check a tool against its standards, as a job of its own kind."""
    tool = _tool(load_workshop(args.workshop), args.name)
    try:
        loaded = check_procedure(tool)
    except ValueError as error:
        raise UseError(str(error)) from None
    args.serial = args.serial or tool.identity
    return work(args, loaded, "tool check")


def _tool(workshop: Workshop, name: str) -> OwnTool:
    found = [each for each in workshop.tools if name.casefold() in map(str.casefold, (each.name, each.identity or ""))]
    if not found and (called := workshop.own(name)) is not None:
        found = [called]
    if not found:
        if not workshop.tools:
            raise UseError(f"{_NO_TOOLS[0].lower()}{_NO_TOOLS[1:]}; under tools: there, name each")
        known = ", ".join(each.name for each in workshop.tools)
        raise UseError(f'no tool of the workshop\'s file is called "{name}"; there are: {known}')
    return found[0]


def _line(tool: OwnTool, today: date) -> str:
    said = [tool.name, *([tool.identity] if tool.identity else [])]
    said += [f"calibrated on {tool.calibrated.isoformat()}"] if tool.calibrated else []
    said += [f"due {tool.due.isoformat()} ({from_today(tool.due, today)})"] if tool.due else []
    said += ["nothing to check it at"] if not standards_of(tool) else []
    return ", ".join(said)
