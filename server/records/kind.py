"""A kind of record: its name, its schema, who it belongs to and when it happened."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from marshmallow import RAISE, Schema, fields, validate

from server.fields import Instant, Quantity


class Scope(StrEnum):
    """Who a record travels to."""

    SITE = "site"  # a fact of one site, for good: only that site's phones hold it
    SHARED = "shared"  # a thing of the owner's: every phone holds it
    MANAGER = "manager"  # prices: only a manager's session reads it


class RecordSchema(Schema):
    """Refuses unknown fields by name; `partial=True` turns it into the schema of an edit."""

    class Meta:
        unknown = RAISE


@dataclass(frozen=True)
class Kind:
    """One kind of record."""

    name: str
    plural: str
    schema: type[RecordSchema]
    scope: Scope
    at: str | None = None  # the field that says when it happened: filters, charts and snapshots go by it
    lasting: bool = False  # a phone keeps it however old it is, not just for the last weeks
    fixed: bool = False  # never edited: a changed one is a new one that names what it replaces

    @property
    def fields(self) -> dict[str, fields.Field]:
        """The declared fields by the name they travel under, in the order in which the schema lists them."""
        return {field.data_key or name: field for name, field in self.schema._declared_fields.items()}

    def reader(self, partial: bool) -> RecordSchema:
        """The schema, ready to read with; `partial` for an edit."""
        return _reader(self.schema, partial)


@cache  # making a schema costs ten times as much as reading a record with it
def _reader(schema: type[RecordSchema], partial: bool) -> RecordSchema:
    return schema(partial=partial)


class Whole(fields.Nested):
    """Values that only make sense together: an edit replaces all of them or none, so no merge ever
    builds a combination that nobody chose."""

    def _load(self, value, partial=None):
        return super()._load(value, partial=False)


def choice(*words: str, **kwargs) -> fields.String:
    """One of a few words."""
    message = "must be one of: " + ", ".join(words)
    return fields.String(validate=validate.OneOf(words, error=message), **kwargs)


def grams(high: float, **kwargs) -> Quantity:
    return Quantity(0, high, "g", above_low=True, **kwargs)


def amount(high: float, unit: str, **kwargs) -> Quantity:
    """A number from nought up to `high`, both allowed."""
    return Quantity(0, high, unit, **kwargs)


def happened(**kwargs) -> Instant:
    return Instant(required=True, **kwargs)
