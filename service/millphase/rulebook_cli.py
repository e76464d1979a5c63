"""``millphase rules …``: check, release, compare, fetch, sign and verify rule sets."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from millphase.commands import Refusal, command, rules_option

if TYPE_CHECKING:
    from millphase.rulebook import Rulebook, RuleFault

NO_CORPUS = (
    "note: the reference corpus is part of a checkout and not here, so no outcome was replayed; "
    "without it every change of a value counts as major"
)


def add_commands(commands: Any) -> None:
    """Add the commands to the sub-parsers of ``millphase rules``; each sets ``run`` to what it does."""
    check = _command(commands, "check", _check, "check every rule set and released pack", "millphase rules check")
    check.add_argument("sets", metavar="SET", nargs="*", help="name of a set (default: all in the folder)")
    check.add_argument("--json", action="store_true", help="print counts and faults as JSON")
    rules_option(check)

    release = _command(
        commands,
        "release",
        _release,
        "write the pack of a set, once its version tells the truth",
        "millphase rules release",
    )
    release.add_argument("set", metavar="SET", nargs="?", default="workshop", help="name of a set (default: workshop)")
    release.add_argument("--dry-run", action="store_true", help="only say which step of version the changes need")
    rules_option(release)

    diff = _command(
        commands,
        "diff",
        _diff,
        "say what differs between two rule sets",
        "millphase rules diff workshop@1.0.0 workshop",
    )
    for name in ("before", "after"):
        diff.add_argument(
            name, metavar=name.upper(), help="name@version, name of a set in the folder, or path of a pack"
        )
    diff.add_argument("--json", action="store_true", help="print the differences as JSON")
    rules_option(diff)

    pull = _command(
        commands, "pull", _pull, "fetch a rule set from another instance",
        "millphase rules pull https://shop.example/v1/rule-sets/workshop/1.0.0",
    )  # fmt: skip
    pull.add_argument("url", metavar="URL", help="http(s)://HOST/v1/rule-sets/NAME/VERSION")
    pull.add_argument(
        "--into", metavar="DIR", help="folder of fetched packs (default: MILLPHASE_PACKS, or the user's data)"
    )
    pull.add_argument("--digest", help="digest the pack must have (sha256:…), heard from its keeper by another way")
    pull.add_argument("--public-key", metavar="FILE", help="take the pack only if it is signed by this key")

    sign = _command(commands, "sign", _sign, "sign a pack", "millphase rules sign PACK --key club.pem")
    sign.add_argument("pack", metavar="PACK", help="path of a pack")
    sign.add_argument("--key", metavar="FILE", required=True, help="private key (Ed25519, PEM)")
    sign.add_argument("--new-key", action="store_true", help="make the key first and print its public half")

    verify = _command(
        commands, "verify", _verify, "check a pack, and its signature if a key is given",
        "millphase rules verify PACK --public-key club.pub",
    )  # fmt: skip
    verify.add_argument("pack", metavar="PACK", help="path of a pack")
    verify.add_argument("--digest", help="digest the pack must have")
    verify.add_argument("--public-key", metavar="FILE", help="public key the pack must be signed by")


def _command(
    commands: Any, name: str, run: Callable[[argparse.Namespace], int], help_text: str, example: str
) -> argparse.ArgumentParser:
    made = command(commands, name, help_text, example)
    made.set_defaults(run=run)
    return made


def _root(options: argparse.Namespace) -> Path:
    from millphase.rulebook.sets import data_root

    try:
        return data_root("rules", options.rules)
    except FileNotFoundError as error:
        raise Refusal(str(error)) from None


def _folders(root: Path) -> dict[str, Path]:
    from millphase.rulebook.sets import BASE, CLUBS

    clubs = {path.parent.name: path.parent for path in sorted((root / CLUBS).glob("*/ruleset.yaml"))}
    return {BASE: root / BASE, **clubs}


def _folder(options: argparse.Namespace, name: str) -> Path:
    folders = _folders(_root(options))
    if name not in folders:
        raise Refusal(f"no rule set {name!r} in {_root(options)}; there are {', '.join(folders)}")
    return folders[name]


def _check(options: argparse.Namespace) -> int:
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.census import census
    from millphase.rulebook.sets import compile_set

    root = _root(options)
    folders = {name: _folder(options, name) for name in options.sets} or _folders(root)
    report: dict[str, Any] = {"sets": [], "faults": []}
    for name, folder in folders.items():
        try:
            pack = compile_set(folder)
        except RuleFaults as error:
            report["faults"] += [f"{name}: {fault}" for fault in error.faults]
            continue
        report["faults"] += [f"{name}: {fault}" for fault in question_faults(pack)]
        report["sets"].append({"name": pack["name"], "version": pack["version"], **census(pack).as_json()})
        if not options.json:
            print(f"{pack['name']} {pack['version']}")
            print("".join(f"  {line}\n" for line in census(pack).lines()), end="")
    report["faults"] += [f"released: {fault}" for fault in released_faults(root)]
    if options.json:
        print(json.dumps(report, indent=2, ensure_ascii=False))
    else:
        print("".join(f"{fault}\n" for fault in report["faults"]), end="")
        print(f"{len(report['faults'])} faults")
    return 1 if report["faults"] else 0


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


def released_faults(root: Path) -> list[RuleFault | str]:
    """What is wrong with the released packs: altered, missing, unlisted, or left behind by the files."""
    from millphase.rulebook import RuleFaults, released
    from millphase.rulebook.packs import pack_faults
    from millphase.rulebook.sets import compile_set

    place = root / released.FOLDER
    faults: list[RuleFault | str] = []
    try:
        listed = released.index(place)
    except RuleFaults as error:
        return list(error.faults)
    names = {released.file_name(*identity.split("@")): identity for identity in listed}
    for path in sorted(place.glob("*.json")) if place.is_dir() else []:
        if path.name != released.INDEX and path.name not in names:
            faults.append(f"{path.name}: not in {released.INDEX}; a pack is written by 'millphase rules release' only")
    for name, identity in names.items():
        if not (place / name).is_file():
            faults.append(f"{name}: missing, though {released.INDEX} lists it; restore it")
            continue
        try:
            pack, _ = released.read_pack(place / name, listed[identity]["digest"])
            faults += pack_faults(pack, name)
        except RuleFaults as error:
            faults += error.faults
    for name, folder in _folders(root).items():
        try:
            pack = compile_set(folder)
        except RuleFaults:
            continue
        identity = f"{pack['name']}@{pack['version']}"
        if identity in listed and released.digest_of_bytes(released.canonical(pack)) != listed[identity]["digest"]:
            faults.append(
                f"{name}: its files differ from the released {identity}; 'millphase rules release --dry-run {name}' "
                "says which version they need"
            )
    return faults


def _replay(before: Mapping[str, Any], after: Mapping[str, Any]) -> Sequence[str]:
    from millphase.replay import corpus, outcome_changes
    from millphase.rulebook import Rulebook

    return [change.words for change in outcome_changes(corpus() or [], Rulebook(before), Rulebook(after))]


def _release(options: argparse.Namespace) -> int:
    from millphase.replay import corpus
    from millphase.rulebook import RuleFaults
    from millphase.rulebook.release import ReleaseRefused, plan, release

    folder = _folder(options, options.set)
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
        return load_set(_folder(options, wanted))
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
    from millphase.rulebook.library import packs_folder

    key = Path(options.public_key) if options.public_key else None
    try:
        found = pull(options.url, packs_folder(options.into), digest=options.digest, key=key)
    except PullRefused as error:
        raise Refusal(str(error)) from None
    book = found.book
    print(f"{book.name}@{book.version} {book.digest}: {'fetched' if found.new else 'was here already'}, {found.path}")
    if found.signed_by:
        print(f"signed by {found.signed_by}")
    else:
        print("not signed by a key of yours: the digest proves that it is whole, not whose it is")
    return 0


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
    from millphase.rulebook.signing import SignatureRefused, check_signature, signature_file

    pack = Path(options.pack)
    try:
        book = read_foreign(pack)
        if options.digest and options.digest != book.digest:
            raise Refusal(f"the pack has digest {book.digest}, not {options.digest}")
        print(f"{book.name}@{book.version} {book.digest}: whole, {len(book.rules)} rules, 0 faults")
        if options.public_key:
            raw = signature_file(pack).read_bytes()
            signer = check_signature(book.name, book.version, book.digest, raw, Path(options.public_key))
            print(f"signed by {signer}")
    except FileNotFoundError as error:
        raise Refusal(f"there is no {error.filename}") from None
    except (RuleFaults, SignatureRefused, OSError) as error:
        raise Refusal(str(error)) from None
    return 0
