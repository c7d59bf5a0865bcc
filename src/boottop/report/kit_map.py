"""Which kit went where: the batches of the log laid on the flat hull, coat by coat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from boottop.base.quantities import System
from boottop.job.state import Batch, Coat, ZoneState
from boottop.measure.mesh import Array, HullMesh
from boottop.measure.shell_outline import distances, stations_at, zone_outlines
from boottop.record.film import begun_s
from boottop.report.flat_map import WIDTH_PX, Shape, Sheet, escaped_css, frame, panel_names, sheet_of
from boottop.report.hull_looks import PATTERNS, TILE, escaped

SPREAD_NOTE = (
    "The log has the zone and the time of every coat and the time of every mix, not the place of the roller: the kits "
    "are laid along their zone from bow to stern in the order of mixing, each as long as its litres. The numbers are "
    "right, the borders between them are likely."
)
HEADING_PX = 40.0
HATCHES = ("plain", "rise", "dash", "fall", "dots", "level")
MOST_PLACES = 400
"""As many places of a band are tried for its number."""
OPEN_POT_S = 3 * 3600
"""How long a batch counts as in use whose end was not written down: longer than any pot lives on a warm hull; ours."""


@dataclass(frozen=True, kw_only=True)
class KitUse:
    """A part of a batch on a zone: `number` counts batches in the order of mixing, as the record does. `litres` is
    what of it went on this zone in this coat. `from_share`, `to_share`: between which shares of the zone's area it is
    drawn, from the bow. `alone`: nothing else was mixed for the coat, so the place is certain."""

    number: int
    batch: Batch
    zone: str
    product: str
    coat: int
    litres: float
    from_share: float
    to_share: float
    alone: bool

    @property
    def place(self) -> str:
        """Where along its zone the batch is drawn."""
        return "all of it" if self.alone else f"{100 * self.from_share:.0f} to {100 * self.to_share:.0f} % from the bow"

    @property
    def marked(self) -> str:
        """What the tins had on them: the kit's own mark, and the lots of its parts."""
        lots = ", ".join(f"{part} {lot}" for part, lot in self.batch.lots.items())
        return "; ".join(one for one in (self.batch.kit or "", lots) if one)


class Worked(Protocol):
    """What the map reads of a log, or of a record made of it: zones with their coats, batches in order of mixing."""

    @property
    def zones(self) -> Sequence[ZoneState]: ...

    @property
    def batches(self) -> Sequence[Batch]: ...


def kit_uses(state: Worked, areas_m2: Mapping[str, float]) -> tuple[KitUse, ...]:
    """Which batch went on which zone and coat, from times alone.

    A batch serves the coats of its product that were under way while it was in use; serves it several, its litres
    (less what was thrown away) are shared by their zones' areas. Batches that meet no coat are left out: see
    `unplaced`. Source: ours.
    """
    coats = [(zone.zone, coat) for zone in state.zones for coat in zone.coats]
    on_coat: dict[tuple[str, str, int], list[tuple[int, Batch, float]]] = {}
    for number, batch in enumerate(state.batches, start=1):
        served = [(zone, coat) for zone, coat in coats if coat.product == batch.product and _meets(batch, coat)]
        weights = np.asarray([max(areas_m2.get(zone, 0.0), 1e-6) for zone, _ in served])
        used = max(batch.litres - batch.thrown_l, 0.0)
        for (zone, coat), weight in zip(served, weights, strict=True):
            part = used * float(weight) / float(weights.sum())
            on_coat.setdefault((zone, coat.product, coat.coat), []).append((number, batch, part))
    return tuple(use for key, parts in on_coat.items() for use in _laid(key, parts))


def _meets(batch: Batch, coat: Coat) -> bool:
    """Whether a batch was in use while a coat went on."""
    begin = begun_s(coat)
    if begin is None:
        return False
    end = coat.finished_s if coat.finished_s is not None else begin + OPEN_POT_S
    emptied = batch.done_s if batch.done_s is not None else batch.mixed_s + OPEN_POT_S
    return batch.mixed_s < end and emptied > begin


