"""All rule sets that one service can answer under: its own, clubs' sets, released packs and fetched ones."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from threading import RLock

from millphase.rulebook import released
from millphase.rulebook.book import Rulebook
from millphase.rulebook.loader import RuleFaults, read
from millphase.rulebook.packs import read_foreign
from millphase.rulebook.sets import BASE, CLUBS, data_root, load_set
from millphase.rulebook.signing import SIGNATURE_LIMIT, signature_file
from millphase.rulebook.versions import Version, split_identity

PACKS_ENVIRONMENT = "MILLPHASE_PACKS"


class UnknownRuleSet(LookupError):
    """A rule set that cannot be used here; the message says which there are, or what is wrong with it."""

    def __init__(self, identity: str, message: str) -> None:
        super().__init__(message)
        self.identity = identity


def packs_folder(explicit: str | os.PathLike[str] | None = None) -> Path:
    """Where fetched packs are kept: the folder named, ``MILLPHASE_PACKS``, else the user's data directory."""
    named = explicit or os.environ.get(PACKS_ENVIRONMENT)
    if named:
        return Path(named)
    data = os.environ.get("XDG_DATA_HOME")
    base = Path(data) if data and Path(data).is_absolute() else Path.home() / ".local" / "share"
    return base / "millphase" / "rule-sets"


class Library(Mapping[str, Rulebook]):
    """Rule sets by ``name@version``; all but the default one are loaded when first asked for.

    Parameters
    ----------
    default : Rulebook
        The set that answers unless a request pins another.
    others : mapping
        How to load each further set, by ``name@version``.
    places : sequence of Path, optional
        Folders in which signatures stand beside packs.
    own : Rulebook, optional
        The program's own set, which lends every other the rules that it does not have yet; the default one if absent.
    """

    def __init__(
        self, default: Rulebook, others: Mapping[str, partial[Rulebook]] | None = None, places: Sequence[Path] = (),
        own: Rulebook | None = None,
    ) -> None:  # fmt: skip
        self.default, self.places, self.own = default, places, own or default
        self._loaded = {self.key(default): default}
        self._others = {name: load for name, load in (others or {}).items() if name not in self._loaded}
        self._lock = RLock()

    @staticmethod
    def key(book: Rulebook) -> str:
        """``name@version`` of a set."""
        return f"{book.name}@{book.version}"

    @classmethod
    def load(
        cls, rules: str | os.PathLike[str] | None = None, packs: str | os.PathLike[str] | None = None,
        default: str | None = None,
    ) -> Library:  # fmt: skip
        """Find every set: in the folder of rule sets, and in the folder of fetched packs.

        Parameters
        ----------
        rules : path, optional
            Folder of rule sets; the program's own if absent.
        packs : path, optional
            Folder of fetched packs, see :func:`packs_folder`.
        default : str, optional
            ``name@version`` of the set that answers; the base set if absent.

        Raises
        ------
        RuleFaults
            The default set has faults.
        UnknownRuleSet
            The default set is not there.
        """
        root = data_root("rules", rules)
        own = load_set(root / BASE)
        found: dict[str, partial[Rulebook]] = {}
        places = (root / released.FOLDER, packs_folder(packs))
        for place, foreign in zip(places, (False, True), strict=True):
            for identity, load in _packs(place, foreign=foreign):
                found.setdefault(identity, load)
        for head in sorted((root / CLUBS).glob("*/ruleset.yaml")):
            club = _identity(head)
            if club is not None:
                found.setdefault(club, partial(load_set, head.parent))
        library = cls(own, found, places)
        if default is not None and default != cls.key(own):
            chosen = library.find(default)
            library = cls(chosen, {**found, cls.key(own): partial(load_set, root / BASE)}, places, own)
        return library

    def find(self, identity: str) -> Rulebook:
        """The set ``name@version``.

        Raises
        ------
        UnknownRuleSet
            It is not here, or it is but cannot be used.
        """
        book = self._loaded.get(identity)
        if book is not None:
            return book
        load = self._others.get(identity)
        if load is None:
            raise UnknownRuleSet(identity, f"no rule set {identity} here; there are {', '.join(self)}")
        with self._lock:
            try:
                book = load().completed_by(self.own)
            except (RuleFaults, OSError) as error:
                first = error.faults[0] if isinstance(error, RuleFaults) else error
                message = f"rule set {identity} cannot be used: {first}; 'millphase rules check' shows all faults"
                raise UnknownRuleSet(identity, message) from None
            self._loaded[identity] = book
        return book

    def usable(self) -> Iterator[Rulebook]:
        """Every set that can be used, the default one first."""
        for identity in self:
            try:
                yield self.find(identity)
            except UnknownRuleSet:
                continue

    def signature(self, identity: str) -> bytes | None:
        """The signature file beside the pack of ``name@version``, or None where there is none."""
        for place in self.places:
            path = signature_file(place / released.file_name(*split_identity(identity)))
            if path.is_file() and path.stat().st_size <= SIGNATURE_LIMIT:
                return path.read_bytes()
        return None

    def settled(self, book: Rulebook) -> bool:
        """Whether a set can never change: it is a pack, not files that somebody may still be writing."""
        name = released.file_name(book.name, book.version)
        listed = [released.index(place).get(self.key(book), {}).get("digest") for place in self.places[:1]]
        return book.digest in listed or any((place / name).is_file() for place in self.places[1:])

    def history(self, name: str) -> list[Rulebook]:
        """Every usable version of the set `name`, oldest first."""
        versions = [book for book in self.usable() if book.name == name]
        return sorted(versions, key=lambda book: Version.read(book.version))

    def __getitem__(self, identity: str) -> Rulebook:
        return self.find(identity)

    def __contains__(self, identity: object) -> bool:
        return identity in self._loaded or identity in self._others

    def __iter__(self) -> Iterator[str]:
        first = self.key(self.default)
        yield first
        yield from sorted(name for name in {*self._loaded, *self._others} if name != first)

    def __len__(self) -> int:
        return len({*self._loaded, *self._others})


def _packs(place: Path, *, foreign: bool) -> Iterator[tuple[str, partial[Rulebook]]]:
    if not place.is_dir():
        return
    listed = {} if foreign else released.index(place)
    for path in sorted(place.glob("*.json")):
        name, _, version = path.stem.rpartition("-")
        identity = f"{name}@{version}"
        try:
            split_identity(identity)
        except ValueError:
            continue
        if foreign:
            yield identity, partial(read_foreign, path)
        elif identity in listed:
            yield identity, partial(_released, path, listed[identity]["digest"])


def _released(path: Path, digest: str) -> Rulebook:
    return Rulebook(*released.read_pack(path, digest))


def _identity(head: Path) -> str | None:
    try:
        data, _ = read(head, head.name)
        identity = f"{data['name']}@{data['version']}"
        split_identity(identity)
    except (RuleFaults, KeyError, TypeError, ValueError):
        return None
    return identity
