"""Reads one JSON request from standard input and writes one JSON answer to standard output."""

import json
import sys
from collections.abc import Callable
from typing import Any


def answer(handler: Callable[[Any], Any]) -> None:
    """Answers the request on standard input with what `handler` makes of it. NaN and infinities are errors."""
    request = json.load(sys.stdin)
    json.dump(handler(request), sys.stdout, allow_nan=False)
