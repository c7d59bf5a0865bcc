"""The walk in plain Python over lists: slow and easy to read, what the compiled walk is held to, number by number."""

from __future__ import annotations

from dataclasses import dataclass

from boottop.plan.odds_walk import DONE, GAVE_UP, MOST_STEPS, MOST_TRIES, NEVER, Program


@dataclass(frozen=True, kw_only=True)
class PlainLink:
    """One link into a task: as in `Program`, the arrays by mark or None."""

    before: int
    early: list[int] | None
    late: list[int] | None
    in_time: list[int]
    by_start: bool


@dataclass(frozen=True, kw_only=True)
class PlainTask:
    """One task: as in `Program`, its arrays by mark or slot."""

    next_start: list[int]
    finish: list[int]
    ends_by: list[int]
    hands: int
    group: int
    links: list[PlainLink]


class PlainWalk:
    """A program in lists, ready to be walked from any start."""

    def __init__(self, program: Program) -> None:
        rows = [row.tolist() for row in program.pool]
        self.count: int = program.pool.shape[1] - 2
        self.crew = int(program.crew[0])
        self.day: list[int] = program.day.tolist()
        self.day_first: list[int] = program.day_first.tolist()
        self.groups = [[int(member) for member in group if member >= 0] for group in program.groups]
        links = [
            PlainLink(
                before=before,
                early=rows[early] if early >= 0 else None,
                late=rows[late] if late >= 0 else None,
                in_time=rows[in_time],
                by_start=bool(by_start),
            )
            for before, early, late, in_time, by_start in program.links.T.tolist()
        ]
        self.tasks = [
            PlainTask(
                next_start=rows[next_start],
                finish=rows[finish],
                ends_by=rows[ends_by],
                hands=hands,
                group=group,
                links=links[first:after],
            )
            for next_start, finish, ends_by, hands, group, first, after in program.tasks.T.tolist()
        ]

    def walk(self, start: int, *, until: int, not_before: int = 0) -> tuple[int, list[tuple[int, int]]]:
        """DONE, NEVER or GAVE_UP, and the span of every task placed by then."""
        until = min(until, self.count)
        hold = [0] * len(self.tasks)
        for group in self.groups:
            for member in group:
                hold[member] = not_before
        hold[0] = start
        tries = [0] * len(self.groups)
        spans: list[tuple[int, int]] = []
        for _ in range(MOST_STEPS):
            span = self._earliest(spans, hold[len(spans)])
            if span[1] > until:
                return NEVER, spans
            if not self._put_off(spans, span, hold=hold, tries=tries, until=until):
                spans.append(span)
            if hold[-1] > self.count:
                return NEVER, spans
            if len(spans) == len(self.tasks):
                return DONE, spans
        return GAVE_UP, spans

    def _earliest(self, spans: list[tuple[int, int]], at: int) -> tuple[int, int]:
        """The first span of the next task that every wait and the hands at work leave."""
        task = self.tasks[len(spans)]
        for link in task.links:
            if link.early is not None:
                at = max(at, link.early[spans[link.before][0 if link.by_start else 1]])
        start = task.next_start[min(at, self.count + 1)]
        while start <= self.count and task.finish[start] <= self.count:
            end = task.finish[start]
            beside = [
                (other.hands, span[1])
                for other, span in zip(self.tasks, spans, strict=False)
                if other.hands and span[0] < end and span[1] > start
            ]
            if not task.hands or task.hands + sum(hands for hands, _ in beside) <= self.crew:
                return start, end
            start = task.next_start[min(end, *(ends for _, ends in beside))]
        return self.count + 1, self.count + 1

    def _put_off(
        self, spans: list[tuple[int, int]], span: tuple[int, int], *, hold: list[int], tries: list[int], until: int
    ) -> bool:
        """Whether the task cannot lie there: then what must wait is held back and all from it on is taken up again."""
        task = self.tasks[len(spans)]
        missed = next((link for link in task.links if self._missed(link, spans, span[0])), None)
        day = self._day_instead(spans, span, tries=tries, missed=missed is not None)
        if day is not None:
            if day >= len(self.day_first):
                hold[-1] = self.count + 1
                return True
            tries[task.group] = 0
            for member in self.groups[task.group]:
                hold[member] = max(hold[member], self.day_first[day])
            del spans[min(self.groups[task.group]) :]
            return True
        if missed is not None:
            hold[missed.before] = self._later(missed, spans, span[0])
            if hold[missed.before] >= until:
                hold[-1] = self.count + 1
            del spans[missed.before :]
            return True
        return False

    def _missed(self, link: PlainLink, spans: list[tuple[int, int]], start: int) -> bool:
        return link.late is not None and start > link.late[spans[link.before][0 if link.by_start else 1]]

    def _day_instead(
        self, spans: list[tuple[int, int]], span: tuple[int, int], *, tries: list[int], missed: bool
    ) -> int | None:
        """The day to which the group of the task is put off, None when it may stay."""
        group = self.tasks[len(spans)].group
        if group < 0:
            return None
        day = self.day[span[0]]
        if self.day[span[1] - 1] != day:
            return day + 1
        lead = min(self.groups[group])
        if lead < len(spans) and self.day[spans[lead][0]] != day:
            return max(day, self.day[spans[lead][0]])
        if missed:
            tries[group] += 1
            if tries[group] > MOST_TRIES:
                return day + 1
        return None

    def _later(self, link: PlainLink, spans: list[tuple[int, int]], start: int) -> int:
        """First later start of the task before a link that lets a start of the task after be in time."""
        task = self.tasks[link.before]
        in_time: int = link.in_time[start]
        if not link.by_start and in_time <= self.count:
            in_time = task.ends_by[in_time]
        at: int = task.next_start[max(spans[link.before][0] + 1, in_time)]
        while at <= self.count and task.finish[at] <= self.count:
            if link.late is not None and link.late[at if link.by_start else task.finish[at]] >= start:
                return at
            at = task.next_start[at + 1]
        return self.count + 1
