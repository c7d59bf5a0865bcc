"""One small study of the demonstration, answered once for every test that looks at an answer."""

from __future__ import annotations

from functools import lru_cache

from boottop.files.jobsheet import load_job
from boottop.odds_ask import Answer, Ask, answer, week_asked
from boottop.odds_spread import Spread
from boottop.odds_work import Season, Study
from boottop.plan.odds_result import Question
from boottop.plan.odds_ways import Option, Way
from boottop.workflow import Ashore
from tests.demo_job import DEMO_DIR

WAYS = (
    Way(option=Option(people=3), policy="side_a_day", first="port"),
    Way(option=Option(people=3), policy="together", first="port"),
)
STUDY = Study(ways=WAYS, horizon_days=21, season=Season(first=(4, 22), last=(4, 27)))


@lru_cache(maxsize=1)
def demo_ashore() -> Ashore:
    """The demonstration job."""
    return Ashore(load_job(DEMO_DIR / "job.toml"))


@lru_cache(maxsize=1)
def small_answer() -> Answer:
    """Six starts in April, two ways of working."""
    ashore = demo_ashore()
    question = Question(week=week_asked(ashore, STUDY.season))
    ask = Ask(files=(DEMO_DIR / "weather.csv",), study=STUDY, question=question)
    return answer(ashore, ask, spread=Spread(threads=2), told=lambda done, of: None)
