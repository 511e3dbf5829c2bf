"""Instants: aware datetimes, or microseconds since 1970-01-01 UTC."""

from __future__ import annotations

from datetime import datetime
from typing import Union

from . import _blondel

Instant = Union[datetime, int]


def instant(value: Instant | str) -> int:
    """Microseconds since 1970-01-01 UTC of an aware datetime, an RFC 3339 text, or an int as it is.
    A datetime without a time zone names no instant and is refused."""
    return _blondel.instant_parse(value) if isinstance(value, str) else _blondel.instant_of(value)


def instant_text(value: Instant) -> str:
    """RFC 3339 in UTC."""
    return _blondel.instant_text(value)


def to_datetime(value: int) -> datetime | int | None:
    """Aware datetime in UTC of a number of microseconds; None for the ends of time, the
    number itself where datetime cannot hold it."""
    return _blondel.datetime_of(value)
