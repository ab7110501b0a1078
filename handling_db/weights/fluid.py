"""What a fluid weighs in a state: litres times density."""

from __future__ import annotations

from fractions import Fraction

from handling_db.families.build import Build, BuildError, worked_measure
from handling_db.families.family import Parameters
from handling_db.quantities.mass import NOTHING, Mass, exactly, within
from handling_db.quantities.quantity import Quantity
from handling_db.records.kinds.component import Fluid
from handling_db.records.parts.texts import State


def fluid_mass(
    fluid: Fluid, state: State, build: Build = (), parameters: Parameters | None = None
) -> Mass | None:
    """What a fluid weighs in a state: nothing when dry, what stays when drained, all of it when filled.

    Parameters
    ----------
    fluid : Fluid
    state : State
    build : Build
        For litres that are a formula.
    parameters : mapping of name to Parameter, optional
        Of the build's values.

    Returns
    -------
    Mass or None
        None where nobody looked how much stays, or a formula of the litres cannot be worked out or gives
        less than nothing. Half-width by the product's limits: (V + dV)(rho + drho) - V rho, litres times
        kg/L. [kg]
    """
    if state == "dry":
        return NOTHING
    density = fluid.density
    spread = fluid.density_plus_or_minus.base if fluid.density_plus_or_minus else density.step_base / 2
    if state == "filled":
        litres = _litres(fluid, build, parameters)
        step = fluid.litres.quantity.step_base if fluid.litres.quantity else Fraction(0)
        given = fluid.litres_plus_or_minus
    elif fluid.stays == "none":
        return exactly(Fraction(0))
    else:
        stays = fluid.stays if isinstance(fluid.stays, Quantity) else None
        litres = stays.base if stays else None
        step = stays.step_base if stays else Fraction(0)
        given = fluid.stays_plus_or_minus
    if litres is None:
        return None
    doubt = given.base if given else step / 2
    best = litres * density.base
    if given is not None:
        spread = fluid.density_plus_or_minus.base if fluid.density_plus_or_minus else Fraction(0)
    high = (litres + doubt) * (density.base + spread)
    low = max(litres - doubt, Fraction(0)) * max(density.base - spread, Fraction(0))
    return within(best, best - low, high - best)


def _litres(fluid: Fluid, build: Build, parameters: Parameters | None) -> Fraction | None:
    """All litres in a build; None where they cannot be worked out."""
    try:
        litres = worked_measure(fluid.litres, build, parameters)
    except BuildError:
        return None
    return litres if litres >= 0 else None
