"""What the program knows, in words: columns of its tables as a reader would say them."""

from __future__ import annotations

import re

from barkslip.domain.known import Found

#: Column -> its word; None leaves it out because the heading says it already. Others are said as they are.
_LABELS: dict[str, str | None] = {
    "term": None,
    "label": None,
    "name": None,
    "epithet": None,
    "common name": None,
    "definition": "Means",
    "meaning": "Means",
    "synonyms": "Also called",
    "trade name": "Sold as",
    "group": "Belongs to",
    "rank": "Kind of name",
    "parentage": "Parents",
    "sucker leaf": "Leaf of its shoots",
    "avoid": "To be avoided",
    "bark must lift": "Bark must lift",
    "scion": "Scion",
    "aftercare": "After setting",
    "principal": "Stage of",
    "holds": "Holds",
    "for budwood": "Used for budwood",
    "taxon": "Botanical name",
    "applies to": "Holds for",
    "note": "Note",
    "status": "Known how",
}
_SEPARATOR = re.compile(r";\s*")


def lines(found: Found) -> list[tuple[str, str]]:
    """What is said about it: (word, text), without what its heading says already."""
    out = []
    for label, text in found.words:
        word = _LABELS.get(label, label[:1].upper() + label[1:])
        if word is None or not text:
            continue
        if label == "avoid" and text == "no":
            continue
        if label in ("group", "rank"):
            text = text.replace("_", " ")
        out.append((word, _SEPARATOR.sub("; ", text)))
    return out
