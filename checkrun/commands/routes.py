"""Commands about routes: `lint` and `routes`."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from checkrun import locations
from checkrun.commands import Arguments
from checkrun.commands.context import WrongUse, catalog, print_json
from checkrun.route.problems import Problem, RouteError, with_source

if TYPE_CHECKING:
    from checkrun.route.catalog import Catalog
    from checkrun.route.fix import Repair


def lint(args: Arguments) -> int:
    """Tell every problem of the named routes, or of all there are; with `--fix` mend first."""
    there = catalog()
    paths = [there.find(name).path for name in args.routes] or [f.path for f in there.all()]
    mended = _mend(there, paths) if args.fix else []
    problems = _problems(there, paths, together=not args.routes)
    if args.json:
        told: list[tuple[Problem, dict[str, str]]] = [(problem, {}) for problem in problems]
        told += [(repair.problem, {"fixed": repair.new}) for repair in mended]
        told.sort(key=lambda one: one[0])
        print_json([_as_data(problem) | more for problem, more in told])
    else:
        texts: dict[str, str] = {}
        for repair in mended:
            print(f"{repair.problem}\n    Fixed: `{repair.old}` is now `{repair.new}`.")
        for problem in problems:
            print(with_source(problem, texts.setdefault(problem.file, _text(problem.file))))
        found = _count(len(problems), "problem") if problems else "no problem"
        fixed = f"{len(mended)} fixed, " if mended else ""
        print(f"{_count(len(paths), 'route')} read, {fixed}{found}.")
    return 1 if problems else 0


def _problems(there: Catalog, paths: list[Path], *, together: bool) -> list[Problem]:
    """The problems of the routes, and of all together how they go with each other."""
    there.read_again()
    # Trees of routes are many small things that all live on: looking for what could go is in vain.
    gc.disable()
    problems: set[Problem] = set()
    right = []
    for path in paths:
        route, found, _ = there.read(path, content=True)
        problems.update(found)
        if route is not None and all(problem.warning for problem in found):
            right.append((route, there.root(path)))
    if together:
        from checkrun.route.rules_years import check_years

        problems.update(check_years(right))
        problems.update(there.untaken())
    gc.freeze()
    gc.enable()
    return sorted(problems)


def _mend(there: Catalog, paths: list[Path]) -> list[Repair]:
    """Repair what is safe in the person's own files; the old file is kept beside each."""
    from checkrun.route.fix import fix
    from checkrun.session.routefile import is_installed, save

    done: list[Repair] = []
    for path in paths:
        if is_installed(path, locations.shipped("checklists")):
            continue  # what was installed is never changed in place
        try:
            raw = path.read_bytes()
        except OSError:
            continue  # told with the problems
        fixed = fix(there, path, raw)
        if fixed.repairs:
            try:
                saved = save(path, fixed.raw, known=None)
            except OSError as error:
                reason = (error.strerror or str(error)).lower()
                raise WrongUse(f"{path} can't be changed: {reason}") from error
            if saved.backup is not None:
                kept = saved.backup.name
                print(f"checkrun: {path} as it was is kept in {kept}", file=sys.stderr)
            done += fixed.repairs
    return done


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _as_data(problem: Problem) -> dict[str, object]:
    return {
        "file": problem.file,
        "line": problem.line,
        "column": problem.column,
        "problem": problem.message,
        "hint": problem.hint,
        "code": problem.code,
        "warning": problem.warning,
    }


def _text(file: str) -> str:
    try:
        return Path(file).read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def routes(args: Arguments) -> int:
    """List the routes there are, whose each is, and what it covers."""
    there = catalog()
    rows = []
    for found in there.all():
        row: dict[str, object] = {
            "route": found.id,
            "owner": found.owner,
            "hides": None if found.hides is None else str(found.hides),
            "file": str(found.path),
        }
        try:
            route = there.load(found.id)
        except RouteError as error:
            row["problem"] = str(error)
        else:
            row |= {
                "title": route.title,
                "years": str(route.years),
                "checks": len(route.checks),
                "stations": len(route.stations),
            }
        rows.append(row)
    if args.json:
        print_json(rows)
        return 0
    width = max((len(str(row["route"])) for row in rows), default=0) + 1
    for row in rows:
        if "problem" in row:
            print(f"{row['route']:{width}} can't be walked: {row['problem']}")
        else:
            about = f"{row['years']:10} {row['checks']:>4} checks  {row['title']}"
            print(f"{row['route']:{width}} {about}")
        if row["owner"] == "yours":
            beside = " and wins over the shipped one" if row["hides"] else ""
            print(f"{'':{width}} yours: {row['file']}{beside}")
    return 0
