"""Which screen shows which step of a hole."""

from __future__ import annotations

from cockpit.flow.hole import HoleInHand
from cockpit.flow.steps import Step
from cockpit.screens.burn import BurnScreen
from cockpit.screens.centre import CentreScreen
from cockpit.screens.cleanout import CleanoutScreen
from cockpit.screens.outcome import OutcomeScreen
from cockpit.screens.pilot import PilotScreen
from cockpit.screens.plan import PlanScreen
from cockpit.screens.setup import SetupScreen
from cockpit.screens.shared.step import StepScreen
from cockpit.screens.touchoff import TouchScreen

SCREENS: dict[Step, type[StepScreen]] = {
    Step.TICKET: PlanScreen,
    Step.PLAN: PlanScreen,
    Step.CHECKS: SetupScreen,
    Step.PILOT: PilotScreen,
    Step.CENTRE: CentreScreen,
    Step.GUARD: SetupScreen,
    Step.BURN: BurnScreen,
    Step.ELECTRODE: SetupScreen,
    Step.AGAIN: SetupScreen,
    Step.TOUCH: TouchScreen,
    Step.CLEANOUT: CleanoutScreen,
    Step.OUTCOME: OutcomeScreen,
}


def screen_for(hole: HoleInHand) -> StepScreen:
    """A screen for where the hole stands."""
    return SCREENS[hole.step]()
