"""``millphase rules …``: check, release, compare, fetch, sign and verify rule sets."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from millphase.commands import Refusal, command, rules_option

if TYPE_CHECKING:
    from millphase.rulebook import Rulebook

NO_CORPUS = (
    "note: the reference corpus is part of a checkout and not here, so no outcome was replayed; "
    "without it every change of a value counts as major"
)


def add_commands(commands: Any) -> None:
    """Add the commands to the sub-parsers of ``millphase rules``; each sets ``run`` to what it does."""
    for declare in (_declare_check, _declare_release, _declare_diff, _declare_pull, _declare_sign, _declare_verify):
        declare(commands)


def _declare_check(commands: Any) -> None:
    check = _command(commands, "check", _check, "check every rule set and released pack", "millphase rules check")
    check.add_argument("sets", metavar="SET", nargs="*", help="name of a set (default: all in the folder)")
    check.add_argument("--json", action="store_true", help="print counts and faults as JSON")
    rules_option(check)


def _declare_release(commands: Any) -> None:
    what = "write the pack of a set, once its version tells the truth"
    release = _command(commands, "release", _release, what, "millphase rules release")
    release.add_argument("set", metavar="SET", nargs="?", default="workshop", help="name of a set (default: workshop)")
    release.add_argument("--dry-run", action="store_true", help="only say which step of version the changes need")
    rules_option(release)


def _declare_diff(commands: Any) -> None:
    what = "say what differs between two rule sets"
    diff = _command(commands, "diff", _diff, what, "millphase rules diff workshop@1.0.0 workshop")
    for name in ("before", "after"):
        diff.add_argument(
            name, metavar=name.upper(), help="name@version, name of a set in the folder, or path of a pack"
        )
    diff.add_argument("--json", action="store_true", help="print the differences as JSON")
    rules_option(diff)


def _declare_pull(commands: Any) -> None:
    example = "millphase rules pull https://shop.example/v1/rule-sets/workshop/1.0.0"
    pull = _command(commands, "pull", _pull, "fetch a rule set from another instance", example)
    pull.add_argument("url", metavar="URL", help="http(s)://HOST/v1/rule-sets/NAME/VERSION")
    pull.add_argument(
        "--into", metavar="DIR", help="folder of fetched packs (default: MILLPHASE_PACKS, or the user's data)"
    )
    pull.add_argument("--digest", help="digest the pack must have (sha256:…), heard from its keeper by another way")
    pull.add_argument("--public-key", metavar="FILE", help="take the pack only if it is signed by this key")
    rules_option(pull)


def _declare_sign(commands: Any) -> None:
    sign = _command(commands, "sign", _sign, "sign a pack", "millphase rules sign PACK --key club.pem")
    sign.add_argument("pack", metavar="PACK", help="path of a pack")
    sign.add_argument("--key", metavar="FILE", required=True, help="private key (Ed25519, PEM)")
    sign.add_argument("--new-key", action="store_true", help="make the key first and print its public half")


def _declare_verify(commands: Any) -> None:
    what = "check a pack, and its signature if a key is given"
    verify = _command(commands, "verify", _verify, what, "millphase rules verify PACK --public-key club.pub")
    verify.add_argument("pack", metavar="PACK", help="path of a pack")
    verify.add_argument("--digest", help="digest the pack must have")
    verify.add_argument("--public-key", metavar="FILE", help="public key the pack must be signed by")
    rules_option(verify)


def _command(
    commands: Any, name: str, run: Callable[[argparse.Namespace], int], help_text: str, example: str
) -> argparse.ArgumentParser:
    made = command(commands, name, help_text, example)
    made.set_defaults(run=run)
    return made


def _root(options: argparse.Namespace) -> Path:
    from millphase.rulebook.places import data_root

    try:
        return data_root("rules", options.rules)
    except FileNotFoundError as error:
        raise Refusal(str(error)) from None


def _folder(options: argparse.Namespace, name: str, *, own: bool = False) -> Path:
    """Folder of the set `name`; with `own` also among the program's own where the user's folder has no base set."""
    from millphase.rulebook.places import folders_of, roots

    root = _root(options)
    folders = {
        name: folder
        for place in (reversed(roots(root)) if own else [root])
        for name, folder in folders_of(place).items()
    }
    if name not in folders:
        raise Refusal(f"no rule set {name!r} in {root}; there are {', '.join(folders) or 'none'}")
    return folders[name]


def _check(options: argparse.Namespace) -> int:
    from millphase.rulebook.audit import released_faults
    from millphase.rulebook.places import CLUBS, HEAD, folders_of

    root = _root(options)
    folders = {name: _folder(options, name) for name in options.sets} or folders_of(root)
    if not folders:
        raise Refusal(f"no rule set in {root}; a club's own begins with {root / CLUBS / 'NAME' / HEAD}")
    report: dict[str, Any] = {"sets": [], "faults": [], "lines": []}
    for name, folder in folders.items():
        _check_set(name, folder, report)
    report["faults"] += [f"released: {fault}" for fault in released_faults(root)]
    lines, faults = report.pop("lines"), report["faults"]
    if options.json:
        print(json.dumps({**report, "faults": [str(fault) for fault in faults]}, indent=2, ensure_ascii=False))
    else:
        print("\n".join([*lines, *map(str, faults), "1 fault" if len(faults) == 1 else f"{len(faults)} faults"]))
    return 1 if faults else 0


def _check_set(name: str, folder: Path, report: dict[str, Any]) -> None:
    """Check one set; its counts and faults go to `report`."""
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.book import Rulebook
    from millphase.rulebook.census import census
    from millphase.rulebook.places import packs_folder, rules_root
    from millphase.rulebook.sets import base_here, compile_set

    try:
        book = Rulebook(compile_set(folder))
    except RuleFaults as error:
        report["faults"] += [f"{name}: {fault}" for fault in error.faults]
        return
    base = base_here(book, rules_root(folder), packs_folder())
    found = question_faults(book.pack) or (example_faults(book, base) if base else [])
    report["faults"] += [f"{name}: {fault}" for fault in found]
    twins = [
        other["name"] for other in report["sets"] if (other["name"], other["version"]) == (book.name, book.version)
    ]
    report["faults"] += [
        f"{name}: ruleset.yaml: /name: another set here is {twin}@{book.version} too; rename one" for twin in twins
    ]
    counts = census(book.pack)
    report["sets"].append({**book.identity, **counts.as_json()})
    report["lines"] += [f"{book.name} {book.version}", f"  {book.digest}", *(f"  {line}" for line in counts.lines())]


def example_faults(book: Rulebook, base: Rulebook) -> list[str]:
    """Questions that answer their own example under the base and not under the club's set upon it."""
    from millphase.questions.base import registry

    faults = []
    for name in registry():
        trouble = _trouble(name, book)
        if trouble and not _trouble(name, base):
            faults.append(
                f"{name} cannot answer its own example under this set ({trouble}); look at the rules it cites"
            )
    return faults


