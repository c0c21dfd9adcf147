"""What the commands share: the catalog, the store, and how data are printed."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from checkrun import locations

if TYPE_CHECKING:
    from checkrun.route.catalog import Catalog
    from checkrun.session.store import Store


class WrongUse(Exception):
    """The command can't be done as it was called; the text says what to do instead."""


def catalog() -> Catalog:
    """The person's own routes before the shipped ones."""
    from checkrun.route.catalog import Catalog, Folder

    return Catalog(
        [
            Folder(locations.own_routes(), "yours"),
            Folder(locations.shipped("checklists"), "shipped"),
        ],
        locations.cache(),
    )


def store(folder: str | None) -> Store:
    """The store of `--store`, else of `CHECKRUN_STORE`, else the usual one."""
    from checkrun.session.clock import now
    from checkrun.session.store import Store

    place = Path(folder).expanduser() if folder else locations.store()
    if place.exists() and not place.is_dir():
        raise WrongUse(f"{place} is no folder, so no sessions can be kept in it")
    return Store(place, now)


def print_json(data: Any) -> None:
    """Print data for another program to read."""
    plain = "utf" not in (getattr(sys.stdout, "encoding", None) or "").lower()
    print(json.dumps(data, ensure_ascii=plain, indent=2))
