"""The command line: ask a question offline, serve, show the demo, look after rule sets.

Only the standard library is imported at the top, so that ``millphase version`` answers at once.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from millphase import __version__
from millphase.commands import Refusal, command, rules_option
from millphase.rulebook_cli import add_commands

if TYPE_CHECKING:
    from millphase.rulebook import Rulebook

BAD_INPUT = 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="millphase",
        description="Turn readings and nameplates of three-phase machine tools into decisions with limit, source and working.",
        epilog="example: millphase ask insulation-acceptance readings.json --working",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    ask = command(commands, "ask", "answer one question offline", "echo '{…}' | millphase ask winding-balance -")
    ask.add_argument("question", metavar="QUESTION", help="name of the question; 'list' shows them all")
    ask.add_argument(
        "file", metavar="FILE", nargs="?", default="-", help="request as JSON; - or nothing reads standard input"
    )
    ask.add_argument("--json", action="store_true", help="print the answer as JSON")
    ask.add_argument("--working", action="store_true", help="print the calculation sheet too")
    ask.add_argument("--example", action="store_true", help="print an example request of the question instead")
    rules_option(ask)

    draw = command(
        commands, "draw", "draw a question's picture as SVG", "millphase draw leakage-budget request.json > bar.svg"
    )
    draw.add_argument("question", metavar="QUESTION", help="name of a question that has a picture")
    draw.add_argument(
        "file", metavar="FILE", nargs="?", default="-", help="request as JSON; - or nothing reads standard input"
    )
    rules_option(draw)

    serve = command(commands, "serve", "run the service", "millphase serve --port 8421")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (default: loopback only)")
    serve.add_argument("--port", type=int, default=8421, help="port (default 8421; 0 takes a free one)")
    serve.add_argument("--database", metavar="FILE", help="file of the records (default: in the user's data folder)")
    serve.add_argument("--tokens", metavar="FILE", help="file of tokens; needed to listen beyond loopback")
    rules_option(serve)

    token = command(commands, "token", "make a token for the records", "millphase token shop-panel >> tokens.txt")
    token.add_argument("label", metavar="LABEL", help="who holds it: small letters, digits and hyphens")
    token.add_argument("--workshop", metavar="ID", help="the one workshop that it opens (default: all)")

    demo = command(commands, "demo", "run the whole job once over real HTTP with made-up data", "millphase demo --json")
    demo.add_argument("--json", action="store_true", help="print the raw answer")
    demo.add_argument("--working", action="store_true", help="print the calculation sheets too")

    rules = command(commands, "rules", "look after rule sets", "millphase rules check")
    rule_commands = rules.add_subparsers(dest="rules_command", metavar="COMMAND", required=True)
    add_commands(rule_commands)

    command(commands, "version", "print versions of program and rule set", "millphase version")
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Entry point of the ``millphase`` command; returns the exit code."""
    parser = _parser()
    options, rest = parser.parse_known_args(arguments)
    # The parser takes an optional FILE only beside the word before it; people also write it after an option.
    if len(rest) == 1 and getattr(options, "file", None) == "-" and (rest[0] == "-" or rest[0][:1] != "-"):
        options.file = rest.pop()
    if rest:
        parser.error(f"do not know what to do with {' '.join(rest)}; see millphase {options.command} --help")
    try:
        return int(_COMMANDS[options.command](options))
    except Refusal as refusal:
        print(f"millphase: {refusal}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except KeyboardInterrupt:
        return 130


def _book(options: argparse.Namespace, request: Any = None) -> Rulebook:
    """The rule set that a request pins, else the one that answers by default."""
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.library import Library, UnknownRuleSet

    pinned = request.get("rule_set") if isinstance(request, dict) else None
    try:
        library = Library.load(options.rules, default=os.environ.get("MILLPHASE_RULE_SET"))
        return library.find(pinned) if isinstance(pinned, str) else library.default
    except UnknownRuleSet as error:
        raise Refusal(f"{error}; 'millphase rules pull' fetches one") from None
    except FileNotFoundError as error:
        raise Refusal(str(error)) from None
    except RuleFaults as error:
        raise Refusal(f"the rule set has {len(error.faults)} faults; run 'millphase rules check'\n{error}") from None


def _request(file: str) -> Any:
    from millphase.web.body import parse
    from millphase.web.problems import Problem

    try:
        raw = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
    except OSError as error:
        raise Refusal(
            f"cannot read {file}: {error.strerror}; give the path of a JSON file, or - for standard input"
        ) from None
    try:
        return parse(raw)
    except Problem as problem:
        told = problem.document()
        lines = [f"  {fault['pointer'] or '/'}: {fault['message']}" for fault in told.get("errors", [])]
        place = "standard input" if file == "-" else file
        raise Refusal(
            "\n".join([f"{place} is not usable: {told['title']}. {told.get('detail', '')}", *lines])
        ) from None


def _question(name: str) -> Any:
    from difflib import get_close_matches

    from millphase.questions.base import registry

    known = registry()
    if name not in known:
        near = get_close_matches(name, known, n=1)
        hint = f"did you mean {near[0]}?" if near else "'millphase ask list' shows them all"
        raise Refusal(f"no question {name!r}; {hint}")
    return known[name]


def _ask(options: argparse.Namespace) -> int:
    from millphase.questions.base import Invalid, ask, registry
    from millphase.reports.terminal import Terminal

    if options.question == "list":
        for question in registry().values():
            print(f"{question.name:<24}{question.summary}")
        return 0
    question = _question(options.question)
    if options.example:
        print(json.dumps(question.example, indent=2, ensure_ascii=False))
        return 0
    try:
        request = _request(options.file)
        answer = ask(question.name, request, _book(options, request)).as_json()
    except Invalid as error:
        raise Refusal(_faults(error)) from None
    if options.json:
        print(json.dumps(answer, indent=2, ensure_ascii=False))
    else:
        Terminal(sys.stdout).answer(answer, question.title, working=options.working)
    return 0


def _faults(error: Any) -> str:
    return "the request was refused\n" + "\n".join(
        f"  {fault.pointer or '/'}: {fault.message}" for fault in error.faults
    )


def _draw(options: argparse.Namespace) -> int:
    from millphase.questions.base import Invalid, load
    from millphase.reports.drawings import of_question, picture
    from millphase.rulebook.book import RuleWithdrawn

    question = _question(options.question)
    if of_question(question.name) is None:
        raise Refusal(f"{question.name} has no picture; 'millphase ask {question.name}' prints its answer")
    try:
        asked = _request(options.file)
        request = load(question, asked)
        print(picture(question.name, request, _book(options, asked)), end="")
    except Invalid as error:
        raise Refusal(_faults(error)) from None
    except RuleWithdrawn as error:
        raise Refusal(f"the drawing cannot be made: {error}") from None
    return 0


def _serve(options: argparse.Namespace) -> int:
    from dataclasses import replace

    from millphase.settings import Settings, SettingsError, Tokens
    from millphase.web.serving import serve

    try:
        settings = Settings.from_environment()
        if options.rules:
            settings = replace(settings, rules=Path(options.rules))
        if options.database:
            settings = replace(settings, database=Path(options.database))
        if options.tokens:
            settings = replace(settings, tokens=Tokens.load(Path(options.tokens)))
        _book(options)
        serve(
            options.host,
            options.port,
            settings,
            ready=lambda url: print(f"millphase is listening on {url}", flush=True),
        )
    except SettingsError as error:
        raise Refusal(str(error)) from None
    return 0


def _token(options: argparse.Namespace) -> int:
    from millphase.settings import SettingsError, new_token

    try:
        token, line = new_token(options.label, options.workshop)
    except SettingsError as error:
        raise Refusal(str(error)) from None
    print(f"give this to its holder, it is not stored anywhere: {token}", file=sys.stderr)
    print(line)
    return 0


def _demo(options: argparse.Namespace) -> int:
    from millphase.demo import run

    return run(sys.stdout, as_json=options.json, working=options.working)


def _rules(options: argparse.Namespace) -> int:
    return int(options.run(options))


def _version(_: argparse.Namespace) -> int:
    book = _book(argparse.Namespace(rules=None))
    print(
        f"millphase {__version__}, rule set {book.name}@{book.version} {book.digest}, Python {sys.version.split()[0]}"
    )
    return 0


_COMMANDS = {
    "ask": _ask,
    "draw": _draw,
    "serve": _serve,
    "demo": _demo,
    "rules": _rules,
    "token": _token,
    "version": _version,
}