def _trouble(name: str, book: Rulebook) -> str:
    """Why a question cannot answer its own example under a set; empty where it can."""
    from millphase.questions.base import ask, registry

    try:
        ask(name, dict(registry()[name].example), book)
    except (LookupError, ArithmeticError, AssertionError, ValueError) as error:
        return str(error) or type(error).__name__
    return ""


def question_faults(pack: Mapping[str, Any]) -> list[str]:
    """Added rules that apply to no question, or to a value it does not have."""
    from millphase.questions.base import registry

    faults = []
    for rule_id, rule in pack["rules"].items():
        wanted = rule.get("applies_to")
        if wanted is None:
            continue
        question = registry().get(wanted["question"])
        if question is None:
            faults.append(
                f"{rule_id}.yaml: /applies_to/question: no question {wanted['question']!r}; use one of {', '.join(registry())}"
            )
            continue
        fitting = [name for name, value in question.values.items() if value.dimension == rule.get("dimension")]
        if "value" in wanted and wanted["value"] not in fitting:
            faults.append(
                f"{rule_id}.yaml: /applies_to/value: {question.name} has no value {wanted['value']!r} of dimension "
                f"{rule['dimension']}; use one of {', '.join(fitting) or 'none'}"
            )
    return faults


def _replay(before: Mapping[str, Any], after: Mapping[str, Any]) -> Sequence[str]:
    from millphase.replay import corpus, outcome_changes
    from millphase.rulebook import Rulebook

    return [change.words for change in outcome_changes(corpus() or [], Rulebook(before), Rulebook(after))]


def _refuse_idle_additions(folder: Path) -> None:
    """A limit that no question would apply must not be released as if it protected somebody."""
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.sets import compile_set

    try:
        faults = question_faults(compile_set(folder))
    except RuleFaults as error:
        raise Refusal(str(error)) from None
    if faults:
        raise Refusal("\n".join(faults))


def _release(options: argparse.Namespace) -> int:
    from millphase.replay import corpus
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.release import ReleaseRefused, plan, release

    folder = _folder(options, options.set)
    _refuse_idle_additions(folder)
    cases = corpus()
    if cases is None:
        print(NO_CORPUS)
    replay = None if cases is None else _replay
    try:
        if options.dry_run:
            found, _ = plan(folder, replay)
            path = None
        else:
            found, path = release(folder, replay)
    except (ReleaseRefused, RuleFaults) as error:
        raise Refusal(str(error)) from None
    print(f"{found.identity}, last released: {found.last or 'never'}; step needed: {found.step}")
    if cases is not None and found.last is not None:
        print(f"{len(cases)} reference cases replayed")
    print("".join(f"  {reason}\n" for reason in found.why), end="")
    if path is not None:
        print(f"wrote {path}")
    elif not options.dry_run:
        print("nothing to release")
    return 0


