"""Visits that a job's own log tells, and what one job of a boat hands to the next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boottop.job.state import State
from boottop.record.facts import BareSpot
from boottop.record.film import ZoneFilm
from boottop.record.history import Visit


def visits_of(state: State, films: Sequence[ZoneFilm], *, job: str) -> tuple[Visit, ...]:
    """What a log says of the years: hauled out, washed, coated with the film that went on, launched.

    A wash is told only of a job without coats (wash-only visits). Zones whose antifouling has all its coats count as
    coated at the end of the last; their film is the best estimate of that job.
    """
    return tuple(_visits(state, films, job=job))


def _visits(state: State, films: Sequence[ZoneFilm], *, job: str) -> Iterator[Visit]:
    coated = any(zone.coats for zone in state.zones)
    if state.hauled_s is not None:
        yield Visit(at_s=state.hauled_s, kind="haul_out", job=job)
    if state.washed_s is not None and not coated:
        yield Visit(at_s=state.washed_s, kind="wash", job=job)
    for film in films:
        if film.role == "antifouling":
            yield from _coated(state, film, job)
    if not coated:
        for zone in state.zones:
            if zone.activated_s is not None:
                yield Visit(at_s=zone.activated_s, kind="activation", zone=zone.zone, job=job)
    if state.launched_s is not None:
        yield Visit(at_s=state.launched_s, kind="launch", job=job)


def _coated(state: State, film: ZoneFilm, job: str) -> Iterator[Visit]:
    zone = state.zone(film.zone)
    ends = [one.finished_s for one in zone.coats if one.product == film.product and one.finished_s] if zone else []
    if film.coats_done >= film.coats and ends:
        yield Visit(at_s=max(ends), kind="coated", zone=film.zone, note=film.product, job=job)
    if film.estimate is not None and (ends or film.dry_read is not None):
        at_s = max(ends) if ends else state.latest_s
        if at_s is not None:
            yield Visit(
                at_s=at_s,
                kind="film",
                zone=film.zone,
                film_um=round(film.estimate.dry_um, 1),
                film_sd_um=round(film.estimate.sd_um, 1),
                note=film.estimate.words,
                job=job,
            )


def same_boat(one: str, other: str) -> bool:
    """Whether two names are of one boat: letters and digits alike, case and marks set aside.

    >>> same_boat("Marsh Wren", "marsh-wren")
    True
    """
    return _bare_name(one) == _bare_name(other) != ""


def _bare_name(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())


def advice_for_next(spots: Sequence[BareSpot]) -> tuple[str, ...]:
    """What the bare spots of last time mean for the next plan, in sentences."""
    found = [f"{one.zone}: {one.words}. Coat it first, and rest the boat elsewhere." for one in spots
             if one.kind in ("pads", "blocks", "slings", "other")]  # fmt: skip
    return tuple(dict.fromkeys(found))