def _laid(key: tuple[str, str, int], parts: Sequence[tuple[int, Batch, float]]) -> Iterator[KitUse]:
    zone, product, coat = key
    total, gone = sum(litres for _, _, litres in parts), 0.0
    for number, batch, litres in parts:
        if total <= 0.0:
            return
        yield KitUse(
            number=number,
            batch=batch,
            zone=zone,
            product=product,
            coat=coat,
            litres=litres,
            from_share=gone / total,
            to_share=(gone + litres) / total,
            alone=len(parts) == 1,
        )
        gone += litres


def unplaced(state: Worked, uses: Sequence[KitUse]) -> tuple[int, ...]:
    """Numbers of the batches that no coat of the log can have taken."""
    placed = {use.number for use in uses}
    return tuple(number for number, _ in enumerate(state.batches, start=1) if number not in placed)


@dataclass(frozen=True, kw_only=True)
class KitMap:
    """One coat of one product on the flat hull: its heading, and the drawing."""

    title: str
    svg: str
    uses: tuple[KitUse, ...]


def kit_maps(
    shape: Shape, uses: Sequence[KitUse], *, units: System = "metric", standalone: bool = False
) -> tuple[KitMap, ...]:
    """A flat hull for each coat of each product in the log, with the numbers of the kits on it."""
    made = []
    for key in dict.fromkeys((use.product, use.coat) for use in uses):
        chosen = tuple(use for use in uses if (use.product, use.coat) == key)
        title = f"{key[0]}, coat {key[1]}"
        svg = _drawn(shape, chosen, units=units, standalone=standalone, title=title)
        made.append(KitMap(title=title, svg=svg, uses=chosen))
    return tuple(made)


def _drawn(shape: Shape, uses: Sequence[KitUse], *, units: System, standalone: bool, title: str) -> str:
    sheet = sheet_of(shape.mesh)
    own = "".join(ch if ch.isalnum() else "-" for ch in title)
    said = f"Which kit went where: {title}"
    space = ' xmlns="http://www.w3.org/2000/svg"' if standalone else ""
    parts = [
        f'<svg{space} class="flat" role="img" aria-label="{escaped(said)}" '
        f'viewBox="0 0 {WIDTH_PX:.0f} {sheet.height_px:.0f}"><title>{escaped(said)}</title>'
    ]
    if standalone:
        parts += [f"<style>{escaped_css()}</style>", kit_hatches()]
        parts.append(f'<rect width="{WIDTH_PX:.0f}" height="{sheet.height_px:.0f}" class="paper"/>')
    outlines, kits = zone_outlines(shape.mesh), sorted({use.number for use in uses})
    for order, (zone, lines) in enumerate(outlines.items()):
        path, clip = sheet.path(lines), f"clip-{own}-{order}"
        mine = [use for use in uses if use.zone == zone]
        parts.append(f'<clipPath id="{clip}"><path d="{path}"/></clipPath>')
        parts.append(f'<g clip-path="url(#{clip})">{"".join(_bands(shape.mesh, sheet, mine, order=kits))}</g>')
        parts.append(f'<path class="bare" d="{path}"/>')
    parts += frame(shape, sheet, units)
    parts += panel_names(shape, sheet, turned=False)
    for use in uses:
        if use.zone in outlines:
            parts += _numbers(shape.mesh, sheet, use, lines=outlines[use.zone])
    return "".join([*parts, "</svg>"])


def kits_file(shape: Shape, uses: Sequence[KitUse], *, units: System, boat: str) -> str:
    """Every coat's map under the other as one SVG file, with the words that belong to it; "" without any kit."""
    maps = kit_maps(shape, uses, units=units)
    if not maps:
        return ""
    high = sheet_of(shape.mesh).height_px
    lines = [SPREAD_NOTE[begin:end] for begin, end in _broken(SPREAD_NOTE)]
    top = 56.0 + 22.0 * len(lines)
    whole = top + len(maps) * (high + HEADING_PX)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="flat" viewBox="0 0 {WIDTH_PX:.0f} {whole:.0f}">'
        f"<style>{escaped_css()}</style>{kit_hatches()}",
        f'<rect width="{WIDTH_PX:.0f}" height="{whole:.0f}" class="paper"/>',
        f'<text x="16" y="30" class="head">{escaped(boat)}: which kit went where</text>',
        *(f'<text x="16" y="{56 + 22 * row}">{escaped(line)}</text>' for row, line in enumerate(lines)),
    ]
    for row, one in enumerate(maps):
        y = top + row * (high + HEADING_PX)
        parts.append(f'<text x="16" y="{y + 24:.0f}" class="head">{escaped(one.title)}</text>')
        inner = one.svg.replace(
            "<svg ", f'<svg y="{y + HEADING_PX:.0f}" width="{WIDTH_PX:.0f}" height="{high:.0f}" ', 1
        )
        parts.append(inner)
    return "".join([*parts, "</svg>"])


