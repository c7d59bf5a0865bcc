"""Bodies of requests: JSON as it should be, or 400 and 422 with the problems."""

from __future__ import annotations

import json
from typing import Any, TypeVar

from fastapi import Request
from pydantic import BaseModel, ConfigDict, ValidationError
from starlette.datastructures import FormData, UploadFile

from boottop.base.errors import Problem
from boottop.web.refused import Refused, refused


class Asked(BaseModel):
    """Base of what requests carry: nothing beside the fields, and no guessing at types."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


Model = TypeVar("Model", bound=Asked)


async def json_body(request: Request) -> Any:
    """The body as JSON values; 400 when it is none. Half of a sign, which no file can keep, becomes U+FFFD."""
    raw = await request.body()
    try:
        found = json.loads(raw.decode("utf-8"), parse_constant=_no_number)
        return _whole(found) if b"\\u" in raw else found
    except (ValueError, RecursionError) as error:
        found = "brackets nested too deep" if isinstance(error, RecursionError) else str(error)[:120]
        raise refused(
            400, "request", found=found, allowed="one JSON value, UTF-8", advice="Send JSON (RFC 8259)."
        ) from None


def _whole(found: Any) -> Any:
    """JSON values without lone surrogates: a phone that cuts a text in the middle of an emoji sends one."""
    text = json.dumps(found, ensure_ascii=False)
    return json.loads(text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace"))


def _no_number(name: str) -> None:
    raise ValueError(f"{name}, which JSON does not have")


def model_of(model: type[Model], found: Any) -> Model:
    """The body as a model; 422 with every field that is wrong."""
    try:
        return model.model_validate(found)
    except ValidationError as error:
        raise Refused(422, [_problem(one["loc"], one["msg"]) for one in error.errors(include_url=False)]) from None


def _problem(place: tuple[int | str, ...], message: str) -> Problem:
    return Problem(
        where=".".join(map(str, place))[:120] or "request",
        found="a value that does not fit",
        allowed=message[:200],
        advice="See docs/api.md for what is sent here.",
    )


async def files_of(form: FormData) -> dict[str, bytes]:
    """The files that were sent in the field `files`, by the names that the browser gave them."""
    return {
        one.filename: await one.read() for one in form.getlist("files") if isinstance(one, UploadFile) and one.filename
    }
