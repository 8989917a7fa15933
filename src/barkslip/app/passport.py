"""Names as tables for others: lots as multi-crop passports, and chains of grafts in slash notation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.names import graft_chain, variety_of
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import ChainPart
from barkslip.domain.graft import Graft
from barkslip.domain.names import same_word
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.knowledge.load import Knowledge

#: Columns of the table of chains.
CHAIN_COLUMNS = ("graft", "tree", "limb", "lot", "set_on", "method", "name", "botanical_name", "chain")
_GONE = "'‘’"


def field_names(ctx: Context) -> tuple[str, ...]:
    """Names of the passport's fields in their own order (MCPD V.2.1)."""
    return tuple(row.cell("name") for row in ctx.knowledge.mcpd)


def passports(ctx: Context, codes: Sequence[str] = (), *, place: bool = False) -> list[dict[str, str]]:
    """Passports of some lots, or of all: every field, empty where nothing is known.

    Parameters
    ----------
    codes : sequence of str
        Lot numbers; all lots if there are none.
    place : bool
        Say where wood of this garden was cut, in degrees. Left out by default: it tells strangers where the garden is.

    Raises
    ------
    NotFoundError
    """
    names = field_names(ctx)
    garden = ctx.garden()
    with ctx.book.read() as reader:
        lots = [reader.by_code(WoodLot, c) for c in codes] if codes else reader.every(WoodLot, order="code")
        finds = _finds(reader, lots)
        trees = reader.many(Tree, [lot.from_tree for lot in lots if lot.from_tree])
    out = []
    for lot in lots:
        known = passport(ctx.knowledge, lot, finds.get(lot.thing, ()))
        if lot.from_tree and place and garden.lat is not None and garden.lon is not None:
            known |= {"DECLATITUDE": f"{garden.lat:.4f}", "DECLONGITUDE": f"{garden.lon:.4f}"}
            if garden.elevation_m is not None:
                known["ELEVATION"] = f"{garden.elevation_m:.0f}"
        if lot.from_tree and lot.from_tree in trees:
            known.setdefault("COLLSITE", f"tree {trees[lot.from_tree].code}")
        out.append({name: known.get(name, "") for name in names})
    return out


def passport(knowledge: Knowledge, lot: WoodLot, finds: Sequence[LotFind] = ()) -> dict[str, str]:
    """The fields of one lot that are known, by name (MCPD V.2.1).

    Genus, species and crop are those of the lot, else those of the variety's group where the knowledge base has them.
    """
    found = max(finds, key=lambda f: (f.on.first, f.id)).found if finds else ""
    other = bool(found) and not same_word(found, lot.name)
    genus, species, crop = botany(knowledge, found or lot.name)
    own = lot.source_class == "own tree"
    remarks = [t for t in (lot.state, lot.storage, lot.note) if t]
    if other:
        newest = max(finds, key=lambda f: (f.on.first, f.id))
        remarks.insert(0, f"came as {lot.name}, found to be {newest.found} by {newest.how}")
    number = _is_number(lot.paper)
    if lot.paper and not number:
        remarks.append(f"paper: {lot.paper}")
    fields = {
        "PUID": lot.thing,
        "ACCENUMB": lot.code,
        "GENUS": lot.genus or genus,
        "SPECIES": lot.species or species,
        "CROPNAME": lot.crop or crop,
        "ACCENAME": ";".join(_bare(n) for n in ([found, lot.name] if other else [lot.name])),
        "ACQDATE": lot.received.mcpd() if lot.received else "",
        "COLLDATE": lot.cut.mcpd(),
        "COLLSITE": lot.source if own else "",
        "DONORNAME": lot.source if not own else "",
        "OTHERNUMB": lot.paper if number else "",
        "REMARKS": "; ".join(t.strip().rstrip(".;") for t in remarks),
    }
    return {name: value for name, value in fields.items() if value}


def _bare(name: str) -> str:
    """A name without quotation marks and without the sign that parts names in this field."""
    return "".join(c for c in name if c not in _GONE).replace(";", ",").strip()


def _is_number(paper: str) -> bool:
    """True for "holder:number" (a certificate's number), which is what the field for other numbers holds."""
    head, colon, tail = paper.partition(":")
    return bool(colon and head.strip() and any(c.isdigit() for c in tail) and " " not in paper.strip())


def botany(knowledge: Knowledge, name: str) -> tuple[str, str, str]:
    """Genus, species and common name of a variety by its group; empty where they are not known."""
    variety = knowledge.variety(name)
    if variety is None:
        return "", "", ""
    genus, _, species = variety.taxon.partition(" ")
    return genus, species, variety.common_name


def _finds(reader: Reader, lots: Sequence[WoodLot]) -> Mapping[str, list[LotFind]]:
    mine = {lot.thing for lot in lots}
    out: dict[str, list[LotFind]] = {}
    for find in reader.every(LotFind, order="on_first, id"):
        if find.lot in mine:
            out.setdefault(find.lot, []).append(find)
    return out


def chains(ctx: Context) -> list[tuple[dict[str, str], tuple[ChainPart, ...]]]:
    """Every graft: its columns but the chain, and the parts of its chain, names by the Code (ICNCP)."""
    names = ctx.names
    botanical: dict[str, str] = {"": ""}
    out = []
    with ctx.book.read() as reader:
        trees = {t.thing: t for t in reader.every(Tree)}
        limbs = {k.thing: k for k in reader.every(Limb)}
        lots = {w.thing: w for w in reader.every(WoodLot)}
        finds = reader.every(LotFind, order="on_first, id")
        links: dict[str, list[ChainLink]] = {}
        for link in reader.every(ChainLink, order="id"):
            links.setdefault(link.tree, []).append(link)
        grafts = reader.every(Graft, order="code")
    for graft in grafts:
        lot = lots.get(graft.lot or "")
        limb = limbs.get(graft.limb or "")
        claimed, found = variety_of(graft, lot, finds)
        parts = graft_chain(graft, lot, finds, limb, links.get(graft.tree, []), names)
        name = found or claimed
        if name not in botanical:
            botanical[name] = ctx.knowledge.botanical(name)
        columns = {
            "graft": graft.code,
            "tree": trees[graft.tree].code if graft.tree in trees else "",
            "limb": limb.address if limb else "",
            "lot": lot.code if lot else "",
            "set_on": graft.set_on.iso(),
            "method": graft.method,
            "name": names.written(name),
            "botanical_name": botanical[name],
        }
        out.append((columns, parts))
    return sorted(out, key=lambda row: _sort_key(row[0]["graft"]))


def _sort_key(code: str) -> tuple[str, int, str]:
    head, _, number = code.rpartition("-")
    return head, int(number) if number.isdigit() else 0, code


def as_csv(columns: Sequence[str], rows: Sequence[Mapping[str, str]]) -> str:
    """A table as text: commas, a header, one line a row (RFC 4180 with plain line ends)."""
    import csv
    import io

    out = io.StringIO()
    writer = csv.DictWriter(out, fieldnames=list(columns), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()
