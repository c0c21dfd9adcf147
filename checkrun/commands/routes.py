"""Commands about routes: `lint` and `routes`."""

from __future__ import annotations

from pathlib import Path

from checkrun.commands import Arguments
from checkrun.commands.context import catalog, print_json
from checkrun.route.problems import Problem, RouteError, with_source


def lint(args: Arguments) -> int:
    """Tell every problem of the named routes, or of all there are."""
    routes = catalog()
    names = args.routes or [str(found.path) for found in routes.all()]
    problems = sorted({problem for name in names for problem in routes.lint(name)})
    if args.json:
        print_json([_as_data(problem) for problem in problems])
    else:
        texts: dict[str, str] = {}
        for problem in problems:
            print(with_source(problem, texts.setdefault(problem.file, _text(problem.file))))
        found = _count(len(problems), "problem") if problems else "no problem"
        print(f"{_count(len(names), 'route')} read, {found}.")
    return 1 if problems else 0


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
    from checkrun.route.order import walk_order

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
                "stations": len(walk_order(route)),
            }
        rows.append(row)
    if args.json:
        print_json(rows)
        return 0
    for row in rows:
        if "problem" in row:
            print(f"{row['route']:18} can't be walked: {row['problem']}")
        else:
            print(f"{row['route']:18} {row['years']:10} {row['checks']:>4} checks  {row['title']}")
        if row["owner"] == "yours":
            beside = " and wins over the shipped one" if row["hides"] else ""
            print(f"{'':18} yours: {row['file']}{beside}")
    return 0
