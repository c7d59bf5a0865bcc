"""What can hurt a person or a harbour, said every time it matters. The tool defers; it never permits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from boottop.coating.finding import COMMON_PRACTICE

Stage = Literal["plan", "order", "batch_card", "epoxy_card", "one_part_card"]


@dataclass(frozen=True, kw_only=True)
class Caution:
    """One danger in short sentences, where that is written, and whose word counts above this tool's."""

    topic: str
    text: str
    source: str
    defers_to: tuple[str, ...]


SHEET = "the product's data sheet"
SDS = "the safety data sheet"
YARD = "the yard"
CODE = "local code"
LICENSED = "licensed practice"

_DUST = (
    "29 CFR 1915 Subpart C, .32-.36 (read); 29 CFR 1910.1000 Z-1: copper fume 0.1 mg/m3 (read), dust 1 mg/m3 (from "
    "memory); BCF/RYA/British Marine DIY guidance 2017 (read)"
)
_WASTE = "Washington Ecology Boatyard General Permit; RYA Green Blue note (both read)"
_REGULATED = (
    "3 CCR 6190: copper leach rate 9.5 ug/cm2/day for recreational vessels in California since 2018-07-01 (read); "
    "Washington antifouling law 2011, reviewed 2024 (read); IMO AFS Convention and MEPC.331(76) (read)"
)

CAUTIONS: Mapping[str, Caution] = {
    caution.topic: caution
    for caution in (
        Caution(
            topic="dust",
            text="Antifouling dust is poisonous: copper, and lead or tin in older layers. Sand wet or with a vacuum "
            "sander, never dry and open. Wear a P3/P100 respirator, goggles and a full coverall. Keep the dust in and "
            "others out. Wash before you eat or drink.",
            source=_DUST,
            defers_to=(SDS, YARD, CODE),
        ),
        Caution(
            topic="old lead and tin",
            text="Old layers may hold lead or organotin, banned since 2008. Have an unknown old coating tested before "
            "you sand or blast it.",
            source="IMO AFS Convention; UK MGN 398 A1 (2024) (both read)",
            defers_to=(CODE, LICENSED),
        ),
        Caution(
            topic="strippers",
            text="Do not count on methylene chloride stripper: it is banned or restricted in places.",
            source="40 CFR 751 Subpart B (2024) (read)",
            defers_to=(SDS, CODE),
        ),
        Caution(
            topic="uncured epoxy",
            text="Uncured epoxy makes skin allergic, for life. Wear nitrile gloves and goggles, change gloves often, "
            "let none touch the skin. Never clean skin with solvent: soap and water.",
            source=f"{COMMON_PRACTICE}; eye and skin protection: 29 CFR 1915 Subpart C, .32-.36 (read)",
            defers_to=(SDS, SHEET),
        ),
        Caution(
            topic="isopropanol",
            text="Isopropanol burns and its vapour drifts. No flame, no sparks, no smoking. Ventilate; keep used wipes "
            "in a closed metal bin.",
            source="29 CFR 1915 Subpart C, .32-.36: flammables rules, ventilation (read)",
            defers_to=(SDS, YARD),
        ),
        Caution(
            topic="wet antifouling",
            text="Antifouling is poisonous wet as well as dry. Wear chemical gloves, goggles, a full coverall and "
            "covered shoes for brush and roller; a respirator where the air stands still. Never spray it without one.",
            source="NZ EPA leaflet on antifouling; BCF/RYA/British Marine DIY guidance 2017 (both read)",
            defers_to=(SDS, YARD, CODE),
        ),
        Caution(
            topic="heat in the pot",
            text="Mixed epoxy heats itself, more in a full pot than in a flat pan. A pot that grows hot goes outside, "
            "away from people and paper; do not breathe what rises from it.",
            source=COMMON_PRACTICE,
            defers_to=(SHEET, SDS),
        ),
        Caution(
            topic="stands and lifts",
            text="Only the yard moves a stand. Chain opposite stands. Never tie a cover or a tent to a stand. Nobody "
            "under a boat in the slings. This tool works out no blocking plan.",
            source="ABYC TY-28 (2014), as quoted second-hand (read); boat-insurer safety notes (read)",
            defers_to=(YARD, LICENSED),
        ),
        Caution(
            topic="ladders and cables",
            text="Ladders stand tied and level, never on the boat's stands. Keep cables and plugs out of the wet and "
            "on a residual-current breaker.",
            source=COMMON_PRACTICE,
            defers_to=(YARD, CODE),
        ),
        Caution(
            topic="waste",
            text="Dust, scrapings, paper, rollers and rinse water are usually hazardous waste. Nothing into the ground "
            "or the harbour; no pressure-wash water to surface water.",
            source=_WASTE,
            defers_to=(YARD, CODE),
        ),
        Caution(
            topic="regulation",
            text="Copper, tin and some biocides are regulated, and differently from water to water. Check local code "
            "before you buy and again before you launch: this tool cannot tell what is lawful where you are.",
            source=_REGULATED,
            defers_to=(CODE, SHEET, SDS),
        ),
        Caution(
            topic="protective gear",
            text="Order protective gear with the paint: gloves, goggles, coverall, covered shoes, respirator and spare "
            "filters.",
            source="NZ EPA leaflet on antifouling; BCF/RYA/British Marine DIY guidance 2017 (both read)",
            defers_to=(SDS,),
        ),
        Caution(
            topic="freight",
            text="Solvents and hardeners may be dangerous goods: they may go by road or sea only, late, and not at all "
            "by post.",
            source=COMMON_PRACTICE,
            defers_to=(SDS, LICENSED),
        ),
    )
}

STAGES: Mapping[Stage, tuple[str, ...]] = {
    "plan": (
        "dust",
        "old lead and tin",
        "uncured epoxy",
        "isopropanol",
        "stands and lifts",
        "ladders and cables",
        "waste",
        "regulation",
    ),
    "order": ("regulation", "protective gear", "strippers", "freight", "waste"),
    "batch_card": ("uncured epoxy", "wet antifouling", "heat in the pot", "isopropanol", "waste"),
    "epoxy_card": ("uncured epoxy", "heat in the pot", "isopropanol", "waste"),
    "one_part_card": ("wet antifouling", "waste"),
}


def cautions_for(stage: Stage) -> tuple[Caution, ...]:
    """What must be said at a stage, in the order in which it should be read.

    "batch_card" goes with a mixed antifouling, "epoxy_card" with a mixed barrier or primer, "one_part_card" with a
    paint from one tin.
    """
    return tuple(CAUTIONS[topic] for topic in STAGES[stage])
