"""What a person would have typed for the demonstration's record; all of it INVENTED."""

from __future__ import annotations

from datetime import UTC, datetime
from random import Random

from boottop.record.facts import BareSpot, Facts, Lot
from boottop.record.history import Visit, VisitKind
from boottop.record.readings import FilmReading

COPPER = "Demo copper epoxy A"
PHOTO_TITLES = (
    "hauled out, before the wash",
    "port side, after coat 1",
    "running gear",
    "starboard side",
    "pad spots",
    "last coat",
)
NOMINAL_UM = 280.0


def demo_facts() -> Facts:
    """Papers, lots, bare spots; a few deviations are explained, others left open on purpose."""
    return Facts(
        papers={
            "Hull number": "XX-DEMO00042A922 (invented)",
            "Owner": "A. Example (invented)",
            "Work by": "owner and one helper",
            "Bottom before": "soft eroding antifouling over a sound epoxy barrier coat, stripped to the barrier",
            "Surface before coating": "barrier coat sound, no blisters, moisture as ashore three weeks (invented)",
        },
        lots=(
            Lot(product=COPPER, part="resin (A)", lot="A-2207", best_before="2023-02-28"),
            Lot(product=COPPER, part="hardener (B)", lot="B-2114", best_before="2022-12-31"),
            Lot(product=COPPER, part="copper powder", lot="CU-0931", best_before=None),
            Lot(product="Demo metal primer D", part="resin (A)", lot="A-2207", best_before="2022-03-31"),
        ),
        bare=(
            BareSpot(
                zone="starboard side",
                kind="slings",
                words="aft sling, scuffed to the barrier coat",
                area_m2=0.05,
                station_m=7.4,
                girth_m=0.7,
                side="starboard",
                source="A. Example",
            ),
        ),
        explained={
            f"margin-low/starboard side/{COPPER}/1": "The humidity sensor came out of the damp cabin "
            "and was still fogged. Read again fifteen minutes later, in the open air: far above the limit.",
        },
        least_film_um=140.0,
    )


def demo_film() -> list[FilmReading]:
    """Ultrasonic readings of both sides: five spots of three in each area, thin along the starboard bilge aft."""
    draw, found = Random(11), []
    for zone, thin in (("port side", 0.0), ("starboard side", 0.28)):
        for area in ("1", "2"):
            for spot in range(1, 6):
                station_m = (0.9 + 1.6 * (spot - 1)) if area == "1" else (1.6 + 1.5 * (spot - 1))
                girth_m = 0.45 if area == "1" else 1.0
                share = 1.0 - (thin if area == "2" and spot >= 4 else 0.0)
                middle_um = NOMINAL_UM * share * draw.uniform(1.02, 1.12)
                for _ in range(3):
                    film_um = round(middle_um * draw.uniform(0.97, 1.03))
                    found.append(
                        FilmReading(
                            method="ultrasonic", zone=zone, low_um=film_um, high_um=film_um, area=area, spot=str(spot),
                            station_m=round(station_m, 2), girth_m=girth_m, who="A. Example",
                            as_written=f"{film_um} um", at_s=_at(2022, 5, 12),
                        )
                    )  # fmt: skip
    return found


def demo_visits() -> list[Visit]:
    """Years before and after: soft paint before, then wash-only haul-outs with the film left."""
    rows: tuple[tuple[int, VisitKind, str | None, int | None, float | None, str], ...] = (
        (_at(2020, 4, 20), "haul_out", None, 60, None, "soft antifouling renewed"),
        (_at(2021, 9, 8), "diver", None, 40, None, "wiped afloat"),
        (_at(2023, 5, 2), "wash", "port side", 10, 268.0, "light slime, washed off"),
        (_at(2023, 5, 2), "wash", "starboard side", 20, 249.0, ""),
        (_at(2024, 5, 7), "wash", "port side", 20, 257.0, ""),
        (_at(2024, 5, 7), "wash", "starboard side", 30, 240.0, "weed along the bilge aft, where it is thin"),
        (_at(2024, 5, 8), "activation", None, None, None, "grey pad, wet"),
        (_at(2025, 9, 30), "wash", "port side", 10, 243.0, ""),
        (_at(2025, 9, 30), "wash", "starboard side", 20, 226.0, ""),
    )
    return [
        Visit(at_s=at_s, kind=kind, zone=zone, fouling=fouling, film_um=film_um,
              film_sd_um=8.0 if film_um else None, note=note)
        for at_s, kind, zone, fouling, film_um, note in rows
    ]  # fmt: skip


def _at(year: int, month: int, day: int) -> int:
    return int(datetime(year, month, day, 12, tzinfo=UTC).timestamp())
