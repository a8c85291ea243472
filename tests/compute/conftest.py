"""How the property tests of the computations run."""

from hypothesis import settings

# A busy machine is no counterexample: time limits on single examples fail without anything being wrong.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
