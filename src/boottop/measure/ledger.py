"""The books of area: what each zone holds, what is moved between zones, and which doubts they share."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import fsum, hypot

from boottop.base.errors import Problem
from boottop.measure.hull import Hull, Patch, Side, Zone, ZoneKind
from boottop.measure.patches import Group, Piece


@dataclass(kw_only=True)
class Account:
    """One zone under construction. `doubts` maps a source of error to its signed standard deviation here, m2."""

    name: str
    kind: ZoneKind
    side: Side
    substrate: str
    stand_set: int | None = None
    coated: bool = True
    access: str = ""
    pieces: list[Piece] = field(default_factory=list)
    doubts: dict[str, float] = field(default_factory=lambda: defaultdict(float))

    @property
    def area_m2(self) -> float:
        return fsum(piece.patch.area_m2 for piece in self.pieces)

    def held(self, groups: Iterable[Group]) -> float:
        return fsum(piece.patch.area_m2 for piece in self.pieces if piece.group in groups)

    def add(self, pieces: Iterable[Piece], *, source: str, sd_m2: float) -> None:
        self.pieces.extend(pieces)
        self.doubts[source] += sd_m2

    def take(self, area_m2: float, groups: Sequence[Group]) -> None:
        """Take area out of the groups in turn, each shrinking evenly; the caller has checked that there is enough."""
        for group in groups:
            held = self.held((group,))
            part = min(area_m2, held)
            if part <= 0.0:
                continue
            area_m2 -= part
            self.pieces = [p.scaled(1.0 - part / held) if p.group == group else p for p in self.pieces]


@dataclass(kw_only=True)
class Ledger:
    """All zones under construction, in the order in which they will be shown."""

    accounts: dict[str, Account] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def open(self, account: Account) -> Account:
        return self.accounts.setdefault(account.name, account)

    def deduct(
        self, shares: Sequence[tuple[str, float]], *, groups: Sequence[Group], source: str, sd_share: float, where: str
    ) -> bool:
        """Take areas out of zones; a zone that holds too little becomes a Problem and nothing is taken from it.

        `shares` are (zone name, m2) pairs; `sd_share` is the relative doubt of what is taken.
        """
        done = True
        for name, area in shares:
            held = self.accounts[name].held(groups) if name in self.accounts else 0.0
            if area > held + 1e-12:
                self.problems.append(_too_much(where, area, zone=name, held=held))
                done = False
                continue
            self.accounts[name].take(area, groups)
            self.accounts[name].doubts[source] -= sd_share * area
        return done

    def close(self, *, method: str, notes: Sequence[str]) -> Hull:
        """The finished hull: empty zones dropped, areas summed, shared doubts added before they are squared.

        A source of error moves all zones that it touches together, so `total_sd_m2` is the root of the sum over
        sources of (sum over zones)^2: more than the zones' root-sum-square where one girth served both sides, less
        where area only moved from one zone to another.
        """
        accounts = [account for account in self.accounts.values() if account.area_m2 > 1e-9]
        totals: dict[str, float] = defaultdict(float)
        for account in accounts:
            for source, sd in account.doubts.items():
                totals[source] += sd
        zones = tuple(_zone(account) for account in accounts)
        return Hull(
            zones=zones,
            total_m2=fsum(zone.area_m2 for zone in zones),
            total_sd_m2=hypot(*totals.values()),
            method=method,
            notes=tuple(notes),
        )


def _too_much(where: str, area: float, *, zone: str, held: float) -> Problem:
    return Problem(
        where=where,
        found=f"{area:.2f} m2 to take out of {zone}",
        allowed=f"at most the {held:.2f} m2 that is there",
        advice="Check the size, the count, and the zone it lies in.",
    )


def _zone(account: Account) -> Zone:
    patches = _merged(piece.patch for piece in account.pieces if piece.patch.area_m2 > 1e-12)
    return Zone(
        name=account.name,
        kind=account.kind,
        side=account.side,
        area_m2=fsum(patch.area_m2 for patch in patches),
        area_sd_m2=hypot(*account.doubts.values()),
        substrate=account.substrate,
        patches=patches,
        stand_set=account.stand_set,
        coated=account.coated,
        access=account.access,
    )


def _merged(patches: Iterable[Patch]) -> tuple[Patch, ...]:
    """Patches of one name, direction and material joined into one, their layers' thicknesses averaged by area."""
    joined: dict[tuple[object, ...], Patch] = {}
    for patch in patches:
        down = patch.tilt_deg == 180.0
        materials = tuple(layer.material for layer in patch.layers)
        key = (patch.name, None if down else patch.from_bow_deg, patch.tilt_deg, patch.view, materials)
        joined[key] = _join(joined[key], patch) if key in joined else patch
    return tuple(_told_apart(joined.values()))


def _told_apart(patches: Iterable[Patch]) -> Iterator[Patch]:
    """The same patches, with a number behind a name that came before."""
    seen: dict[str, int] = defaultdict(int)
    for patch in patches:
        seen[patch.name] += 1
        count = seen[patch.name]
        yield patch if count == 1 else replace(patch, name=f"{patch.name} ({count})")


def _join(one: Patch, other: Patch) -> Patch:
    area = one.area_m2 + other.area_m2
    share = other.area_m2 / area
    layers = tuple(
        a if a == b else replace(a, thickness_m=(1.0 - share) * a.thickness_m + share * b.thickness_m)
        for a, b in zip(one.layers, other.layers, strict=True)
    )
    return replace(one, area_m2=area, layers=layers)
