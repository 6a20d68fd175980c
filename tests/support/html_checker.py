"""The Nu HTML checker, where it is installed: it knows HTML, CSS, SVG and ARIA as their standards have them."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest

from tests.support.places import REPOSITORY

_ABSENT = "the Nu HTML checker (vnu, or the npm package vnu-jar with java) is not installed"


@cache
def _checker() -> tuple[str, ...] | None:
    jars = [*(REPOSITORY / "node_modules").glob("vnu-jar/**/vnu.jar"), *Path("/usr/share/java").glob("vnu*.jar")]
    for command in (("vnu",), *(("java", "-jar", str(jar)) for jar in jars)):
        # A java that is there may be too old for it.
        if shutil.which(command[0]):
            tried = subprocess.run([*command, "--version"], check=False, capture_output=True)
            if tried.returncode == 0:
                return command
    return None


def found_by_html_checker(files: Iterable[Path]) -> list[str]:
    """What the checker has to say about the pages and style sheets, warnings too, each with its file and line; all
    are read in one start of it. The test is skipped, with the reason, where it is not installed."""
    command = _checker()
    if command is None:
        pytest.skip(_ABSENT)
    asked = [*command, "--also-check-css", "--format", "json", *map(str, files)]
    answer = subprocess.run(asked, capture_output=True, text=True, check=False)
    said = json.loads(answer.stderr)["messages"]
    found = [f"{Path(each['url']).name}:{each.get('lastLine', '')}: {each['message']}" for each in said]
    # A checker that could not read a file says so by its exit code alone.
    assert found or answer.returncode == 0, answer.stderr
    return found
