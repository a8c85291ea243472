"""The tables that are not records: the ledger, what it refused, and who may come in."""

from sqlalchemy import JSON, BigInteger, ForeignKey, Index, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from server.store.database import Base

Key = Text  # ids are UUID text
JsonValue = JSON(none_as_null=True)


class StoreState(Base):
    """One row: which database this is, and the last number the ledger gave out."""

    __tablename__ = "store_state"
    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    database_id: Mapped[str] = mapped_column(Key)
    seq: Mapped[int] = mapped_column(BigInteger)


class Entry(Base):
    """The ledger: one change to one record. Only `fields` ever changes again, and only by a redaction.

    `site_id` is the scope (null: shared). `about_ms` and `running` are derived, for snapshots.
    """

    __tablename__ = "entry"
    seq: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    entry_id: Mapped[str] = mapped_column(Key, unique=True)
    kind: Mapped[str] = mapped_column(Text)
    record_id: Mapped[str] = mapped_column(Key, index=True)
    site_id: Mapped[str | None] = mapped_column(Key)
    fields: Mapped[dict] = mapped_column(JsonValue)
    retract: Mapped[bool | None]
    replica_id: Mapped[str] = mapped_column(Key)
    n: Mapped[int] = mapped_column(BigInteger)
    base: Mapped[dict | None] = mapped_column(JsonValue)
    made_at: Mapped[str] = mapped_column(Text)
    protocol: Mapped[int]
    app: Mapped[str | None] = mapped_column(Text)
    phone_id: Mapped[str | None] = mapped_column(Key)
    received_ms: Mapped[int] = mapped_column(BigInteger)
    effective_ms: Mapped[int] = mapped_column(BigInteger)
    clock_doubt_s: Mapped[float | None]
    fingerprint: Mapped[str] = mapped_column(Text)
    about_ms: Mapped[int | None] = mapped_column(BigInteger)
    running: Mapped[bool] = mapped_column(default=True)

    __table_args__ = (
        UniqueConstraint("replica_id", "n"),
        Index(None, "site_id", "seq"),
        Index(None, "received_ms"),
    )


class RefusedEntry(Base):
    """An entry that could not be taken, word for word, with the reason that its sender was given."""

    __tablename__ = "refused_entry"
    entry_id: Mapped[str] = mapped_column(Key, primary_key=True)
    raw: Mapped[dict] = mapped_column(JsonValue)
    reason: Mapped[str] = mapped_column(Text)
    errors: Mapped[dict] = mapped_column(JsonValue)
    fingerprint: Mapped[str] = mapped_column(Text)
    phone_id: Mapped[str | None] = mapped_column(Key)
    site_id: Mapped[str | None] = mapped_column(Key)
    received_ms: Mapped[int] = mapped_column(BigInteger)


class Phone(Base):
    """A device paired to a site, or a script with a token. `site_ids` has every site it was ever paired to, since
    what it saved there may still be on its way."""

    __tablename__ = "phone"
    id: Mapped[str] = mapped_column(Key, primary_key=True)
    name: Mapped[str] = mapped_column(Text)
    site_id: Mapped[str] = mapped_column(Key)
    site_ids: Mapped[list] = mapped_column(JsonValue)
    is_script: Mapped[bool] = mapped_column(default=False)
    token_hash: Mapped[str] = mapped_column(Text, unique=True)
    paired_ms: Mapped[int] = mapped_column(BigInteger)
    last_seen_ms: Mapped[int | None] = mapped_column(BigInteger)
    waiting: Mapped[int | None]
    app: Mapped[str | None] = mapped_column(Text)
    revoked_ms: Mapped[int | None] = mapped_column(BigInteger)


class Pairing(Base):
    """A pairing code that waits to be typed: single use, short-lived; only its hash is kept."""

    __tablename__ = "pairing"
    code_hash: Mapped[str] = mapped_column(Text, primary_key=True)
    site_id: Mapped[str] = mapped_column(Key)
    expires_ms: Mapped[int] = mapped_column(BigInteger)
    used_ms: Mapped[int | None] = mapped_column(BigInteger)


class Manager(Base):
    """Somebody who signs in."""

    __tablename__ = "manager"
    id: Mapped[str] = mapped_column(Key, primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    password_hash: Mapped[str] = mapped_column(Text)


class ManagerSession(Base):
    """A signed-in browser; only the token's hash is kept."""

    __tablename__ = "manager_session"
    token_hash: Mapped[str] = mapped_column(Text, primary_key=True)
    manager_id: Mapped[str] = mapped_column(ForeignKey("manager.id", ondelete="CASCADE"))
    expires_ms: Mapped[int] = mapped_column(BigInteger)


class SetupLink(Base):
    """The one-time link that makes the first manager; only its hash is kept."""

    __tablename__ = "setup_link"
    token_hash: Mapped[str] = mapped_column(Text, primary_key=True)
    expires_ms: Mapped[int] = mapped_column(BigInteger)
