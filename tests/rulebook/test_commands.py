"""``millphase rules …`` as a person types it."""

from __future__ import annotations

import json
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from werkzeug.serving import make_server

import trial_sets
from millphase.cli import main
from millphase.replay import Case
from millphase.rulebook import load_set, released, workshop
from millphase.rulebook.census import census
from millphase.rulebook.library import Library
from millphase.rulebook.places import BASE, data_root
from millphase.rulebook.sets import compile_set
from millphase.settings import Settings
from millphase.web import create_app
from trial_sets import PRACTICE, change

Run = Any


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def command(*arguments: object) -> tuple[int, str, str]:
        load_set.cache_clear()
        code = main(["rules", *map(str, arguments)])
        told = capsys.readouterr()
        return code, told.out, told.err

    return command


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of rule sets with a trial base set and a club; fetched packs go to the test's own folder."""
    monkeypatch.setenv("MILLPHASE_PACKS", str(tmp_path / "packs"))
    monkeypatch.setattr("millphase.replay.corpus", lambda _=None: [Case("winding-balance", "a case", {})])
    folder = trial_sets.write(
        tmp_path / "rules" / BASE, trial_sets.head(BASE), trial_sets.trial_rules(), trial_sets.SOURCES
    )
    (folder / "CHANGELOG.md").write_text("## 1.0.0\n\nFirst.\n")
    base = compile_set(folder)
    named = {
        "name": BASE,
        "version": "1.0.0",
        "digest": released.digest_of_bytes(released.canonical(base)),
    }
    changes = [change("trial/floor", "tighten", value="7 Mohm", cite=PRACTICE)]
    trial_sets.write(tmp_path / "rules" / "clubs" / "barn-club", trial_sets.head("barn-club", base=named), changes)
    return tmp_path / "rules"


def _edit(root: Path, rule: str, **parts: Any) -> None:
    path = root / BASE / f"{rule}.yaml"
    path.write_text(json.dumps({**json.loads(path.read_text()), **parts}))


def test_check_of_the_rules_that_ship(run: Run) -> None:
    code, out, _ = run("check")
    assert (code, out.splitlines()[-1]) == (0, "0 faults")
    pack = compile_set(data_root("rules") / BASE)
    tables = sum(rule["kind"] == "table" for rule in pack["rules"].values())
    assert f"  {len(pack['rules'])} rules, {tables} tables, {len(pack['sources'])} sources" in out
    assert out.count("secondary ") >= 2


def test_check_prints_counts_and_shares(run: Run, root: Path) -> None:
    code, out, _ = run("check", "--rules", root)
    assert code == 0
    # Counted by hand: a limit, a constant, two coefficients, two bands, two cells (one of them read), a text, two steps.
    digests = [load_set(folder).digest for folder in (root / BASE, root / "clubs" / "barn-club")]
    assert out.splitlines() == [
        "workshop 1.0.0",
        f"  {digests[0]}",
        "  7 rules, 1 table, 2 sources, 11 values",
        "  rules:  read 0 %, secondary 0 %, memory 100 %",
        "  values: read 9 %, secondary 0 %, memory 91 %",
        "barn-club 1.0.0",
        f"  {digests[1]}",
        "  7 rules, 1 table, 2 sources, 11 values",
        "  rules:  read 0 %, secondary 0 %, memory 100 %",
        "  values: read 9 %, secondary 0 %, memory 91 %",
        "0 faults",
    ]
    code, out, _ = run("check", "barn-club", "--json", "--rules", root)
    assert json.loads(out)["sets"] == [
        {
            **load_set(root / "clubs" / "barn-club").identity,
            **census(load_set(root / "clubs" / "barn-club").pack).as_json(),
        }
    ]


def test_withdrawn_rules_are_not_counted(root: Path) -> None:
    pack = compile_set(root / BASE)
    pack["rules"]["trial/sizes"]["withdrawn"] = "Nobody lays cables any more."
    assert (census(pack).rules, census(pack).tables, census(pack).values) == (6, 0, 9)


def test_check_tells_every_fault_with_its_place(run: Run, root: Path) -> None:
    _edit(root, "trial/floor", value="5 mA")
    code, out, _ = run("check", "--rules", root)
    assert code == 1
    assert "workshop: trial/floor.yaml:1: /value: unknown unit of resistance" in out
    assert "barn-club: " in out
    assert out.splitlines()[-1] == "2 faults"


