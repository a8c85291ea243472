"""One typed table for each kind of record, made from the kind's schema: a field is declared once.

Each row is the merge of the record's entries (`server.compute.fold`), kept up to date by the ledger.
"""

from marshmallow import fields as ma
from sqlalchemy import BigInteger, Boolean, Column, Float, Index, Integer, Table, Text

from server.fields import Quantity
from server.records.kind import Kind
from server.records.kinds import KINDS
from server.store.database import Base
from server.store.tables import JsonValue

# Columns that every record has besides its kind's fields.
#   at_ms: when it happened (the kind's `at` field), corrected if its phone's clock was wrong;
#   complete: all that is needed has arrived;
#   clock_offset_s: how far the sender's clock was behind the server's;
#   clock_doubt_s: how far two estimates of that differ, if too far;
#   heads: {field: entry_id that supplies it}; clashes: fields set by phones that had not seen each other.
INDEXED = ("bag_id", "grinder_id", "coffee_id")


def _column(name: str, field: ma.Field) -> Column:
    if isinstance(field, Quantity):
        sql_type = Integer() if field.whole else Float()
    elif isinstance(field, ma.Boolean):
        sql_type = Boolean()
    elif isinstance(field, ma.Nested | ma.List):
        sql_type = JsonValue
    else:
        sql_type = Text()
    return Column(name, sql_type, index=name in INDEXED)


def _table(kind: Kind) -> Table:
    own = [_column(name, field) for name, field in kind.fields.items() if name != "site_id"]
    table = Table(
        f"record_{kind.name}",
        Base.metadata,
        Column("id", Text, primary_key=True),
        Column("site_id", Text),
        Column("at_ms", BigInteger),
        Column("retracted", Boolean, nullable=False),
        Column("complete", Boolean, nullable=False),
        Column("heads", JsonValue, nullable=False),
        Column("clashes", JsonValue, nullable=False),
        Column("changed_seq", BigInteger, nullable=False),
        Column("clock_offset_s", Float),
        Column("clock_doubt_s", Float),
        *own,
    )
    Index(None, table.c.site_id, table.c.at_ms)
    Index(None, table.c.site_id, table.c.changed_seq)
    return table


TABLES: dict[str, Table] = {name: _table(kind) for name, kind in KINDS.items()}
