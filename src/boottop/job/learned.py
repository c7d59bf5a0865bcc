"""What the film and the thermometer have taught so far, in a form the board can use."""

from __future__ import annotations

from dataclasses import dataclass

HALVES_AFTER_S = 43_200


@dataclass(frozen=True, kw_only=True)
class FilmClock:
    """By how much a product's film is slower than the sheet today: `factor` on its times, 1.12 is 12 % slower.
    `tests`: touch tests that went into it. `text` for people."""

    product: str
    factor: float
    tests: int
    text: str


@dataclass(frozen=True, kw_only=True)
class SurfaceBias:
    """By how many K the surface of a zone is warmer than worked out, as of `at_s`; it fades, see `bias_at`."""

    zone: str
    bias_k: float
    at_s: int
    readings: int
    text: str


@dataclass(frozen=True, kw_only=True)
class Learned:
    """Clocks by product and biases by zone, each at most once; what is missing has taught nothing."""

    clocks: tuple[FilmClock, ...] = ()
    surfaces: tuple[SurfaceBias, ...] = ()

    def factor(self, product: str) -> float:
        """Factor on the times of a product's film, 1 where nothing was learned."""
        return next((clock.factor for clock in self.clocks if clock.product == product), 1.0)

    def bias_k(self, zone: str, at_s: int) -> float:
        """How much warmer than worked out the surface of a zone is taken to be at a time, K."""
        found = next((one for one in self.surfaces if one.zone == zone), None)
        return 0.0 if found is None else bias_at(found.bias_k, at_s - found.at_s)


NOTHING = Learned()


def bias_at(bias_k: float, age_s: int) -> float:
    """What is left of a bias after `age_s` seconds, K: half of it every 12 h, in a straight line from one halving to
    the next, so that phone and laptop agree to the last digit. Before the reading (negative age) all of it.

    The 12 h: the error of the day's sun is not that of the night's sky (common practice, no source).

    >>> [bias_at(2.0, hours * 3600) for hours in (0, 6, 12, 24)]
    [2.0, 1.5, 1.0, 0.5]
    """
    if age_s <= 0:
        return bias_k
    halvings = age_s // HALVES_AFTER_S
    if halvings >= 60:
        return 0.0
    share = (age_s - halvings * HALVES_AFTER_S) / HALVES_AFTER_S
    return bias_k * 0.5**halvings * (1.0 - 0.5 * share)