def test_check_of_a_set_that_is_not_there(run: Run, root: Path) -> None:
    code, _, err = run("check", "loft-club", "--rules", root)
    assert code == 2
    assert "no rule set 'loft-club'" in err
    assert "there are workshop, barn-club" in err
    code, _, err = run("check", "--rules", root / "nowhere")
    assert (code, "no rules folder found" in err) == (2, True)


def _add(root: Path, **parts: Any) -> None:
    added = {key: value for key, value in trial_sets.limit("trial/barn").items() if key != "id"}
    (root / "clubs" / "barn-club" / "trial" / "barn.yaml").write_text(
        json.dumps(change("trial/barn", "add", **{**added, **parts}))
    )


def test_check_of_what_a_club_adds_to_a_question(run: Run, root: Path) -> None:
    _add(root, applies_to={"question": "winding-balance", "value": "mean"})
    assert run("check", "--rules", root)[0] == 0
    _add(root, applies_to={"question": "winding-ballance", "value": "mean"})
    code, out, _ = run("check", "--rules", root)
    assert (code, "no question 'winding-ballance'; use one of" in out) == (1, True)
    _add(root, applies_to={"question": "winding-balance", "value": "unbalance"})
    code, out, _ = run("check", "--rules", root)
    assert code == 1
    assert (
        "winding-balance has no value 'unbalance' of dimension resistance; use one of mean, phase_resistance_at_20c"
        in out
    )


def test_release_step_by_step(run: Run, root: Path) -> None:
    code, out, _ = run("release", "--dry-run", "--rules", root)
    assert (code, "last released: never" in out) == (0, True)
    code, out, _ = run("release", "--rules", root)
    assert (code, f"wrote {root / 'released' / 'workshop-1.0.0.json'}" in out) == (0, True)
    assert "nothing to release" in run("release", "--rules", root)[1]
    assert run("check", "--rules", root)[1].splitlines()[-1] == "0 faults"
    _edit(root, "trial/floor", value="6 Mohm")
    code, out, _ = run("check", "--rules", root)
    assert (code, "its files differ from the released workshop@1.0.0" in out) == (1, True)
    code, out, _ = run("release", "--dry-run", "--rules", root)
    assert "step needed: major" in out
    assert "1 reference cases replayed" in out
    code, _, err = run("release", "--rules", root)
    assert (code, 'write version "2.0.0" into ruleset.yaml' in err) == (2, True)


