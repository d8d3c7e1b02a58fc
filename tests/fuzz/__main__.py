"""Runs the parsers on made-up input for long: python -m tests.fuzz [PARSER...] --seconds 1800 [--seed N] [--once SEED].

Each input is made of a seed, so a find can be done again: `--once SEED`. What is not refused with a sentence, takes
more than 1 s of this process's time, or wants more than 2 GB, is printed as a find. Exit 1 if there was one.
"""

from __future__ import annotations

import argparse
import io
import random
import signal
import sys
import time
import traceback
import warnings
from contextlib import redirect_stdout

from inventory.errors import Refused
from tests.fuzz.parsers import PARSERS, Parser

#: CPU seconds after which an input is a find, and after which it is broken off.
SLOW, BROKEN_OFF = 1.0, 20
_MEMORY = 2 << 30
#: Finds of one parser after which it is left.
_MOST = 20


class _TooLong(Exception):
    pass


def _stop(*_: object) -> None:
    raise _TooLong


def tried(parser: Parser, seed: int) -> str:
    """What was found with one input: empty if it was read, or refused with a sentence, within its time."""
    began, printed = time.process_time(), io.StringIO()
    signal.setitimer(signal.ITIMER_VIRTUAL, BROKEN_OFF)
    try:
        with redirect_stdout(printed):
            parser(random.Random(seed))
    except Refused as refusal:
        if not refusal.message:
            return f"a refusal without a sentence: {refusal.code}"
    except _TooLong:
        return f"broken off after {BROKEN_OFF} s: {traceback.format_exc(limit=-3)}"
    except (Exception, RecursionError, MemoryError):
        return traceback.format_exc(limit=-6)
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    took = time.process_time() - began
    if printed.getvalue():
        return f"printed: {printed.getvalue()[:200]}"
    return f"took {took:.1f} s" if took > SLOW else ""


def long_run(name: str, seconds: float, seed: int) -> int:
    """Try one parser for so many seconds; prints its finds and a line at the end. Gives the number of finds."""
    parser, count, finds = PARSERS[name], 0, 0
    tried(parser, seed)  # what is made once
    until = time.monotonic() + seconds
    while time.monotonic() < until and finds < _MOST:
        count += 1
        if found := tried(parser, seed + count):
            finds += 1
            print(f"FIND {name} --once {seed + count}\n{found}", flush=True)
    print(f"{name}: {count:,} inputs in {seconds / 60:.1f} min from seed {seed}, {finds} finds", flush=True)
    return finds


def main() -> int:
    """The command line."""
    import resource

    read = argparse.ArgumentParser(prog="python -m tests.fuzz")
    read.add_argument("parser", nargs="*")
    read.add_argument("--seconds", type=float, default=20)
    read.add_argument("--seed", type=int, default=None)
    read.add_argument("--once", type=int, default=None)
    asked = read.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    signal.signal(signal.SIGVTALRM, _stop)
    warnings.simplefilter("ignore")
    chosen = asked.parser or list(PARSERS)
    if asked.once is not None:
        for name in chosen:
            tried(PARSERS[name], asked.once)  # what is made once
            print(tried(PARSERS[name], asked.once) or "nothing found")
        return 0
    first = asked.seed if asked.seed is not None else random.SystemRandom().randrange(10**9)
    finds = [long_run(name, asked.seconds, first) for name in chosen]
    return int(any(finds))


if __name__ == "__main__":
    sys.exit(main())
