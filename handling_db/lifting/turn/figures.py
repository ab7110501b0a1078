"""Plain answers about a turn over an edge: what terminal, page and sheet print.

Masses in kilograms as a cell reads them, angles in degrees. None is "not known", never nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.lifting.figures import LiftAnswer, SetDownFigure, TieFigure
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice


@dataclass(frozen=True, slots=True)
class TurnStep:
    """One angle of a turn. [deg, kg; N m and N at the joint]

    Parameters
    ----------
    hook_low_kg, hook_kg, hook_high_kg : float
        Over the doubt of masses and places together; nothing once it has gone over.
    hold_kg, hold_high_kg : float
        Least pull at the place of the hook that keeps it from going over, square to the way from the edge.
    line_kg, line_high_kg : float or None
        In the recorded holding-back line; None without one, or where it cannot hold.
    ends_low_kg : (first, second) or None
        Least that presses on each end of the edge; less than nothing: that end may come off.
    moment_nm, shear_n, axial_n : float or None
        At the joint, best figures.
    twist_nm, sideways_nm : float or None
        At the joint, the most either way by the doubt: about its normal, and along the edge.
    """

    turned: float
    hook_low_kg: float
    hook_kg: float
    hook_high_kg: float
    hold_kg: float
    hold_high_kg: float
    line_kg: float | None
    line_high_kg: float | None
    ends_low_kg: tuple[float, float] | None
    moment_nm: float | None
    shear_n: float | None
    axial_n: float | None
    twist_nm: float | None = None
    sideways_nm: float | None = None


@dataclass(frozen=True, slots=True)
class BoltFigure:
    """What one bolt takes, for a person to judge. [N]"""

    name: str
    pull_n: float
    shear_n: float


@dataclass(frozen=True, slots=True)
class BoltsFigure:
    """What the bolts of a joint take in one case, tilting about one line; the heaviest believable masses.

    Parameters
    ----------
    turned : float or None
        Angle of the turn; None: hook slack, axis level. [deg]
    pivot : str
        ``flange edge``, ``foot of the bolt circle`` or ``last bolts``.
    """

    turned: float | None
    pivot: str
    bolts: tuple[BoltFigure, ...]

    @property
    def most_n(self) -> float:
        """The largest pull on one of them. [N]"""
        return max(bolt.pull_n for bolt in self.bolts)


@dataclass(frozen=True, slots=True)
class HoldFigure:
    """What holds the load back past its balance, as recorded. [kg, deg]

    Parameters
    ----------
    what, anchor_words : str
        The line, and what it runs to.
    rated_kg : float or None
    most_kg, most_at : float or None
        Highest pull in it, and at what angle; None where it never has to hold.
    """

    what: str
    anchor_words: str
    rated_kg: float | None
    most_kg: float | None
    most_at: float | None
    sideways: float | None


@dataclass(frozen=True, slots=True)
class TurnAnswer:
    """Turning a load over an edge with one hook.

    Parameters
    ----------
    first : tuple of Notice
        What stands first, in the one order: that nothing holds it, that it comes off its edge, then the
        lift's.
    steps : tuple of TurnStep
        Up to the end of the turn, or as far as figures can be given.
    to_angle : float or None
        Where the turn ends. [deg]
    goes_over, goes_over_range : float or None
        Angle from which it goes over by itself, and its earliest and latest. [deg]
    slack_moment_nm, slack_shear_n
        The case "hook slack, axis level", at the heaviest believable side.
    bolts : tuple of BoltsFigure
        Hook slack, then the worst of the turn; each by the line that asks most first.
    no_figures : str
        Why there are none; empty where there are.
    """

    lift: LiftAnswer
    first: tuple[Notice, ...]
    turning: Amount | None
    steps: tuple[TurnStep, ...]
    worst: TurnStep | None
    to_angle: float | None
    goes_over: float | None
    goes_over_range: tuple[float, float] | None
    hold: HoldFigure | None
    joint: str
    side: str
    slack_moment_nm: float | None
    slack_shear_n: float | None
    bolts: tuple[BoltsFigure, ...]
    standing: SetDownFigure | None
    holds: tuple[TieFigure, ...]
    no_figures: str
    says: tuple[Notice, ...]
    cautions: tuple[str, ...]
