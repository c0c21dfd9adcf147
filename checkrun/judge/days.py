"""The days a date code can stand for: month, day, week and year, each as far as it was read."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

from checkrun.judge.built import month_number
from checkrun.judge.characters import Run, same
from checkrun.judge.judgement import BadReading

#: The names of the fields that make a date.
DATE_FIELDS = ("year", "month", "day", "week")
#: A two-figure year is taken to lie within so many years of the car.
_CENTURY = 50
_YEAR_DAYS = 365.25


@dataclass(frozen=True, slots=True)
class Stretch:
    """A day a code can stand for, or the month, week or year where it says no more.

    Attributes:
        text: After ISO 8601: `1965-11-22`, `1965-11`, `1965-W47` or `1965`.
    """

    first: date
    last: date
    text: str

    def days_within(self, first: date, last: date) -> int:
        """How many of its days lie between two days, both counted."""
        return max(0, (min(self.last, last) - max(self.first, first)).days + 1)

    @property
    def one_day(self) -> bool:
        """Whether it is just one day."""
        return self.first == self.last


@dataclass(frozen=True, slots=True)
class Code:
    """A date code taken apart.

    Attributes:
        years: What the last figures of the year can be; empty if the code says nothing of it.
        months: Months it can mean; None if it says nothing of the month.
        days: Days of the month (of the year, if there is no month); None likewise.
        weeks: Weeks; None likewise.
        legible: How many characters of the date were read.
        whole: Whether all of them were read.
        has_year: Whether the mark has a year at all.
    """

    years: tuple[str, ...]
    months: tuple[int, ...] | None
    days: tuple[int, ...] | None
    weeks: tuple[int, ...] | None
    legible: int
    whole: bool
    has_year: bool

    @property
    def period(self) -> float:
        """After how many years the code comes back: 1, 10, 100, or for ever so many."""
        if not self.years:
            return 1
        figures = self.years[0]
        if len(figures) >= 4:
            return float("inf")
        return float(10 ** len(figures if figures[0] != "?" else figures.rpartition("?")[2]))

    @property
    def years_meant(self) -> int:
        """How many years of one period the code can mean."""
        unread = max((figures.lstrip("?").count("?") for figures in self.years), default=0)
        return max(1, len(self.years)) * int(10**unread)

    def stretches(self, first: date, last: date) -> list[Stretch]:
        """Everything the code can stand for between two days, in order."""
        found = [
            stretch
            for year in range(first.year, last.year + 1)
            if not self.years or any(same(f, str(year)[-len(f) :]) for f in self.years)
            for stretch in self._in(year)
            if stretch.days_within(first, last)
        ]
        return sorted(found, key=lambda stretch: stretch.first)

    def days_in(self, year: int) -> int:
        """How many days it can stand for in one year."""
        return sum((stretch.last - stretch.first).days + 1 for stretch in self._in(year))

    def _in(self, year: int) -> list[Stretch]:
        if self.weeks is not None:
            return [_week(year, week) for week in self.weeks]
        if self.months is None:
            if self.days is None:
                return [Stretch(date(year, 1, 1), date(year, 12, 31), str(year))]
            start = date(year, 1, 1)
            passed = [start + timedelta(days=day - 1) for day in self.days]
            return [_one(day) for day in passed if day.year == year]
        found = []
        for month in self.months:
            length = monthrange(year, month)[1]
            if self.days is None:
                text = f"{year:04d}-{month:02d}"
                found.append(Stretch(date(year, month, 1), date(year, month, length), text))
            else:
                found += [_one(date(year, month, day)) for day in self.days if day <= length]
        return found

    def reach(self, window: int) -> int:
        """How many days before and after the build to look for what the code can stand for."""
        return max(window, round(_YEAR_DAYS * min(self.period, _CENTURY)))

    def cycle(self, span: float) -> float:
        """The days of production over which the code means one date only: the span at most."""
        return min(span, _YEAR_DAYS * self.period)


def _one(day: date) -> Stretch:
    return Stretch(day, day, day.isoformat())


def _week(year: int, week: int) -> Stretch:
    """A week after ISO 8601, Monday to Sunday; week 53 of a shorter year is the one after 52."""
    monday = date.fromisocalendar(year, 1, 1) + timedelta(weeks=week - 1)
    return Stretch(monday, monday + timedelta(days=6), f"{year:04d}-W{week:02d}")


def code_of(runs: tuple[Run, ...]) -> Code:
    """The date in the fields of a mark.

    Raises:
        BadReading: If no field is called year, month, day or week, or if it can't be told what
            its letters mean.
    """
    by_name = {run.name: run for run in runs if run.name in DATE_FIELDS}
    if not by_name:
        raise BadReading(
            f"mark: a date code needs a field called {', '.join(DATE_FIELDS[:-1])} or week"
        )
    day = by_name.get("day")
    whole_year = day is not None and day.field.digits == 3
    days = _numbers(day, 366 if whole_year else 31)
    months = _numbers(by_name.get("month"), 12)
    if months is None and days is not None and not whole_year:
        months = tuple(range(1, 13))
    return Code(
        years=_years(by_name.get("year")),
        months=months,
        days=days,
        weeks=_numbers(by_name.get("week"), 53),
        legible=sum(run.legible for run in by_name.values()),
        whole=all("?" not in run.seen for run in by_name.values()),
        has_year="year" in by_name,
    )


def _years(run: Run | None) -> tuple[str, ...]:
    if run is None or not run.legible:
        return ()
    if not run.field.values:
        if run.field.letters:
            raise BadReading("mark: year: `values` must say which year each letter means")
        return (run.seen,)
    means = [text.strip() for value, text in run.field.values if same(run.seen, value.upper())]
    if any(not (text.isascii() and text.isdigit() and len(text) <= 4) for text in means):
        raise BadReading("mark: year: each of its `values` must mean a year, such as 1966")
    return tuple(means)


def _numbers(run: Run | None, most: int) -> tuple[int, ...] | None:
    """The months, days or weeks a field can mean; None if it says nothing."""
    if run is None or not run.legible:
        return None
    if not run.field.values:
        if run.field.letters:
            raise BadReading(
                f"mark: {run.name}: `values` must say which {run.name} each letter means"
            )
        width = len(run.seen)
        return tuple(n for n in range(1, most + 1) if same(run.seen, f"{n:0{width}d}"))
    numbers = []
    for value, text in run.field.values:
        if same(run.seen, value.upper()):
            number = month_number(text) if run.name == "month" else _figure(text)
            if number is None or not 1 <= number <= most:
                raise BadReading(f"mark: {run.name}: {text!r:.40} is no {run.name}")
            numbers.append(number)
    return tuple(sorted(set(numbers)))


def _figure(text: str) -> int | None:
    text = text.strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 3 else None
