"""From what was measured to the hull by zone: the one door of this room."""

from __future__ import annotations

from dataclasses import dataclass, replace

from boottop.base.errors import InputError
from boottop.measure.appendages import SECTION_FULLNESS, appendage_area
from boottop.measure.body import Body, body_of
from boottop.measure.checks import GEAR, PORT, SIDES, SLINGS, SOLE, STARBOARD, problems_of, where_of
from boottop.measure.hull import Hull, Side
from boottop.measure.inputs import Appendage, Hidden, HullMeasure
from boottop.measure.ledger import Account, Ledger
from boottop.measure.mesh import MeshHull
from boottop.measure.mesh_facing import facing_pieces
from boottop.measure.patches import (
    FROM_BOW_DEG,
    Group,
    HalfSide,
    Piece,
    appendage_pieces,
    bilge_tilt_deg,
    hull_piece,
    side_pieces,
)

ASYMMETRY_SD = 0.005
"""One side against the other (a boat is never quite even): common practice, no source."""
APPENDAGE_SD = 0.06
HIDDEN_SD = 0.10
NAMED_SD = 0.03
"""Doubt of an appendage, of a hidden patch, of a named zone's own area: common practice, no source."""

_HULL: tuple[Group, ...] = ("hull",)
_ANY: tuple[Group, ...] = ("hull", "gear", "keel", "sole", "end")
_BLOCKS: tuple[Group, ...] = ("sole", "keel", "hull", "gear")


def build_hull(measure: HullMeasure) -> Hull:
    """Areas by zone with standard deviations, m2, from everything measured on one boat.

    Order of the books: bare hull on both sides; named zones taken out of their sides; appendages added and the hull
    under them taken off; then pads (to their pad zones), blocks (to the keel sole), and what is left bare. Zone areas
    sum to `total_m2`. Doubts: the bare hull's is shared by both sides (one girth served both), each side adds
    `ASYMMETRY_SD` of its own, and an area moved between zones cancels in the total.

    Raises InputError with every problem found, of the measures first, else of areas that do not fit their zones.
    """
    if problems := problems_of(measure):
        raise InputError(problems)
    body = body_of(measure)
    books = _Books(measure=measure, ledger=Ledger())
    books.enter_sides(body)
    books.open_zones()
    if measure.mesh is not None:
        books.enter_mesh(measure.mesh)
    for index in range(len(measure.named_zones)):
        books.take_named(index)
    for index in range(len(measure.appendages)):
        books.add_appendage(index)
    placed = measure.mesh.placed if measure.mesh is not None else frozenset()
    for index in range(len(measure.hidden)):
        if index not in placed:
            books.hide(index)
    if books.ledger.problems:
        raise InputError(books.ledger.problems)
    books.name_gear_substrate()
    return books.ledger.close(method=body.method, notes=(*body.notes, *_bare_notes(measure), *books.mixed_notes()))


