"""Marshmallow fields that every schema of ours shares: what a number, an instant, a date and an id look like
when they arrive, and what the sender reads when they don't."""

import datetime as dt
import math
import re
import uuid

from marshmallow import ValidationError, fields


class Quantity(fields.Field):
    """A JSON number within a stated range, in the unit that the field's name carries.

    A string, a boolean, NaN or an infinity is refused rather than read leniently: a figure that was
    misread is worse than one that was asked for again. A form turns "18,5" into 18.5 before it sends.
    """

    def __init__(self, low: float, high: float, unit: str, *, whole: bool = False, above_low: bool = False, **kwargs):
        edge = "above" if above_low else "at least"
        kwargs.setdefault("metadata", {})
        kwargs["metadata"] = {
            "type": "integer" if whole else "number",
            ("exclusiveMinimum" if above_low else "minimum"): low,
            "maximum": high,
            **kwargs["metadata"],
        }
        super().__init__(**kwargs)
        self.low, self.high, self.unit, self.whole, self.above_low = low, high, unit, whole, above_low
        self.wanted = f"a number {edge} {low:g} and at most {high:g} {unit}".rstrip()

    def _deserialize(self, value, attr, data, **kwargs):
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValidationError(f"must be {self.wanted}, written as a JSON number such as 18.5")
        if isinstance(value, float) and not math.isfinite(value):
            raise ValidationError(f"must be {self.wanted}; NaN and Infinity are not figures")
        if value < self.low or value > self.high or (self.above_low and value == self.low):
            raise ValidationError(f"{value:g} is outside what can be: enter {self.wanted}")
        if self.whole:
            if value != int(value):
                raise ValidationError("must be a whole number")
            return int(value)
        return float(value)

    def _serialize(self, value, attr, obj, **kwargs):
        return value


INSTANT = re.compile(r"\d{4}-\d{2}-\d{2}[Tt]\d{2}:\d{2}:\d{2}(\.\d{1,9})?([Zz]|[+-]\d{2}:\d{2})", re.ASCII)


def parse_instant(text: object) -> dt.datetime:
    """Read an RFC 3339 time; raise ValueError for anything else, a missing offset included.

    >>> parse_instant("1996-12-19T16:39:57-08:00").astimezone(dt.UTC).isoformat()
    '1996-12-20T00:39:57+00:00'
    """
    if not isinstance(text, str) or not INSTANT.fullmatch(text):
        raise ValueError("not an RFC 3339 time with an offset")
    value = dt.datetime.fromisoformat(text.upper())
    value.astimezone(dt.UTC)  # an instant outside the calendar's years can't be stored: OverflowError
    return value


class Instant(fields.Field):
    """An RFC 3339 time with its offset; kept as the text that arrived, so that nothing is rounded."""

    def __init__(self, **kwargs):
        kwargs.setdefault("metadata", {})
        kwargs["metadata"] = {"type": "string", "format": "date-time", **kwargs["metadata"]}
        super().__init__(**kwargs)

    def _deserialize(self, value, attr, data, **kwargs):
        try:
            parse_instant(value)
        except (ValueError, OverflowError) as wrong:
            raise ValidationError(
                "must be a time with its offset from UTC, such as 2026-03-01T08:15:00+01:00"
            ) from wrong
        return value

    def _serialize(self, value, attr, obj, **kwargs):
        return value


class LocalDate(fields.Field):
    """A calendar date, YYYY-MM-DD: no zone, no time of day. Kept as text."""

    def __init__(self, **kwargs):
        kwargs.setdefault("metadata", {})
        kwargs["metadata"] = {"type": "string", "format": "date", **kwargs["metadata"]}
        super().__init__(**kwargs)

    def _deserialize(self, value, attr, data, **kwargs):
        try:
            if not isinstance(value, str) or not re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII):
                raise ValueError
            dt.date.fromisoformat(value)
        except ValueError as wrong:
            raise ValidationError("must be a date written YYYY-MM-DD, such as 2026-03-01") from wrong
        return value

    def _serialize(self, value, attr, obj, **kwargs):
        return value


UUID_7_OR_8 = "^[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"


class Id(fields.Field):
    """A UUID of version 7 (or 8, where an import derived it), in lower case (RFC 9562)."""

    def __init__(self, **kwargs):
        kwargs.setdefault("metadata", {})
        kwargs["metadata"] = {"type": "string", "format": "uuid", "pattern": UUID_7_OR_8, **kwargs["metadata"]}
        super().__init__(**kwargs)

    def _deserialize(self, value, attr, data, **kwargs):
        try:
            if not isinstance(value, str) or len(value) != 36:
                raise ValueError
            parsed = uuid.UUID(value)
            if parsed.version not in (7, 8) or parsed.variant != uuid.RFC_4122:
                raise ValueError
        except ValueError as wrong:
            raise ValidationError(
                "must be a UUID of version 7, such as 017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
            ) from wrong
        return str(parsed)

    def _serialize(self, value, attr, obj, **kwargs):
        return value


class Text(fields.String):
    """Words that people typed: trimmed, not empty, without control characters, up to `longest` characters."""

    def __init__(self, longest: int = 200, **kwargs):
        kwargs["metadata"] = {"minLength": 1, "maxLength": longest, **kwargs.get("metadata", {})}
        super().__init__(**kwargs)
        self.longest = longest

    def _deserialize(self, value, attr, data, **kwargs):
        text = super()._deserialize(value, attr, data, **kwargs).strip()
        if not text:
            raise ValidationError("must not be empty: leave the field out instead")
        if len(text) > self.longest:
            raise ValidationError(f"is {len(text)} characters long: shorten it to {self.longest}")
        if any((ord(c) < 32 and c not in "\n\t") or 0xD800 <= ord(c) < 0xE000 for c in text):
            raise ValidationError("holds a control character: type it again without it")
        return text


def flat(messages: dict, prefix: str = "") -> dict[str, list[str]]:
    """Nested validation messages as one level, `taste.acidity` for a field inside a field.

    >>> flat({"taste": {"acidity": ["no"]}, "dose_g": ["no"]})
    {'taste.acidity': ['no'], 'dose_g': ['no']}
    """
    found = {}
    for name, texts in messages.items():
        if isinstance(texts, dict):
            found.update(flat(texts, f"{prefix}{name}."))
        else:
            found[f"{prefix}{name}"] = [str(text) for text in (texts if isinstance(texts, list) else [texts])]
    return found
