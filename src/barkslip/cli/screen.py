"""Tables and marks in a terminal. Everything is said in words and shapes; colour only helps."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import click
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from barkslip.cli.text import plain
from barkslip.domain.cards import GraftCard
from barkslip.present import graft
from barkslip.present.marks import mark_word

#: Mark -> its sign in a terminal.
SIGNS = {"took": "✓", "pushing": "↑", "waiting": "●", "stalled": "–", "lost": "×", "unknown": "?"}
#: Spaces, with or without colour, at the end of a line.
_END = re.compile(r"(?: |\x1b\[[0-9;]*m)+$")
#: Narrower than this [columns] a table of many columns is written row by row.
_NARROW = 60
#: Stands for a space that does not break while lines are broken; rich would break there.
_GLUE = "\ue000"
_STYLES = {
    "took": "green",
    "pushing": "cyan",
    "waiting": "yellow",
    "stalled": "yellow",
    "lost": "red",
    "unknown": "dim",
}


class Screen:
    """A terminal of any width; 80 columns where none is known. No line ends in spaces."""

    def __init__(self) -> None:
        self.console = Console(highlight=False, markup=False, emoji=False)

    def _print(self, thing: RenderableType, indent: int) -> None:
        with self.console.capture() as caught:
            self.console.print(Padding(thing, (0, 0, 0, indent)))
        for line in caught.get().replace(_GLUE, " ").splitlines():
            click.echo(_END.sub(_codes_only, line), color=self.console.color_system is not None)

    def line(self, text: str = "", style: str = "", indent: int = 0) -> None:
        """A paragraph, broken at the edge."""
        self._print(Text(_glued(text), style=style), indent)

    def fixed(self, text: str, indent: int = 0) -> None:
        """A line whose signs stand under those of another: its spaces are kept and it is not broken."""
        click.echo(f"{' ' * indent}{plain(text)}")

    def head(self, text: str) -> None:
        """A heading with a blank line before it."""
        self.line()
        self.line(text, "bold")

    def table(self, columns: Sequence[str], rows: Iterable[Sequence[str | Text]], *, indent: int = 0) -> None:
        """A plain table without heads if all are empty.

        A column whose head begins with ">" holds numbers; one with "!" is never broken.
        """
        heads = [head.lstrip(">!") for head in columns]
        cells = [[cell if isinstance(cell, Text) else Text(_glued(cell)) for cell in row] for row in rows]
        if self.console.width < _NARROW and len(heads) > 3 and any(heads):
            self._blocks(heads, cells, indent)
            return
        table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold", show_header=any(heads))
        for mark, head in zip(columns, heads, strict=True):
            kept = mark.startswith((">", "!"))
            table.add_column(head, justify="right" if mark[:1] == ">" else "left", no_wrap=kept, overflow="fold")
        for row in cells:
            table.add_row(*row)
        self._print(table, indent)

    def _blocks(self, heads: Sequence[str], rows: Iterable[Sequence[Text]], indent: int) -> None:
        """Each row as a few lines of its own, where its columns would be too narrow to read."""
        for row in rows:
            self._print(Text("  ").join(row[:2]), indent)
            for head, cell in zip(heads[2:], row[2:], strict=True):
                if cell.plain:
                    self._print(Text.assemble(f"{head[:1].lower()}{head[1:]}: " if head else "", cell), indent + 2)


def _codes_only(end: re.Match[str]) -> str:
    return end[0].replace(" ", "")


def _glued(text: str) -> str:
    """Text whose numbers stay on one line with their units."""
    return _GLUE.join(plain(part) for part in text.split("\u00a0"))


def mark_text(mark: str, words: str = "") -> Text:
    """ "✓ took"."""
    return Text(f"{SIGNS[mark]}{_GLUE}{plain(words or mark_word(mark))}", style=_STYLES[mark])


def marks_words(marked: dict[str, int]) -> str:
    """ "✓ 5 took, × 1 lost"."""
    return ", ".join(f"{SIGNS[m]}\u00a0{marked[m]}\u00a0{mark_word(m)}" for m in SIGNS if marked.get(m)) or "none"


def graft_rows(cards: Iterable[GraftCard], *, tree: bool = True) -> list[tuple[str | Text, ...]]:
    """Cards as rows: code, standing, place, variety."""
    from barkslip.present.dates import days_since

    rows: list[tuple[str | Text, ...]] = []
    for card in cards:
        where = " ".join(p for p in (card.tree.code if tree else "", card.address or "limb not known") if p)
        state = mark_text(card.standing.mark, graft.standing_words(card.standing))
        rows.append((card.graft.code, state, where, graft.variety_words(card), days_since(card.days)))
    return rows
