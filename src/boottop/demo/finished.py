"""The demonstration as if it were finished: an INVENTED log made from its plan, so that a record can be looked at."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from random import Random
from uuid import NAMESPACE_URL, uuid5

from boottop.climate.moist import relative_humidity
from boottop.demo.finished_facts import PHOTO_TITLES, demo_facts, demo_film, demo_visits
from boottop.job.board import BoardSystem, BoardTable, BoardTask
from boottop.job.events import Event, Json

CREW = ("Ines (invented)", "Tom (invented)")
COATS = ("coat", "barrier_coat", "primer_coat")
STEPS: Mapping[str, str] = {
    "strip": "stripped", "abrade": "abraded", "mask": "masked", "wipe": "wiped", "activate": "activated",
}  # fmt: skip
MORE: Mapping[str, dict[str, Json]] = {
    "abraded": {"grit": 100}, "wiped": {"cleaner": "isopropanol"}, "activated": {"grit": 320},
}  # fmt: skip
COMB_UM = (75.0, 100.0, 125.0, 150.0, 175.0)

__all__ = ["demo_events", "demo_facts", "demo_film", "demo_photo", "demo_visits"]


@dataclass(kw_only=True)
class _Log:
    """A log in the making. Every draw comes from one seed: the same plan gives the same log."""

    table: BoardTable
    job: str
    events: list[Event] = field(default_factory=list)
    draw: Random = field(default_factory=lambda: Random(6))

    def add(self, kind: str, at_s: int, *, zone: str | None = None, who: int = 0, data: dict[str, Json]) -> str:
        """One more event, and its id."""
        number = len(self.events)
        when = datetime.fromtimestamp(at_s, tz=UTC)
        event = Event(
            id=str(uuid5(NAMESPACE_URL, f"boottop demonstration {self.job} {number}")),
            kind=kind,
            happened=when,
            recorded=when,
            device="demonstration",
            order=number,
            who=CREW[who % 2],
            zone=zone,
            data=data,
        )
        self.events.append(event)
        return event.id

    def system(self, task: BoardTask) -> BoardSystem | None:
        """The coating of a task, by its role."""
        role = {"coat": "antifouling", "barrier_coat": "barrier", "primer_coat": "primer"}[task.kind]
        systems = [one for zone in self.table.zones if zone.name == task.zone for one in zone.systems]
        return next((one for one in systems if one.role == role), None)


def demo_events(table: BoardTable, *, job: str, photos: Sequence[tuple[str, int]]) -> list[Event]:
    """A log as the plan of the demonstration would have it, with a few things gone wrong in it on purpose.

    `photos`: SHA-256 and bytes of the demonstration's photographs, in the order of PHOTO_TITLES.
    """
    log = _Log(table=table, job=job)
    text = "INVENTED LOG: made from the plan of the demonstration to show what a record looks like."
    tasks = sorted(table.tasks, key=lambda task: (task.start_s, task.key))
    log.add("note", tasks[0].start_s, data={"text": text})
    for number, task in enumerate(tasks):
        _DO.get(task.kind, _nothing)(log, task, number)
    for began_s, ended_s in _rains(table, tasks[0].start_s, tasks[-1].end_s):
        log.add("rain", began_s, data={"what": "began"})
        log.add("rain", ended_s, data={"what": "ended"})
    coats = [task for task in tasks if task.kind == "coat"]
    for (digest, size), title, task in zip(photos, PHOTO_TITLES, (tasks[0], *coats[::5], *coats[-2:]), strict=False):
        log.add("photo", task.end_s - 300, zone=task.zone, data={"sha256": digest, "name": title, "bytes": size})
    bare = "bare: forward sling, 0.20 x 0.35 m, 2.6 m aft of the stem, 0.9 m below the waterline"
    log.add("note", tasks[-1].end_s - 900, zone="port side", data={"text": bare})
    wrong = log.add("note", tasks[1].end_s, data={"text": "Wrong boat, meant for the next cradle."})
    log.add("correction", tasks[1].end_s + 120, data={"corrects": wrong, "strike": "yes"})
    return sorted(log.events, key=lambda event: (event.happened, event.order))


def _nothing(_log: _Log, _task: BoardTask, _number: int) -> None:
    """Tasks that leave no event: drying, the owner's own jobs."""


def _boat(kind: str) -> Callable[[_Log, BoardTask, int], None]:
    def write(log: _Log, task: BoardTask, number: int) -> None:
        log.add(kind, task.end_s, who=number, data={"stand_set": 1} if kind == "stands_moved" else {})

    return write


def _step(log: _Log, task: BoardTask, number: int) -> None:
    kind = STEPS[task.kind]
    log.add(kind, task.end_s, zone=task.zone, who=number, data=dict(MORE.get(kind, {})))


