"""Cautions, each with the places where the user meets it and its published source.

They remind; they replace neither local code nor licensed practice. Every text ends, when shown,
with the reminder in ``LOCAL``.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from basinbook.engine.errors import check_choice
from basinbook.engine.outfit import Outfit

LOCAL: Final = "Check local code."
PLACES: Final = (
    "job", "walls", "base", "estimate", "order", "checks", "setting plan", "water",
)  # fmt: skip
# Load constant of the revised NIOSH lifting equation: 23 kg (51 lb).
LOAD_CONSTANT: Final = 23.0
# What a caution may need besides a part of the outfit: that the job has saw cuts.
CUTS: Final = "saw cuts"


@dataclass(frozen=True)
class Caution:
    """A caution: key, places where it is shown, text and source.

    needs: fields of the outfit, or ``CUTS``, of which a job must have one, or the danger is not
    there; without them ``otherwise`` is what is left of it, "" for nothing.
    """

    key: str
    places: tuple[str, ...]
    text: str
    source: str
    needs: tuple[str, ...] = ()
    otherwise: str = ""

    def for_job(self, outfit: Outfit, cuts: int) -> str:
        """The text for a job with this outfit and saw cuts; "" where the danger is not there."""
        there = not self.needs or any(
            cuts if need == CUTS else getattr(outfit, need) for need in self.needs
        )
        return self.text if there else self.otherwise

    @property
    def shown(self) -> str:
        """The text with the reminder and the source, as a sheet shows it."""
        return f"{self.text} {LOCAL} Source: {self.source}."


_ALL = (
    Caution(
        "call before digging",
        ("base", "setting plan"),
        "Before any digging have buried lines located through the one-call service (811 in the "
        "USA) and wait for the marks.",
        "49 CFR 196.103; 29 CFR 1926.651(b)",
    ),
    Caution(
        "dig",
        ("base", "setting plan"),
        "The sides of a dig can fall in at any depth: slope, bench or shore them from 5 ft "
        "(1524 mm), sooner where the ground shows signs; keep spoil and block 2 ft (610 mm) "
        "back. Beside or under any footing, dig only as an engineer says.",
        "29 CFR 1926.651(i) and (j), 1926.652(a); from memory",
        needs=("base_thickness",),
    ),
    Caution(
        "electricity",
        ("base", "estimate", "checks", "setting plan", "water"),
        "Pump, lights and receptacles near the water need ground-fault protection; wiring is "
        "work for a licensed electrician. Unplug before reaching into the water.",
        "NFPA 70 (National Electrical Code), article 680, part V, fountains",
        needs=("pump", "light"),
    ),
    Caution(
        "cord",
        ("base", "setting plan", "water"),
        "No flexible cord is hidden in a wall or run through it, unless code lets it pass in "
        "a fitting or conduit to be drawn out. In a fountain at most 10 ft (3 m) of it "
        "lies open; receptacles within 20 ft (6 m) have ground-fault protection.",
        "NFPA 70, 400.12, 680.51(E), 680.58; from memory",
        needs=("pump", "light", "cord_passage"),
    ),
    Caution(
        "low water",
        ("base", "checks", "water"),
        "What the water cools, pump or light, overheats when the level falls: it needs a "
        "low-water cut-off, or a maker's word that it may run dry.",
        "NFPA 70, 680.51(D); from memory",
        needs=("pump", "light"),
    ),
    Caution(
        "barrier",
        ("job", "checks", "water"),
        "Barrier codes start at a depth of water that differs from place to place, 18 in "
        "(457 mm) and 24 in (610 mm) among them, and some count ponds and fountains: ask before "
        "fixing the depth.",
        "California Health and Safety Code 115921 (18 in); Florida Building Code, Residential, "
        "5th edition, pools (24 in); both for swimming pools",
    ),
    Caution(
        "drowning",
        ("job", "checks", "setting plan", "water"),
        "Small children drown in a few inches of water. Agree with the owner how the basin is "
        "kept from them, during the work too; leave no water standing in an unfinished basin.",
        "U.S. CPSC, release 08-417 (2008)",
    ),
    Caution(
        "silica dust",
        ("order", "setting plan"),
        "Cutting block makes respirable silica dust. Cut wet, with water fed to the blade all "
        "the time; by hand-held saw for over 4 hours a shift, or indoors, a respirator is "
        "needed too.",
        "29 CFR 1926.1153, table 1",
        needs=(CUTS,),
    ),
    Caution(
        "saw",
        ("order", "setting plan"),
        "At the saw: guard on, eyes, ears and lungs protected, also of those who stand near; no "
        "loose sleeves, the piece held down and never by the hand in line with the blade.",
        "29 CFR 1926.300(b), 1926.101, 1926.102, 1926.1153; from memory",
        needs=(CUTS,),
    ),
    Caution(
        "wet saw",
        ("order", "setting plan"),
        "A wet saw runs on ground-fault protection only, its cord whole, plug and joints off the "
        "wet ground; unplug it before the blade is touched.",
        "29 CFR 1926.404(b)(1)(ii); from memory",
        needs=(CUTS,),
    ),
    Caution(
        "lifting",
        ("order", "setting plan"),
        "Over 23 kg (51 lb) even in the best posture, and over its limit on the Take-off sheet "
        "as it is handled, lift a piece by two or with a tool. Reach, low and high lifts, "
        "turning and repeating lower the limit.",
        "DHHS (NIOSH) Publication 94-110, revised lifting equation",
    ),
    Caution(
        "falling block",
        ("walls", "setting plan"),
        "Glued block is loose until the glue has set, and what stands alone can be pushed over. "
        "Keep people out from under; taper stacks of block above 6 ft (1829 mm) back by half "
        "a block a tier.",
        "29 CFR 1926.250(b)(7)",
    ),
    Caution(
        "solvent cement",
        ("order", "setting plan"),
        "Pipe cement and primer give off flammable vapour that is harmful to breathe: open "
        "air, no flame or spark, gloves and eye protection, lids closed.",
        "ASTM F402",
        needs=("pipe",),
    ),
    Caution(
        "vapour",
        ("order", "setting plan"),
        "Adhesive, silicone and primer can give off vapour that burns and harms: open air, no "
        "flame, spark or smoking, gloves and eye protection; off skin and out of eyes at once. "
        "Read its data sheet (SDS) before opening.",
        "29 CFR 1910.1200(g), 1926.102(a); from memory",
        needs=("adhesive", "bulkhead"),
    ),
    Caution(
        "adhesive",
        ("order", "setting plan"),
        "The adhesive maker's instructions bind: bond to this block, contact with water and "
        "liner, temperature, dry clean faces, time before filling.",
        "the maker's data sheet; 29 CFR 1910.1200 for the hazards it must name",
    ),
    Caution(
        "wall height",
        ("walls", "estimate", "checks"),
        "A wall over 4 ft (1219 mm) from the bottom of its footing, or one that holds back over "
        "24 in (610 mm), needs an engineer or a permit under model codes; many places ask earlier.",
        "International Building Code (2009), 105.2; International Residential Code (2009), R404.4",
    ),
    Caution(
        "treatment",
        ("order", "water"),
        "Dose water treatment by its label only: the label is law. Mind fish, pets and birds "
        "that drink here; never mix products.",
        "7 U.S.C. 136j(a)(2)(G)",
    ),
    Caution(
        "frost",
        ("base", "water"),
        "Water that freezes in pipe, pump or basin bursts them: drain down, empty the pipe and "
        "take the pump out before frost.",
        "common practice, no source",
        needs=("pump", "pipe"),
        otherwise="Water that freezes in the basin bursts it: drain it down before frost.",
    ),
)

CAUTIONS: Final = MappingProxyType({caution.key: caution for caution in _ALL})


def caution(key: str) -> Caution:
    """Return the caution of a key; raises InputError listing the keys."""
    check_choice("key", key, CAUTIONS)
    return CAUTIONS[key]


def cautions_at(place: str) -> tuple[Caution, ...]:
    """Return the cautions that are shown at a place; raises InputError for another place."""
    check_choice("place", place, PLACES)
    return tuple(each for each in _ALL if place in each.places)


def lift_caution(mass: float) -> Caution | None:
    """Return the lifting caution where a piece's mass [kg] exceeds 23 kg, else None.

    Source: DHHS (NIOSH) Publication 94-110, load constant of the revised lifting equation,
    reached only in the best posture.
    """
    return CAUTIONS["lifting"] if mass > LOAD_CONSTANT else None
