"""Commands for authors: `differ` and `new-year`."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from checkrun import locations
from checkrun.commands import Arguments
from checkrun.commands.context import WrongUse, catalog, print_json
from checkrun.route.catalog import Catalog, RouteNotFound

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def differ(args: Arguments) -> int:
    """Show what differs between two model years of a route, in walking order."""
    from checkrun.report.differ import as_data, as_text
    from checkrun.route.differ import differ as difference

    there = catalog()
    found = difference(there, args.route, args.year, args.other)
    for broken in there.broken(on=there.find(args.route).id):
        print(
            f"checkrun: {broken} can't be walked and was left out; see: checkrun lint {broken}",
            file=sys.stderr,
        )
    if args.json:
        print_json(as_data(found, args.route, args.year, args.other))
    else:
        print(as_text(found, args.year, args.other))
    return 0


def new_year(args: Arguments) -> int:
    """Write a layer for one more model year, ready to edit; an existing file is never touched."""
    from checkrun.report.guide import schema_text
    from checkrun.route.newyear import layer_text, nearest_layer
    from checkrun.session.routefile import put_schema_beside

    if not 1880 <= args.year <= 2100:
        raise WrongUse(f"{args.year} is no model year")
    there = catalog()
    base = there.load(args.route)
    below = nearest_layer(there, args.route, args.year)
    target = _target(there, args.to, f"{base.id}-{args.year}")
    raw = layer_text(target.stem, base, below, args.year).encode()
    _refuse_problems(there, target, raw)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("xb") as file:
            file.write(raw)
        put_schema_beside(target, locations.own_routes(), schema_text())
    except FileExistsError:
        raise WrongUse(f"{target} is there already, and is left as it is") from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise WrongUse(f"{target} can't be written: {reason}") from error
    print(target)
    print(
        f"checkrun: laid over {below.id}; edit it, then: checkrun lint {_named(args.to, target)}",
        file=sys.stderr,
    )
    return 0


def _named(to: str | None, target: Path) -> str:
    """How the new route is named to another command."""
    return str(target) if to else target.stem


def _target(there: Catalog, to: str | None, name: str) -> Path:
    """Where the layer is to be written."""
    if to:
        path = Path(to).expanduser()
        if path.suffix != ".yaml" or not _ID.fullmatch(path.stem):
            raise WrongUse(
                f"`{path.name}` can't be a route: small letters, digits and hyphens, then .yaml"
            )
        if path.exists():
            raise WrongUse(f"{path} is there already, and is left as it is")
        return path
    try:
        found = there.find(name)
    except RouteNotFound:
        return locations.own_routes() / f"{name}.yaml"
    raise WrongUse(
        f"there is a layer `{name}` already: {found.path}. Give another one by --to FILE"
    )


def _refuse_problems(there: Catalog, target: Path, raw: bytes) -> None:
    """A layer that could not be walked is not written: what lies below must be found from there."""
    there.hold(target, raw)
    try:
        _, problems, _ = there.read(target, content=True)
    finally:
        there.hold(target, None)
    own = [problem for problem in problems if problem.file == str(target)]
    if own:
        raise WrongUse(f"no layer can be made here: {own[0].message}. {own[0].hint}".strip())
