"""The line that confirms what was written down a moment ago, and its way back."""

from __future__ import annotations

from urllib.parse import quote

from barkslip.domain.act import Act, Event, Photo
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse, WoodRule
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.sign import Sign
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.domain.written import Written
from barkslip.present import act, counts, graft
from barkslip.present.dates import when_text

#: Most of a note that is said again [characters].
_LONGEST = 60


def line(written: Written, units: UnitChoice = METRIC) -> str:
    """ "Written down: pushing, shoot 4 cm (G14-5)."; "Taken back: ..."; "Corrected: ..."."""
    done = "Taken back" if written.taken_back else "Corrected" if written.corrected else "Written down"
    return f"{done}: {_what(written, units)}."


def _what(written: Written, units: UnitChoice) -> str:
    match written.entry:
        case Look() as look:
            return f"{graft.look_text(look, units)} ({written.about})"
        case Act() as done:
            return f"{act.text(done, units)} ({written.about})"
        case Event() as event:
            return f"{event.kind}, {when_text(event.on)}: {shortened(event.text)}"
        case Graft() as one:
            if written.count > 1:
                return f"{counts.many(written.count, 'graft')} of {one.campaign}"
            return f"graft {one.code}"
        case Tree():
            return f"tree {written.about}"
        case Limb() as limb:
            return f"limb {limb.address} of {written.about}"
        case ChainLink() as link:
            return f"what you believe about the {link.level} of {written.about}"
        case Sign() as sign:
            return f"{sign.question.replace('_', ' ')}: {sign.answer.replace('_', ' ')} ({written.about})"
        case WoodLot():
            return f"wood lot {written.about}"
        case LotFind() as find:
            return f"{written.about} found to be {find.found}"
        case WoodRule() as rule:
            return f"the rule for {rule.area}, by {rule.office}"
        case ToolUse() as use:
            return f"a cut with {use.tool}, {when_text(use.on)}"
        case Handout() as given:
            return f"wood of {written.about} given to {given.receiver}"
        case Hold() as hold:
            return f"held back for {'a wrong name' if hold.why == 'wrong name' else 'an infection'}"
        case Photo() as photo:
            return f"a photo of {when_text(photo.on)}"
        case Plot():
            return f"plot {written.about}"
        case _:
            return written.about or "it"


def shortened(text: str) -> str:
    """The beginning of a long text, without its last stop."""
    text = " ".join(text.split()).rstrip(".")
    return text if len(text) <= _LONGEST else text[:_LONGEST].rsplit(" ", 1)[0] + " …"


def way_back(written: Written) -> str:
    """Address that takes it back; "" where that is not offered: corrections, beliefs, and what stands no more."""
    if written.taken_back or not written.newest or written.entry.corrects is not None:
        return ""
    code, entry = quote(written.code), written.entry
    match entry:
        case Look():
            return f"/looks/{entry.id}/take-back"
        case Act():
            return f"/acts/{entry.id}/take-back"
        case Event():
            return f"/events/{entry.id}/take-back"
        case Graft():
            return f"/grafts/{code}/take-back" if written.count == 1 else ""
        case Tree():
            return f"/trees/{code}/take-back"
        case Limb():
            return f"/limbs/{entry.thing}/take-back"
        case Sign() if written.code:
            return f"/root/signs/{entry.id}/take-back"
        case WoodLot():
            return f"/wood/{code}/take-back"
        case ToolUse():
            return f"/tools/{entry.id}/take-back"
        case Handout():
            return f"/handouts/{entry.id}/take-back"
        case Hold():
            return f"/holds/{entry.id}/take-back"
        case WoodRule():
            return f"/wood/rules/{entry.id}/take-back"
        case _:
            return f"/weather/{entry.thing}/take-back" if written.noun == "weather" else ""


def after_taking_back(written: Written, path: str) -> str:
    """Where to go after it: on the walk-round to the graft that was looked at, else back to the page; "" elsewhere."""
    if isinstance(written.entry, Look):
        return f"/walk?graft={quote(written.code)}" if path == "/walk" else f"/grafts/{quote(written.code)}"
    return path if isinstance(written.entry, Act) else ""
