"""The kinds that routes may name are the kinds that can be judged, field by field."""

from __future__ import annotations

import pytest

from checkrun.judge.catalog import KINDS
from checkrun.route.schema_check import READING_KINDS


def test_routes_may_name_just_the_kinds_that_can_be_judged() -> None:
    assert set(READING_KINDS) == set(KINDS)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_route_may_give_a_kind_just_the_fields_its_judgement_knows(kind: str) -> None:
    assert set(READING_KINDS[kind]) == set(KINDS[kind].spec)