def test_release_without_the_corpus_says_so(run: Run, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("release", "--rules", root)
    monkeypatch.setattr("millphase.replay.corpus", lambda _=None: None)
    _edit(root, "trial/default", value="21 degC")
    code, out, _ = run("release", "--dry-run", "--rules", root)
    assert code == 0
    assert "the reference corpus is part of a checkout and not here" in out
    assert "step needed: major" in out
    assert "cases replayed" not in out
    _, out, _ = run("diff", "workshop@1.0.0", "workshop", "--rules", root)
    assert "the reference corpus is part of a checkout" in out


def test_released_packs_that_went_wrong(run: Run, root: Path) -> None:
    assert run("release", "--rules", root)[0] == 0
    place = root / "released"
    pack = place / "workshop-1.0.0.json"
    raw = pack.read_bytes()
    (place / "workshop-9.9.9.json").write_bytes(raw)
    assert "workshop-9.9.9.json: not in index.json" in run("check", "--rules", root)[1]
    (place / "workshop-9.9.9.json").unlink()
    pack.write_bytes(raw.replace(b"20 degC", b"25 degC"))
    assert "it was altered" in run("check", "--rules", root)[1]
    pack.write_bytes(raw.replace(b"20 degC", b"20 A"))
    index = (place / "index.json").read_text()
    forged = index.replace(released.digest_of_bytes(raw), released.digest_of_bytes(pack.read_bytes()))
    (place / "index.json").write_text(forged)
    assert "released: trial/default.yaml:1: /value: unknown unit of temperature" in run("check", "--rules", root)[1]
    (place / "index.json").write_text(index)
    pack.unlink()
    assert "workshop-1.0.0.json: missing, though index.json lists it" in run("check", "--rules", root)[1]
    (place / "index.json").write_text("{")
    assert "restore the file" in run("check", "--rules", root)[1]


def test_a_version_that_goes_backwards(run: Run, root: Path) -> None:
    assert run("release", "--rules", root)[0] == 0
    trial_sets.write(root / BASE, trial_sets.head(BASE, "0.9.0"), [])
    out = run("check", "workshop", "--rules", root)[1]
    assert "workshop: ruleset.yaml: /version: 0.9.0 is before 1.0.0, which is released; versions only go up" in out


def test_diff_in_words_and_as_json(run: Run, root: Path) -> None:
    run("release", "--rules", root)
    code, out, _ = run("diff", "workshop@1.0.0", "barn-club", "--rules", root)
    assert code == 0
    assert "trial/floor: at least 5 Mohm became at least 7 Mohm, stricter" in out
    assert "0 of 1 reference cases end otherwise" in out
    _, out, _ = run("diff", root / "released" / "workshop-1.0.0.json", "workshop", "--json", "--rules", root)
    assert json.loads(out)["rules"] == []
    assert "no rule differs" in run("diff", "workshop", "workshop", "--rules", root)[1]
    code, _, err = run("diff", "workshop@7.0.0", "workshop", "--rules", root)
    assert (code, "no rule set workshop@7.0.0 here" in err) == (2, True)
    code, _, err = run("diff", "nowhere.json", "workshop", "--rules", root)
    assert (code, "nowhere.json" in err) == (2, True)


def test_diff_names_reference_cases_whose_outcome_changes(
    run: Run, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    outcomes = iter(["accept", "reject"] * 2)
    monkeypatch.setattr("millphase.replay._safely", lambda *_: next(outcomes))
    _, out, _ = run("diff", "workshop", "barn-club", "--rules", root)
    assert "  winding-balance, a case: accept became reject" in out
    _, out, _ = run("diff", "workshop", "barn-club", "--json", "--rules", root)
    assert json.loads(out)["outcomes"] == [
        {"question": "winding-balance", "case": "a case", "before": "accept", "after": "reject"}
    ]


def test_an_outcome_that_changes_makes_a_release_major(run: Run, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("release", "--rules", root)
    _edit(root, "trial/default", value="21 degC")
    assert "step needed: minor" in run("release", "--dry-run", "--rules", root)[1]
    outcomes = iter(["accept", "reject"])
    monkeypatch.setattr("millphase.replay._safely", lambda *_: next(outcomes))
    out = run("release", "--dry-run", "--rules", root)[1]
    assert "step needed: major" in out
    assert "outcome: winding-balance, a case: accept became reject" in out


def test_an_addition_that_no_question_applies_is_not_released(run: Run, root: Path) -> None:
    _add(root, applies_to={"question": "winding-balanse", "value": "unbalance"})
    code, _, err = run("release", "barn-club", "--rules", root)
    assert (code, "no question 'winding-balanse'" in err) == (2, True)
    _edit(root, "trial/floor", value="5 mA")
    code, _, err = run("release", "--rules", root)
    assert (code, "unknown unit of resistance" in err) == (2, True)


def test_a_set_under_which_no_answer_comes_is_told(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is sound and fits its base, but the question divides by what the club has set to nothing."""
    rules = tmp_path / "club-rules"
    monkeypatch.setenv("MILLPHASE_PACKS", str(tmp_path / "packs"))
    changes = [change("insulation/halving-step", "replace", loosens=True, value="0 K", cite=PRACTICE)]
    trial_sets.write(rules / "clubs" / "hut-club", trial_sets.head("hut-club", base=workshop().identity), changes)
    code, out, _ = run("check", "--rules", rules)
    assert (code, "insulation-acceptance cannot answer its own example under this set" in out) == (1, True)


def test_two_sets_of_one_name(run: Run, root: Path) -> None:
    shutil.copytree(root / "clubs" / "barn-club", root / "clubs" / "loft-club")
    code, out, _ = run("check", "--rules", root)
    assert (code, "another set here is barn-club@1.0.0 too; rename one" in out) == (1, True)
    assert out.splitlines()[-1] == "1 fault"


def test_a_clubs_folder_needs_no_copy_of_the_base(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing but the club's own files in the folder: its base is the program's own."""
    book, rules = workshop(), tmp_path / "club-rules"
    monkeypatch.setenv("MILLPHASE_RULES", str(rules))
    monkeypatch.setenv("MILLPHASE_PACKS", str(tmp_path / "packs"))
    rules.mkdir()
    code, _, err = run("check")
    assert (code, f"a club's own begins with {rules / 'clubs' / 'NAME' / 'ruleset.yaml'}" in err) == (2, True)
    changes = [change("insulation/random-wound-minimum", "tighten", value="8 Mohm", cite=PRACTICE)]
    folder = trial_sets.write(rules / "clubs" / "hut-club", trial_sets.head("hut-club", base=book.identity), changes)
    (folder / "CHANGELOG.md").write_text("## 1.0.0\n\nFirst.\n")
    code, out, _ = run("check")
    assert (code, out.splitlines()[0], out.splitlines()[-1]) == (0, "hut-club 1.0.0", "0 faults")
    assert run("release", "hut-club")[0] == 0
    assert (rules / "released" / "hut-club-1.0.0.json").is_file()
    load_set.cache_clear()
    library = Library.load(default="hut-club@1.0.0")
    assert str(library.default.view(("*",)).limit("insulation/random-wound-minimum").value) == "8 Mohm"
    assert f"workshop@{book.version}" in library
    assert run("check", "workshop")[0] == 2
    monkeypatch.setattr("millphase.replay.corpus", lambda _=None: None)
    out = run("diff", "workshop", "hut-club")[1]
    assert "insulation/random-wound-minimum: at least 5 Mohm became at least 8 Mohm, stricter" in out


@pytest.fixture
def instance(root: Path, tmp_path: Path) -> Iterator[str]:
    """Another instance of the service, which shares the trial sets."""
    settings = Settings(rules=root, packs=tmp_path / "its-packs", database=tmp_path / "its-records.sqlite3")
    load_set.cache_clear()
    server = make_server("127.0.0.1", 0, create_app(settings), threaded=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/v1/rule-sets"
    server.shutdown()
    server.server_close()


def test_share_a_signed_set_between_two_instances(run: Run, root: Path, tmp_path: Path, instance: str) -> None:
    run("release", "--rules", root)
    pack = root / "released" / "workshop-1.0.0.json"
    code, public, _ = run("sign", pack, "--key", tmp_path / "club.pem", "--new-key")
    assert code == 0
    (tmp_path / "club.pub").write_text(public[: public.index("signed ")])
    url = f"{instance}/workshop/1.0.0"
    code, out, err = run("pull", url, "--public-key", tmp_path / "club.pub")
    assert code == 0, err
    kept = tmp_path / "packs" / "workshop-1.0.0.json"
    assert f"fetched, {kept}" in out
    assert "signed by ed25519:" in out
    assert kept.read_bytes() == pack.read_bytes()
    code, out, _ = run("pull", url)
    assert "was here already" in out
    assert "not signed by a key of yours" in out
    code, out, _ = run("verify", kept, "--public-key", tmp_path / "club.pub", "--digest", load_set(root / BASE).digest)
    assert (code, "whole, 7 rules, 0 faults" in out, "signed by" in out) == (0, True, True)
    assert run("verify", kept)[0] == 0


def test_refusals_of_pull_sign_and_verify(run: Run, root: Path, tmp_path: Path, instance: str) -> None:
    code, _, err = run("pull", f"{instance}/workshop/9.0.0")
    assert (code, "no such rule set" in err) == (2, True)
    code, _, err = run("pull", f"{instance}/workshop/1.0.0", "--digest", "sha256:" + "0" * 64)
    assert (code, "it was altered" in err) == (2, True)
    run("release", "--rules", root)
    pack = root / "released" / "workshop-1.0.0.json"
    code, _, err = run("verify", pack, "--digest", "sha256:0")
    assert (code, "not sha256:0" in err) == (2, True)
    code, _, err = run("verify", pack, "--public-key", tmp_path / "club.pub")
    assert (code, "there is no " in err) == (2, True)
    code, _, err = run("sign", pack, "--key", tmp_path / "none.pem")
    assert (code, "holds no private key" in err) == (2, True)
    pack.write_bytes(b"{}")
    code, _, err = run("verify", pack)
    assert (code, "is missing; add it" in err) == (2, True)


def test_a_pinned_set_answers_on_the_command_line(
    root: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "request.json").write_text('{"rule_set": "loft-club@1.0.0"}')
    load_set.cache_clear()
    assert main(["ask", "winding-balance", str(tmp_path / "request.json"), "--rules", str(root)]) == 2
    assert "no rule set loft-club@1.0.0 here" in capsys.readouterr().err
