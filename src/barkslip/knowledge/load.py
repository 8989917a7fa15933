"""The knowledge base, loaded table by table as it is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from barkslip.domain.errors import KnowledgeError, NotFoundError
from barkslip.domain.known import SHIPPED, Entry, Found, Row
from barkslip.domain.method import Binding, Method
from barkslip.domain.sourced import Source, Value
from barkslip.domain.stage import Stage
from barkslip.domain.variety import Rootstock, Variety, written_name
from barkslip.domain.word import Word
from barkslip.knowledge import nouns
from barkslip.knowledge.files import (
    DATA,
    TableShape,
    digest,
    leaves,
    number_files,
    owner_of,
    read_shapes,
    read_sources,
    read_toml,
    value_from,
)
from barkslip.knowledge.names import found_in, one_called, one_named, one_word
from barkslip.knowledge.rows import read_table

_NO_SOURCE = "not given"


class _Number(NamedTuple):
    """A single number before its source is looked up: reading the sources can wait."""

    label: str
    value: Value
    owner: str
    shipped: Value | None


def load(user_folder: Path | None = None) -> Knowledge:
    """The shipped knowledge, with a user's own folder over it.

    Parameters
    ----------
    user_folder : Path or None
        Folder with files of the same names; see docs/knowledge.md. It is checked at once, the shipped files
        are checked by the tests.

    Raises
    ------
    KnowledgeError
        If the folder is not there or any of its files is broken; the message names the first fault.
    """
    if user_folder is None:
        return Knowledge((DATA,))
    if not user_folder.is_dir():
        raise KnowledgeError(
            "The folder with your own knowledge files is not there.",
            given=str(user_folder),
            allowed="a folder that exists",
            next_step="Create it, or leave the setting empty.",
        )
    from barkslip.knowledge.check import check, error_for  # only needed with a folder of one's own

    problems = check(user_folder)
    if problems:
        raise error_for(problems)
    return Knowledge((DATA, user_folder))


@dataclass(frozen=True)
class Knowledge:
    """Everything the program knows. Each file is read when something in it is first asked for.

    Parameters
    ----------
    folders : tuple of Path
        The program's own data, then the user's folder if there is one.
    """

    folders: tuple[Path, ...]

    @cached_property
    def _tables(self) -> dict[str, dict[str, Row]]:
        return {}

    @cached_property
    def _files(self) -> dict[str, dict[str, _Number]]:
        return {}

    @cached_property
    def shapes(self) -> dict[str, TableShape]:
        """Layouts of all tables."""
        shapes: dict[str, TableShape] = {}
        for folder in self.folders:
            shapes |= read_shapes(folder)
        return shapes

    @cached_property
    def sources(self) -> dict[str, Source]:
        """All sources by key; a user's own of the same key replaces the shipped one."""
        sources: dict[str, Source] = {}
        for folder in self.folders:
            sources |= read_sources(folder)
        return sources

    @cached_property
    def hash(self) -> str:
        """SHA-256 over all knowledge files: a stored verdict keeps it."""
        return digest(self.folders)

    # -- single numbers ---------------------------------------------------------------------------------

    def value(self, key: str) -> Value:
        """The value of a single number, such as "care.first_look_days".

        Raises
        ------
        NotFoundError
            If there is no such key.
        """
        return self._number(key).value

    def entry(self, key: str) -> Entry:
        """A single number with its source, and the shipped one beside a user's own.

        Raises
        ------
        NotFoundError
            If there is no such key.
        """
        return self._entry(key, self._number(key))

    def entries(self, start: str = "") -> tuple[Entry, ...]:
        """All single numbers whose key starts so, in the order of the files."""
        stems = {path.stem: None for folder in self.folders for path in number_files(folder)}
        wanted = [stem for stem in stems if stem.startswith(start.partition(".")[0])]
        numbers = ((key, number) for stem in wanted for key, number in self._numbers(stem).items())
        return tuple(self._entry(key, number) for key, number in numbers if key.startswith(start))

    def _entry(self, key: str, number: _Number) -> Entry:
        source = self.source(number.value.source)
        return Entry(key, number.label, number.value, source, number.owner, number.shipped)

    def _number(self, key: str) -> _Number:
        numbers = self._numbers(key.partition(".")[0])
        if key not in numbers:
            raise self._no_key(key)
        return numbers[key]

    def _numbers(self, stem: str) -> dict[str, _Number]:
        if stem in self._files:
            return self._files[stem]
        numbers: dict[str, _Number] = {}
        for folder in self.folders:
            path = folder / f"{stem}.toml"
            if stem in ("sources", "tables") or not path.exists():
                continue
            owner = owner_of(folder)
            for sub, tree in read_toml(path).items():
                for key, fields in leaves(tree, f"{stem}.{sub}"):
                    label = fields.get("label") or key.rpartition(".")[2].replace("_", " ")
                    old = numbers.get(key)
                    numbers[key] = _Number(label, value_from(fields), owner, old.value if old else None)
        self._files[stem] = numbers
        return numbers

    def _no_key(self, key: str) -> NotFoundError:
        import difflib  # only on the way to an error

        keys = [entry.key for entry in self.entries()]
        near = difflib.get_close_matches(key, keys, n=3, cutoff=0.5)
        return NotFoundError(
            "No number of that name is known.",
            given=key,
            allowed=", ".join(near) or ", ".join(keys[:3]),
            next_step="Look it up by a word of its name.",
        )

    def source(self, key: str) -> Source:
        """A source by key; one that says so if the key is not known."""
        return self.sources.get(key) or Source(key, _NO_SOURCE)

    # -- tables -----------------------------------------------------------------------------------------

    def table(self, name: str) -> tuple[Row, ...]:
        """All rows of a table.

        Raises
        ------
        NotFoundError
            If there is no such table.
        """
        return tuple(self.rows(name).values())

    def rows(self, name: str) -> Mapping[str, Row]:
        """All rows of a table by key.

        Raises
        ------
        NotFoundError
            If there is no such table.
        """
        if name not in self._tables:
            if name not in self.shapes:
                raise NotFoundError(
                    "No table of that name is known.",
                    given=name,
                    allowed=", ".join(self.shapes),
                    next_step="Use one of these names.",
                )
            self._tables[name] = read_table(self.shapes[name], self.folders)
        return self._tables[name]

    @cached_property
    def varieties(self) -> tuple[Variety, ...]:
        """Kinds grown for their fruit."""
        groups = self.rows("groups")
        return tuple(nouns.variety(row, groups) for row in self.table("varieties"))

    @cached_property
    def rootstocks(self) -> tuple[Rootstock, ...]:
        """Kinds grafted on."""
        return tuple(nouns.rootstock(row) for row in self.table("rootstocks"))

    @cached_property
    def methods(self) -> tuple[Method, ...]:
        """Ways of grafting."""
        return tuple(nouns.method(row) for row in self.table("methods"))

    @cached_property
    def bindings(self) -> tuple[Binding, ...]:
        """What holds a graft together."""
        return tuple(nouns.binding(row) for row in self.table("bindings"))

    @cached_property
    def budwood(self) -> tuple[Row, ...]:
        """Rules and numbers on choosing and keeping wood."""
        return self.table("budwood")

    @cached_property
    def vocabulary(self) -> tuple[Word, ...]:
        """The trade's words in six regions."""
        return tuple(nouns.word(row) for row in self.table("vocabulary"))

    @cached_property
    def bbch(self) -> tuple[Stage, ...]:
        """Growth stages."""
        return tuple(nouns.stage(row) for row in self.table("bbch"))

    @cached_property
    def mcpd(self) -> tuple[Row, ...]:
        """Passport fields of a lot of wood."""
        return self.table("mcpd")

    # -- by name ----------------------------------------------------------------------------------------

    def variety(self, name: str) -> Variety | None:
        """The variety of that name, however it is written, or None: "washington navel", "Lane Late"."""
        return one_named(name, self.varieties)

    def rootstock(self, name: str) -> Rootstock | None:
        """The rootstock of that name, however it is written, or None: "carrizo", "P. trifoliata"."""
        return one_named(name, self.rootstocks)

    def method(self, name: str) -> Method | None:
        """The method of that key, name or synonym, or None."""
        return one_called(name, self.methods)

    def binding(self, name: str) -> Binding | None:
        """The binding of that key, name or synonym, or None."""
        return one_called(name, self.bindings)

    def stage(self, code: str, crop: str = "citrus") -> Stage | None:
        """The growth stage of a two-digit code, or None."""
        return next((s for s in self.bbch if s.code == code and s.crop == crop), None)

    def word(self, text: str) -> Word | None:
        """The word of the trade that is meant in any region, or None if none or several are."""
        return one_word(text, self.vocabulary)

    def icncp(self, name: str) -> str:
        """A name as the code of cultivated plants writes it: 'Washington' navel orange.

        A name that is not known comes back as it was given: it may be no cultivar at all.
        """
        noun = self.variety(name) or self.rootstock(name)
        return noun.name if noun else " ".join(name.split())

    def botanical(self, name: str) -> str:
        """The botanical way of writing, where the group's species is known: Citrus × sinensis 'Washington'."""
        variety = self.variety(name)
        if variety is None or not variety.taxon:
            return self.icncp(name)
        if variety.rank != "cultivar":
            return written_name("", rank="species", taxon=variety.taxon)
        return written_name(variety.epithet, rank=variety.rank, trade_name=variety.trade_name, taxon=variety.taxon)

    def find(self, text: str, *, kinds: tuple[str, ...] = (), limit: int = 20) -> list[Found]:
        """Everything with a fitting name, best first; nothing for an empty text.

        Parameters
        ----------
        text : str
            Part of a name, synonym, regional word or key, in any case and with or without accents.
        kinds : tuple of str
            Only these kinds ("variety", "rootstock", "method", "binding", "word", "number" ...).
        limit : int
            Most results.
        """
        return found_in(self, text, kinds, limit)

    def row_entries(self, row: Row) -> tuple[Entry, ...]:
        """The values of a row as entries with their sources, by trait."""
        entries = []
        if row.value is not None:
            shipped = row.shipped.value if row.shipped else None
            label = row.cell("topic") or row.key
            entries.append(
                Entry(f"{row.table}.{row.key}", label, row.value, self.source(row.value.source), row.owner, shipped)
            )
        traits = self.rows("traits")
        for trait, values in row.values.items():
            named = traits.get(f"{row.table}.{trait}")
            label = named.cell("name") if named else trait.replace("_", " ")
            owner = self.folders[-1].name if trait in row.theirs else SHIPPED
            shipped = next(iter(row.shipped_values.get(trait, ())), None)
            for value in values:
                key = f"{row.table}.{row.key}.{trait}"
                entries.append(Entry(key, label, value, self.source(value.source), owner, shipped))
        return tuple(entries)
