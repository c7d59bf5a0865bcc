"""The services by name: what each gives, where, and how it is credited. Dispatched on once, in `fetch`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from boottop.base.errors import InputError, Problem
from boottop.climate.weather import Site
from boottop.services import metno, nws, openmeteo, smhi
from boottop.services.http import Client, Reply
from boottop.services.steps import Issue

Kind = Literal["forecast", "ensemble", "recent", "archive"]
Days = tuple[datetime, datetime]
FREE_USE = "free of charge for non-commercial use"


@dataclass(frozen=True, kw_only=True)
class Service:
    """`ask` takes the days wanted, which only an archive heeds. `attribution` is shown wherever its weather is."""

    name: str
    title: str
    kind: Kind
    reach: str
    attribution: str
    covers: Callable[[Site], bool]
    ask: Callable[[Client, Site, Days, datetime], Reply[Issue]]


def _anywhere(site: Site) -> bool:
    return abs(site.latitude_deg) <= 90


# Public services of governments first; within a kind the order is the order in which they are tried.
SERVICES: dict[str, Service] = {
    service.name: service
    for service in (
        Service(
            name=nws.NAME,
            title=nws.TITLE,
            kind="forecast",
            reach="7 days, United States",
            attribution="Data: US National Weather Service, public domain",
            covers=nws.covers,
            ask=lambda client, site, _days, now: nws.ask(client, site, now=now),
        ),
        Service(
            name=metno.NAME,
            title=metno.TITLE,
            kind="forecast",
            reach="9 days, anywhere",
            attribution="Data: MET Norway, CC BY 4.0, modified",
            covers=_anywhere,
            ask=lambda client, site, _days, now: metno.ask(client, site, now=now),
        ),
        Service(
            name=smhi.NAME,
            title=smhi.TITLE,
            kind="forecast",
            reach="10 days, Nordic and Baltic coasts",
            attribution="Data: SMHI, CC BY 4.0, modified",
            covers=smhi.covers,
            ask=lambda client, site, _days, now: smhi.ask(client, site, now=now),
        ),
        Service(
            name="openmeteo",
            title=openmeteo.TITLE,
            kind="forecast",
            reach="16 days, anywhere",
            attribution=f"Data: Open-Meteo.com, CC BY 4.0, modified; {FREE_USE}",
            covers=_anywhere,
            ask=lambda client, site, _days, now: openmeteo.ask_forecast(client, site, now=now),
        ),
        Service(
            name="openmeteo-ensemble",
            title=f"{openmeteo.TITLE} ensemble",
            kind="ensemble",
            reach="31 members, 35 days, anywhere",
            attribution=f"Data: NOAA GFS ensemble by Open-Meteo.com, CC BY 4.0, modified; {FREE_USE}",
            covers=_anywhere,
            ask=lambda client, site, _days, now: openmeteo.ask_ensemble(client, site, now=now),
        ),
        Service(
            name="openmeteo-recent",
            title=f"{openmeteo.TITLE}, last weeks",
            kind="recent",
            reach="the last 31 days, anywhere",
            attribution=f"Data: Open-Meteo.com, CC BY 4.0, modified; {FREE_USE}",
            covers=_anywhere,
            ask=lambda client, site, _days, now: openmeteo.ask_recent(client, site, now=now),
        ),
        Service(
            name="openmeteo-archive",
            title=f"{openmeteo.TITLE} archive",
            kind="archive",
            reach="since 1940 until six days ago, anywhere",
            attribution="Data: Copernicus Climate Change Service (ERA5) by Open-Meteo.com, CC BY 4.0, modified; "
            f"{FREE_USE}",
            covers=_anywhere,
            ask=lambda client, site, days, now: openmeteo.ask_archive(client, site, days, now=now),
        ),
    )
}


def candidates(site: Site, kind: Kind, name: str | None) -> tuple[Service, ...]:
    """The services of a kind that cover the place, in the order to try; or the one named, which must be of the kind."""
    if name is None:
        return tuple(service for service in SERVICES.values() if service.kind == kind and service.covers(site))
    service = SERVICES.get(name)
    fitting = [known.name for known in SERVICES.values() if known.kind == kind]
    if service is None or service.kind != kind:
        found = name if service is None else f"{name}, which gives {service.kind}"
        raise InputError(
            Problem(
                where=f"weather service for {kind}",
                found=found,
                allowed=", ".join(fitting),
                advice="Choose one of these, or leave the choice to boottop.",
            )
        )
    if not service.covers(site):
        raise InputError(
            Problem(
                where=f"weather service {name}",
                found=f"a yard at {site.latitude_deg:.2f}, {site.longitude_deg:.2f}",
                allowed=service.reach,
                advice="Leave the choice of service to boottop, or correct the yard's coordinates.",
            )
        )
    return (service,)
