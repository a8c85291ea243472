"""Ids against the standard's own example."""

import uuid

from hypothesis import given
from hypothesis import strategies as st

from server.ids import uuid7, uuid8


def test_the_example_of_rfc_9562_appendix_a_6():
    """RFC 9562 (May 2024), appendix A.6: 2022-02-22T14:22:22-05:00, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F."""
    random_bits = 0xCC3 << 62 | 0x18C4DC0C0C07398F

    assert uuid7(1645557742000, random_bits) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


@given(st.integers(0, 2**48 - 1), st.integers(0, 2**74 - 1))
def test_version_variant_and_time_are_where_the_standard_library_reads_them(unix_ms, random_bits):
    made = uuid.UUID(uuid7(unix_ms, random_bits))

    assert (made.version, made.variant, made.int >> 80) == (7, uuid.RFC_4122, unix_ms)


def test_a_derived_id_is_version_8_and_follows_from_its_words_alone():
    made = uuid.UUID(uuid8("row", "18.0"))

    assert (made.version, made.variant) == (8, uuid.RFC_4122)
    assert str(made) == uuid8("row", "18.0") != uuid8("row18.0")