def _broken(text: str, most: int = 112) -> Iterator[tuple[int, int]]:
    """Where a text is broken into lines of at most so many letters."""
    begin = 0
    while len(text) - begin > most:
        end = text.rfind(" ", begin, begin + most)
        yield begin, end
        begin = end + 1
    yield begin, len(text)


def kit_hatches() -> str:
    """`<defs>` with the hatches of kits; of one coat no two look alike, up to as many kits as there are hatches."""
    tiles = "".join(
        f'<pattern id="h-k-{number}" width="{TILE}" height="{TILE}" patternUnits="userSpaceOnUse">'
        f'<rect width="{TILE}" height="{TILE}" class="g-k-{number}"/>'
        f'<path d="{PATTERNS[hatch]}" class="i i-k-{number}"/></pattern>'
        for number, hatch in enumerate(HATCHES)
    )
    return f"<defs>{tiles}</defs>"


def _bands(mesh: HullMesh, sheet: Sheet, uses: Sequence[KitUse], *, order: Sequence[int]) -> Iterator[str]:
    for use in uses:
        low, high = stations_at(mesh, use.zone, np.asarray([use.from_share, use.to_share]))
        x, right = sheet.x(float(low)), sheet.x(float(high))
        if use.from_share <= 0.0:
            x = 0.0
        if use.to_share >= 1.0 - 1e-9:
            right = WIDTH_PX
        words = f"kit {use.number}: {use.litres:.2f} L on {use.zone}, coat {use.coat}"
        yield (
            f'<rect class="kit" x="{x:.1f}" y="0" width="{max(right - x, 0.0):.1f}" height="{sheet.height_px:.0f}" '
            f'fill="url(#h-k-{order.index(use.number) % len(HATCHES)})"><title>{escaped(words)}</title></rect>'
        )


def _numbers(mesh: HullMesh, sheet: Sheet, use: KitUse, *, lines: Sequence[Array]) -> Iterator[str]:
    """The kit's number where its band is widest, on each side that the zone is on; `lines`: the zone's outline."""
    low, high = (float(x) for x in stations_at(mesh, use.zone, np.asarray([use.from_share, use.to_share])))
    chosen = np.flatnonzero(mesh.zone_of == mesh.zone_names.index(use.zone))
    flat = mesh.unrolled_m[chosen].mean(axis=1)[:, ::-1]
    areas = mesh.areas_m2[chosen]
    for side in (flat[:, 1] < 0.0, flat[:, 1] > 0.0):
        here = side & (flat[:, 0] >= low) & (flat[:, 0] <= high)
        if float(areas[here].sum()) < 0.1 * float(areas.sum()) * (use.to_share - use.from_share):
            continue
        x, girth = _roomiest(flat[here], lines, (low, high))
        yield f'<text class="name halo" x="{sheet.x(x):.1f}" y="{sheet.y(girth) + 6:.1f}">{use.number}</text>'


def _roomiest(places: Array, lines: Sequence[Array], ends: tuple[float, float]) -> tuple[float, float]:
    """Of some places, shape (place, 2), the one farthest from every edge: of the outline, and of the band's ends."""
    step = max(1, len(places) // MOST_PLACES)
    tried = places[::step]
    room = np.minimum(tried[:, 0] - ends[0], ends[1] - tried[:, 0])
    for line in lines:
        for one, two in zip(line, np.roll(line, -1, axis=0), strict=True):
            room = np.minimum(room, distances(tried, one, two))
    x, girth = tried[int(np.argmax(room))].tolist()
    return x, girth
