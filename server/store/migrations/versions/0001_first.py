"""The ledger, the records and who may come in."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# The columns of each kind's table as they were on the first day, by type. Later migrations add theirs.
RECORDS = {
    "site": {"text": "name time_zone day_starts_at currency", "real": "altitude_m", "whole": "tests_due_days"},
    "person": {"text": "name"},
    "coffee": {"text": "name roaster", "real": "rest_days best_until_days open_days"},
    "grinder": {"text": "name finer", "real": "step seconds_per_step"},
    "machine": {"text": "name drive", "real": "group_temp_c steam_gauge_bar", "json": "maker_limits"},
    "recipe": {
        "text": "name coffee_id method replaces",
        "real": (
            "dose_g dose_g_tol yield_g yield_g_tol time_s time_s_tol water_temp_c water_temp_c_tol "
            "pressure_bar pressure_bar_tol preinfusion_s preinfusion_s_tol basket_g"
        ),
    },
    "refractometer": {"text": "name", "real": "brix_factor u_reading_pct"},
    "shot": {
        "text": (
            "pulled_at method bag_id mixed_with recipe_id grinder_id machine_id group person_id "
            "refractometer_id yield_of purpose fate fault note"
        ),
        "real": (
            "dose_g yield_g time_s first_drop_s setting water_temp_c pressure_bar strength_pct brix_pct sample_temp_c"
        ),
        "whole": "cups",
        "json": "taste assumed",
    },
    "grind_change": {"text": "grinder_id at", "real": "setting purge_g"},
    "grinder_event": {"text": "grinder_id at what"},
    "tally": {"text": "from to source note", "real": "litres", "whole": "shots drinks"},
    "bag": {"text": "coffee_id roasted_on batch parent_bag_id", "real": "mass_g"},
    "bag_event": {"text": "bag_id at what to_site_id into_bag_id note", "real": "temp_c mass_g"},
    "bag_price": {"text": "bag_id currency", "real": "price"},
    "water": {
        "text": "sampled_at source note",
        "real": (
            "calcium_mg_l magnesium_mg_l sodium_mg_l potassium_mg_l bicarbonate_mg_l chloride_mg_l "
            "sulphate_mg_l ph conductivity_us_cm dry_residue_mg_l free_chlorine_mg_l temp_c"
        ),
        "json": "hardness alkalinity",
    },
    "cartridge": {"text": "fitted_at name", "real": "capacity_l capacity_g_caco3 bypass_share"},
    "milk_jug": {
        "text": "at person_id milk purpose texture note",
        "real": "milk_g start_c end_c final_g poured_away_g",
    },
    "fridge_check": {"text": "at fridge person_id note", "real": "temp_c"},
    "care_task": {
        "text": "name machine_id grinder_id steps caution",
        "real": "every_days every_shots every_kg every_litres",
    },
    "care_done": {"text": "at care_task_id person_id note"},
    "handover": {"text": "at person_id composed words read_at read_by"},
    "tasting": {"text": "at test person_id about", "whole": "right of"},
    "drink": {"text": "name milk", "real": "shots milk_g", "json": "allergens"},
    "event": {"text": "at what note", "real": "demand_factor"},
}
INDEXED = ("bag_id", "grinder_id", "coffee_id")


def json_type():
    return sa.JSON(none_as_null=True)


TYPES = {"text": sa.Text, "real": sa.Float, "whole": sa.Integer, "flag": sa.Boolean, "json": json_type}


def upgrade():
    _state_and_ledger()
    _access()
    for name, columns in RECORDS.items():
        _record_table(f"record_{name}", columns)


def downgrade():
    raise RuntimeError("the store only goes forward: restore a backup instead")


def text(name, **kwargs):
    return sa.Column(name, sa.Text(), **{"nullable": False, **kwargs})


def big(name, **kwargs):
    return sa.Column(name, sa.BigInteger(), **{"nullable": False, **kwargs})


def _state_and_ledger():
    op.create_table(
        "store_state",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        text("database_id"),
        big("seq"),
        sa.PrimaryKeyConstraint("id", name="pk_store_state"),
    )
    op.create_table(
        "entry",
        big("seq", autoincrement=False),
        text("entry_id"),
        text("kind"),
        text("record_id"),
        text("site_id", nullable=True),
        sa.Column("fields", json_type(), nullable=False),
        sa.Column("retract", sa.Boolean()),
        text("replica_id"),
        big("n"),
        sa.Column("base", json_type()),
        text("made_at"),
        sa.Column("protocol", sa.Integer(), nullable=False),
        text("app", nullable=True),
        text("phone_id", nullable=True),
        big("received_ms"),
        big("effective_ms"),
        sa.Column("clock_doubt_s", sa.Double()),
        text("fingerprint"),
        big("about_ms", nullable=True),
        sa.Column("running", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name="pk_entry"),
        sa.UniqueConstraint("entry_id", name="uq_entry_entry_id"),
        sa.UniqueConstraint("replica_id", "n", name="uq_entry_replica_id_n"),
    )
    op.create_index("ix_entry_received_ms", "entry", ["received_ms"])
    op.create_index("ix_entry_record_id", "entry", ["record_id"])
    op.create_index("ix_entry_site_id_seq", "entry", ["site_id", "seq"])
    op.create_table(
        "refused_entry",
        text("entry_id"),
        sa.Column("raw", json_type(), nullable=False),
        text("reason"),
        sa.Column("errors", json_type(), nullable=False),
        text("fingerprint"),
        text("phone_id", nullable=True),
        text("site_id", nullable=True),
        big("received_ms"),
        sa.PrimaryKeyConstraint("entry_id", name="pk_refused_entry"),
    )


def _access():
    op.create_table(
        "phone",
        text("id"),
        text("name"),
        text("site_id"),
        sa.Column("site_ids", json_type(), nullable=False),
        sa.Column("is_script", sa.Boolean(), nullable=False),
        text("token_hash"),
        big("paired_ms"),
        big("last_seen_ms", nullable=True),
        sa.Column("waiting", sa.Integer()),
        text("app", nullable=True),
        big("revoked_ms", nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_phone"),
        sa.UniqueConstraint("token_hash", name="uq_phone_token_hash"),
    )
    op.create_table(
        "pairing",
        text("code_hash"),
        text("site_id"),
        big("expires_ms"),
        big("used_ms", nullable=True),
        sa.PrimaryKeyConstraint("code_hash", name="pk_pairing"),
    )
    op.create_table(
        "manager",
        text("id"),
        text("name"),
        text("password_hash"),
        sa.PrimaryKeyConstraint("id", name="pk_manager"),
        sa.UniqueConstraint("name", name="uq_manager_name"),
    )
    op.create_table(
        "manager_session",
        text("token_hash"),
        text("manager_id"),
        big("expires_ms"),
        sa.ForeignKeyConstraint(["manager_id"], ["manager.id"], "fk_manager_session_manager_id", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("token_hash", name="pk_manager_session"),
    )
    op.create_table(
        "setup_link", text("token_hash"), big("expires_ms"), sa.PrimaryKeyConstraint("token_hash", name="pk_setup_link")
    )


def _record_table(name, columns):
    own = [sa.Column(field, TYPES[word]()) for word, fields in columns.items() for field in fields.split()]
    op.create_table(
        name,
        text("id"),
        text("site_id", nullable=True),
        big("at_ms", nullable=True),
        sa.Column("retracted", sa.Boolean(), nullable=False),
        sa.Column("complete", sa.Boolean(), nullable=False),
        sa.Column("heads", json_type(), nullable=False),
        sa.Column("clashes", json_type(), nullable=False),
        big("changed_seq"),
        sa.Column("clock_offset_s", sa.Float()),
        sa.Column("clock_doubt_s", sa.Float()),
        *own,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
    )
    op.create_index(f"ix_{name}_site_id_at_ms", name, ["site_id", "at_ms"])
    op.create_index(f"ix_{name}_site_id_changed_seq", name, ["site_id", "changed_seq"])
    for field in INDEXED:
        if any(field in fields.split() for fields in columns.values()):
            op.create_index(f"ix_{name}_{field}", name, [field])
