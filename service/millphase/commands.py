"""What every command of the command line shares: how it is declared, and how it refuses."""

from __future__ import annotations

import argparse
from typing import Any


class Refusal(Exception):
    """Something the user can put right; printed on stderr, exit code 2."""


def command(commands: Any, name: str, help_text: str, example: str) -> argparse.ArgumentParser:
    """Declare a command whose help ends with an example."""
    made: argparse.ArgumentParser = commands.add_parser(
        name, help=help_text, description=help_text[0].upper() + help_text[1:] + ".", epilog=f"example: {example}"
    )
    return made


def rules_option(parser: argparse.ArgumentParser) -> None:
    """Give a command the option ``--rules``."""
    parser.add_argument(
        "--rules", metavar="DIR", help="folder of rule sets (default: the ones that came with the program)"
    )