def _set(options: argparse.Namespace, wanted: str) -> Rulebook:
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.library import Library, UnknownRuleSet
    from millphase.rulebook.packs import read_foreign
    from millphase.rulebook.sets import load_set

    try:
        if "@" in wanted:
            return Library.load(options.rules).find(wanted)
        if wanted.endswith(".json"):
            return read_foreign(Path(wanted))
        return load_set(_folder(options, wanted, own=True))
    except (UnknownRuleSet, RuleFaults, OSError) as error:
        raise Refusal(str(error)) from None


def _diff(options: argparse.Namespace) -> int:
    from millphase.replay import corpus, outcome_changes
    from millphase.rulebook.difference import differences

    before, after = _set(options, options.before), _set(options, options.after)
    changes = differences(before.pack, after.pack)
    cases = corpus()
    outcomes = outcome_changes(cases, before, after) if cases is not None and changes else []
    if options.json:
        found = {
            "before": before.identity,
            "after": after.identity,
            "rules": [change.as_json() for change in changes],
            "outcomes": None if cases is None else [change.as_json() for change in outcomes],
        }
        print(json.dumps(found, indent=2, ensure_ascii=False))
        return 0
    print(f"{before.name}@{before.version} {before.digest}\n{after.name}@{after.version} {after.digest}")
    print("".join(f"  {change.words}\n" for change in changes) or "  no rule differs\n", end="")
    if cases is None:
        print(NO_CORPUS)
    else:
        print(f"{len(outcomes)} of {len(cases)} reference cases end otherwise")
        print("".join(f"  {change.words}\n" for change in outcomes), end="")
    return 0


def _pull(options: argparse.Namespace) -> int:
    from millphase.rulebook.exchange import PullRefused, pull
    from millphase.rulebook.places import packs_folder

    key = Path(options.public_key) if options.public_key else None
    try:
        found = pull(options.url, packs_folder(options.into), digest=options.digest, key=key, rules=_root(options))
    except PullRefused as error:
        raise Refusal(str(error)) from None
    book = found.book
    print(f"{book.name}@{book.version} {book.digest}: {'fetched' if found.new else 'was here already'}, {found.path}")
    if found.signed_by:
        print(f"signed by {found.signed_by}")
    else:
        print("not signed by a key of yours: the digest proves that it is whole, not whose it is")
    _print_held(book, held=found.held)
    for fault in question_faults(book.pack):
        print(f"note: this program cannot apply an added rule: {fault}")
    return 0


def _print_held(book: Rulebook, *, held: bool) -> None:
    """Say whether the changes that a club's set states could be proved."""
    if "base" in book.pack:
        base = "{name}@{version}".format(**book.pack["base"])
        print(
            f"held against its base {base}: it changes what it says and nothing else" if held
            else f"note: its base {base} is not here, so what it says of its changes is not proved; pull the base too"
        )  # fmt: skip


def _sign(options: argparse.Namespace) -> int:
    from millphase.rulebook import RuleFaults, released
    from millphase.rulebook.packs import read_foreign
    from millphase.rulebook.signing import SignatureRefused, new_key, sign, signature_file

    pack, key = Path(options.pack), Path(options.key)
    try:
        book = read_foreign(pack)
        if options.new_key:
            print(new_key(key), end="")
        released.replace(signature_file(pack), sign(book.name, book.version, book.digest, key))
    except (RuleFaults, SignatureRefused, OSError) as error:
        raise Refusal(str(error)) from None
    print(f"signed {book.name}@{book.version} {book.digest}: {signature_file(pack)}")
    return 0


def _verify(options: argparse.Namespace) -> int:
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.packs import read_foreign
    from millphase.rulebook.places import packs_folder
    from millphase.rulebook.sets import held
    from millphase.rulebook.signing import SignatureRefused, check_signature, signature_file

    pack = Path(options.pack)
    try:
        book = read_foreign(pack)
        if options.digest and options.digest != book.digest:
            raise Refusal(f"the pack has digest {book.digest}, not {options.digest}")
        proved = held(book, _root(options), packs_folder())
        print(f"{book.name}@{book.version} {book.digest}: whole, {len(book.rules)} rules, 0 faults")
        _print_held(book, held=proved)
        if options.public_key:
            raw = signature_file(pack).read_bytes()
            signer = check_signature(book.name, book.version, book.digest, raw, Path(options.public_key))
            print(f"signed by {signer}")
    except FileNotFoundError as error:
        raise Refusal(f"there is no {error.filename}") from None
    except (RuleFaults, SignatureRefused, OSError) as error:
        raise Refusal(str(error)) from None
    return 0
