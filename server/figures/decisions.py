"""What somebody has to decide, most urgent first. Each says what, where, by how much, by when, and where to look.

Words are the screen's: an item names what it is about and gives the figures behind it. No person is ever named.
"""

from server.figures import bench_decisions as bench
from server.figures import shelf_decisions as shelf
from server.figures.picture import Picture

SOURCES = (
    shelf.past_window,
    shelf.nothing_in_window,
    shelf.open_a_bag,
    shelf.leaving_window,
    bench.look_at_grinder,
    bench.water_outside,
    bench.water_test_due,
    bench.phone_silent,
    bench.refused_entries,
)


def decisions(picture: Picture) -> list[dict]:
    """All that stands to be decided: what is over first, then by the day it has to be done by."""
    found = [item for source in SOURCES for item in source(picture)]
    return sorted(found, key=lambda item: (not item["over"], item["by"] or "", item["where"] or "", item["what"]))
