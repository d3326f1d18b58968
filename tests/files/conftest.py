"""What the tests of files share."""

from __future__ import annotations

import pytest
from formula_strategies import CATALOGUE

from adapter.formula.catalogue import Catalogue


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return CATALOGUE
