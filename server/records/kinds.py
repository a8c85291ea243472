"""All kinds of record, by name and by the plural that endpoints use."""

from server.records import bags, places, shift, shots, waters
from server.records.kind import Kind

KINDS: dict[str, Kind] = {kind.name: kind for module in (places, shots, bags, waters, shift) for kind in module.KINDS}
BY_PLURAL: dict[str, Kind] = {kind.plural: kind for kind in KINDS.values()}