@dataclass(frozen=True, kw_only=True)
class _Books:
    """What was measured and the ledger that it is entered into, step by step."""

    measure: HullMeasure
    ledger: Ledger

    def enter_sides(self, body: Body) -> None:
        fore, aft = body.end_faces_m2
        plain = 0.5 * (body.area_m2 - fore - aft)
        sides: tuple[tuple[str, HalfSide], ...] = ((PORT, "port"), (STARBOARD, "starboard"))
        for name, side in sides:
            account = self.ledger.open(Account(name=name, kind="side", side=side, substrate=self.measure.substrate))
            ends = (0.5 * fore, 0.5 * aft)
            if self.measure.mesh is not None:
                continue
            pieces = side_pieces(self.measure, side, area_m2=plain, ends_m2=ends, flatness_ratio=body.flatness_ratio)
            account.add(pieces, source="bare hull", sd_m2=0.5 * body.sd_m2)
            account.doubts[f"{side} asymmetry"] = ASYMMETRY_SD * plain

    def enter_mesh(self, hull: MeshHull) -> None:
        """Every zone of a mesh with the patches that its facets make; its doubt is its share of the whole hull's."""
        whole = float(hull.mesh.areas_m2.sum())
        for name in hull.mesh.zone_names:
            account = self.ledger.accounts[name]
            material = self.measure.keel_material
            pieces = facing_pieces(hull.mesh, name, laminate=self.measure.laminate, keel_material=material)
            area = hull.mesh.zone_area_m2(name)
            account.add(pieces, source="bare hull", sd_m2=hull.area_sd_m2 * area / whole)
            if account.kind == "side":
                account.doubts[f"{account.side} asymmetry"] = ASYMMETRY_SD * area

    def open_zones(self) -> None:
        """Open the other zones in the order in which they are shown: gear, pads by set, keel sole, named."""
        measure, substrate = self.measure, self.measure.substrate
        self.ledger.open(Account(name=GEAR, kind="gear", side="centre", substrate=substrate))
        for number in sorted({hidden.stand_set for hidden in measure.hidden if hidden.kind == "pads"}):
            self._open_pads(number)
        self.ledger.open(
            Account(
                name=SOLE,
                kind="sole",
                side="centre",
                substrate=substrate if self._keel() is None else measure.keel_material,
                coated=measure.sole_coated,
                access="under the keel blocks: only when she hangs or is blocked elsewhere",
            )
        )
        if any(hidden.kind == "slings" for hidden in measure.hidden):
            self.ledger.open(Account(name=SLINGS, kind="named", side="centre", substrate=substrate))
        for drawn in measure.mesh.drawn_zones if measure.mesh is not None else ():
            self.ledger.open(
                Account(name=drawn, kind="named", side=_drawn_side(measure.mesh, drawn), substrate=substrate)
            )
        for named in measure.named_zones:
            self.ledger.open(Account(name=named.name, kind="named", side=named.side, substrate=substrate))

    def _open_pads(self, number: int) -> None:
        sides = {h.side for h in self.measure.hidden if h.kind == "pads" and h.stand_set == number}
        self.ledger.open(
            Account(
                name=f"pads {number}",
                kind="pads",
                side=sides.pop() if len(sides) == 1 else "centre",
                substrate=self.measure.substrate,
                stand_set=number,
                access="only after the yard has moved the stands",
            )
        )

    def take_named(self, index: int) -> None:
        named = self.measure.named_zones[index]
        where, source = where_of("named_zones", index, named.name), f"named zone {index}"
        shares = _by_side(named.side, named.area_m2)
        if self.ledger.deduct(shares, groups=_HULL, source=source, sd_share=NAMED_SD, where=where):
            pieces = [
                hull_piece(self.measure, named.name, _side_of(zone), area_m2=area, tilt_deg=named.tilt_deg)
                for zone, area in shares
            ]
            self.ledger.accounts[named.name].add(pieces, source=source, sd_m2=NAMED_SD * named.area_m2)

    def add_appendage(self, index: int) -> None:
        """Add an appendage to its zones and take the hull under it off the sides."""
        appendage = self.measure.appendages[index]
        bulbs = [a for a in self.measure.appendages if a.kind == "bulb"]
        area = appendage_area(appendage, bulbed=bool(bulbs))
        faces = area.faces_m2 - (self._fin_tips() if bulbs and appendage is bulbs[0] else 0.0)
        pieces = appendage_pieces(appendage, self.measure, faces_m2=max(faces, 0.0), sole_m2=area.sole_m2)
        source, where = f"appendage {index}", where_of("appendages", index, appendage.name)
        for zone, share, chosen in _homes(appendage, pieces):
            sd = APPENDAGE_SD * share * area.total_m2
            self.ledger.accounts[zone].add(chosen, source=source, sd_m2=sd)
        if area.covered_m2 > 0.0 and not self._girths_stop_at(appendage):
            shares = _by_side(appendage.side, area.covered_m2)
            self.ledger.deduct(shares, groups=_HULL, source=source, sd_share=APPENDAGE_SD, where=where)

    def _girths_stop_at(self, appendage: Appendage) -> bool:
        girths = self.measure.girths
        return girths is not None and girths.to_keel_root and appendage.kind == "fin_keel"

    def _fin_tips(self) -> float:
        """Area of a bulb that the fin stands on, m2."""
        fins = [a for a in self.measure.appendages if a.kind == "fin_keel"]
        return sum(SECTION_FULLNESS * a.length_m * a.thickness_m * a.count for a in fins)

    def _keel(self) -> Appendage | None:
        """What stands on the blocks: the bulb, else the fin keel, else None (the hull itself)."""
        keels = [a for kind in ("bulb", "fin_keel") for a in self.measure.appendages if a.kind == kind]
        return keels[0] if keels else None

    def hide(self, index: int) -> None:
        """Move pads and blocks to their own zones; take off what is left bare."""
        hidden = self.measure.hidden[index]
        area, source = hidden.area_each_m2 * hidden.count, f"hidden {index}"
        groups = {"pads": _HULL, "slings": _HULL, "blocks": _BLOCKS}.get(hidden.kind, _ANY)
        where = where_of("hidden", index, hidden.name)
        if not self.ledger.deduct(
            self._hidden_shares(hidden, area), groups=groups, source=source, sd_share=HIDDEN_SD, where=where
        ):
            return
        if hidden.kind == "pads":
            pads = self.ledger.accounts[f"pads {hidden.stand_set}"]
            pads.add(self._pad_pieces(hidden, area), source=source, sd_m2=HIDDEN_SD * area)
        elif hidden.kind == "slings":
            strips = self._pad_pieces(hidden, area, name="sling strip")
            self.ledger.accounts[SLINGS].add(strips, source=source, sd_m2=HIDDEN_SD * area)
        elif hidden.kind == "blocks":
            self.ledger.accounts[SOLE].add([self._sole_piece(area)], source=source, sd_m2=HIDDEN_SD * area)

    def _hidden_shares(self, hidden: Hidden, area: float) -> list[tuple[str, float]]:
        """Zones that something hidden is taken from: its own, the keel's for blocks, else its side or both."""
        if hidden.zone is not None and hidden.zone != SIDES:
            return [(hidden.zone, area)]
        keel = self._keel() if hidden.kind == "blocks" and hidden.zone is None else None
        if keel is not None and keel.zone != SIDES:
            return [(keel.zone, area)]
        return _by_side(hidden.side, area)

    def _pad_pieces(self, hidden: Hidden, area: float, *, name: str = "pads") -> list[Piece]:
        tilt = bilge_tilt_deg(self.measure.deadrise_deg)
        return [
            hull_piece(self.measure, name, _side_of(zone), area_m2=part, tilt_deg=tilt)
            for zone, part in _by_side(hidden.side, area)
        ]

    def _sole_piece(self, area: float) -> Piece:
        keel = self._keel()
        if keel is None:
            return hull_piece(self.measure, "keel sole", "centre", area_m2=area, tilt_deg=180.0)
        piece = appendage_pieces(keel, self.measure, faces_m2=0.0, sole_m2=2.0 * area)["port"][0]
        return replace(piece, patch=replace(piece.patch, name="keel sole", from_bow_deg=FROM_BOW_DEG["centre"]))

    def name_gear_substrate(self) -> None:
        """The gear's substrate is the material of its largest part."""
        account = self.ledger.accounts[GEAR]
        if areas := _fitted_materials(account):
            account.substrate = max(areas, key=lambda material: areas[material])

    def mixed_notes(self) -> list[str]:
        """A note for every zone with fittings of another material than its substrate: they may need another primer."""
        notes = []
        for account in self.ledger.accounts.values():
            others = [
                f"{material} {area:.2f} m2"
                for material, area in _fitted_materials(account).items()
                if material != account.substrate and area >= 0.005
            ]
            if others:
                notes.append(f"{account.name} also holds {', '.join(others)}: check the primer for it.")
        return notes


