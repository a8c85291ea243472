"""PHREEQC, to hold the water computations against."""

import pytest


@pytest.fixture(scope="session")
def phreeqc():
    """PHREEQC by the package phreeqpython, with the database phreeqc.dat of the US Geological Survey."""
    phreeqpython = pytest.importorskip("phreeqpython")
    return phreeqpython.PhreeqPython(database="phreeqc.dat")
