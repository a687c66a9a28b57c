import importlib
import warnings

import pytest


@pytest.fixture(scope="session")
def colour_science():
    """The colour-science package, an oracle of its own; it warns on import that it misses matplotlib."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module("colour")