def _homes(appendage: Appendage, pieces: dict[HalfSide, list[Piece]]) -> list[tuple[str, float, list[Piece]]]:
    """Zone, share of the appendage, and pieces: "sides" goes half and half unless it hangs on one side."""
    both = [*pieces["port"], *pieces["starboard"]]
    if appendage.zone != SIDES:
        return [(appendage.zone, 1.0, both)]
    if appendage.side == "centre":
        return [(PORT, 0.5, pieces["port"]), (STARBOARD, 0.5, pieces["starboard"])]
    return [(f"{appendage.side} side", 1.0, both)]


def _by_side(side: Side, area: float) -> list[tuple[str, float]]:
    if side == "centre":
        return [(PORT, 0.5 * area), (STARBOARD, 0.5 * area)]
    return [(f"{side} side", area)]


def _drawn_side(hull: MeshHull | None, name: str) -> Side:
    """The side that all facets of a drawn zone lie on, else the centre."""
    assert hull is not None
    y = hull.mesh.surface.centres_m[hull.mesh.chosen(name), 1]
    if not len(y) or (y.min() < 0.0 < y.max()):
        return "centre"
    return "starboard" if y.min() >= 0.0 else "port"


def _side_of(zone: str) -> Side:
    return "port" if zone == PORT else "starboard"


def _fitted_materials(account: Account) -> dict[str, float]:
    """Outer material and area, m2, of the appendages in a zone (plain hull left out)."""
    areas: dict[str, float] = {}
    for piece in account.pieces:
        if piece.group in ("gear", "keel", "sole"):
            material = piece.patch.layers[0].material
            areas[material] = areas.get(material, 0.0) + piece.patch.area_m2
    return areas


def _bare_notes(measure: HullMeasure) -> list[str]:
    """What is left bare: anodes, transducers and the like, and the keel sole unless it is coated."""
    notes = [
        f"Left bare: {hidden.count} x {hidden.name}, {hidden.count * hidden.area_each_m2:.3f} m2."
        for hidden in measure.hidden
        if hidden.kind in ("anode", "transducer", "other")
    ]
    blocks = sum(h.count * h.area_each_m2 for h in measure.hidden if h.kind == "blocks")
    if blocks > 0.0 and not measure.sole_coated:
        notes.append(f"Keel sole of {blocks:.2f} m2 stays bare on its blocks: note the spots for the next haul-out.")
    return notes