def _coat(log: _Log, task: BoardTask, number: int) -> None:
    system, coat = log.system(task), task.coat or 1
    if system is None:
        return
    _read_air(log, task, system)
    litres = round(system.litres_per_coat * log.draw.uniform(0.93, 1.08), 2)
    minutes, forgotten = int(log.draw.uniform(4, 9)), (task.zone, coat) == ("port side", 2)
    lots: dict[str, Json] = {} if forgotten else {"resin (A)": "A-2207", "hardener (B)": "B-2114"}
    if system.role == "antifouling" and not forgotten:
        lots["copper powder"] = "CU-0931"
    mixed: dict[str, Json] = {"product": system.product, "litres": round(litres + 0.06, 2), "batch_c": 18.0}
    batch = log.add(
        "batch_mixed", task.start_s - 60 * minutes, who=number, data=mixed | ({"lots": lots} if lots else {})
    )
    done: dict[str, Json] = {"product": system.product, "coat": coat, "people": 2 if "side" in (task.zone or "") else 1}
    log.add("coat_started", task.start_s, zone=task.zone, who=number, data=done)
    log.add("batch_done", min(task.end_s, task.start_s + 2400), who=number, data={"batch": batch, "thrown_l": 0.06})
    for at in (0.3, 0.6, 0.8):
        wet = 75.0 if (task.zone, coat) == ("starboard side", 3) else log.draw.choice(COMB_UM[1:3])
        at_s = int(task.start_s + at * (task.end_s - task.start_s))
        log.add("reading", at_s, zone=task.zone, who=number + 1, data={"wet_film_um": wet})
    log.add("coat_finished", task.end_s, zone=task.zone, who=number, data=done | {"litres": litres})
    if system.role == "antifouling" and coat < system.coats:
        test: dict[str, Json] = {"product": system.product, "coat": coat}
        log.add("touch_test", task.end_s + 2400, zone=task.zone, who=number, data=test | {"verdict": "wet"})
        log.add("touch_test", task.end_s + 4500, zone=task.zone, who=number, data=test | {"verdict": "tacky"})


def _read_air(log: _Log, task: BoardTask, system: BoardSystem) -> None:
    """Air, humidity and surface before a coat, as the windows have them and a thermometer would see them."""
    slot = (task.start_s - log.table.start_s) // log.table.slot_s
    surface_c = system.surface_c[slot] + log.draw.uniform(-0.4, 0.4)
    margin_k = system.margin_k[slot] + log.draw.uniform(-0.3, 0.3)
    if (task.zone, task.coat) == ("starboard side", 1):
        _read_once(log, task, task.start_s - 1500, surface_c=surface_c, margin_k=2.6)
    _read_once(log, task, task.start_s - 600, surface_c=surface_c, margin_k=margin_k)


def _read_once(log: _Log, task: BoardTask, at_s: int, *, surface_c: float, margin_k: float) -> None:
    air_c = surface_c + 0.6
    humidity = float(relative_humidity(air_c, surface_c - margin_k))
    log.add(
        "reading",
        at_s,
        zone=task.zone,
        data={"air_c": round(air_c, 1), "humidity": round(min(humidity, 1.0), 2), "surface_c": round(surface_c, 1)},
    )


_DO: Mapping[str, Callable[[_Log, BoardTask, int], None]] = {
    "haul_out": _boat("hauled_out"),
    "wash": _boat("washed"),
    "move_stands": _boat("stands_moved"),
    "launch": _boat("launched"),
    **dict.fromkeys(STEPS, _step),
    **dict.fromkeys(COATS, _coat),
}


def _rains(table: BoardTable, first_s: int, last_s: int) -> Iterator[tuple[int, int]]:
    """Spells of rain of the weather file between two times; gaps of two hours belong to one spell."""
    wet = [table.start_s + slot * table.slot_s for slot, mm in enumerate(table.rain_mm) if mm > 0.0]
    wet = [at_s for at_s in wet if first_s <= at_s < last_s]
    spell: list[int] = []
    for at_s in wet:
        if spell and at_s - spell[-1] > 7200:
            yield spell[0], spell[-1] + table.slot_s
            spell = []
        spell.append(at_s)
    if spell:
        yield spell[0], spell[-1] + table.slot_s


def demo_photo(title: str, *, camera: str = "") -> bytes:
    """A drawn picture that says that it is invented; `camera`: the time that its EXIF data claim."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (800, 600), "#5f7f8c")
    pen = ImageDraw.Draw(image)
    pen.polygon([(60, 300), (740, 250), (700, 420), (160, 440)], fill="#7a3512")
    pen.rectangle((380, 430, 470, 560), fill="#5a2a10")
    for left in (180, 330, 560):
        pen.line([(left, 440), (left - 30, 590)], fill="#d9d2bd", width=12)
    pen.rectangle((0, 0, 800, 96), fill="#14232b")
    pen.text((24, 14), "INVENTED PICTURE", fill="white", font_size=34)
    pen.text((24, 58), title, fill="white", font_size=22)
    exif = Image.Exif()
    if camera:
        exif.get_ifd(0x8769)[0x9003] = camera
    out = io.BytesIO()
    image.save(out, "JPEG", quality=85, exif=exif)
    return out.getvalue()
