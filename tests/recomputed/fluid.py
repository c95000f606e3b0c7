"""A refrigerant straight from its equation of state: saturation, single phases, the two-phase mixture of a liquid line.

Everything is SI and by mass. Enthalpy and entropy keep the library's own zero; only differences of them are used.
"""

import math
import sys
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import CoolProp.CoolProp as cp
import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "refdata" / "refrigerants"))
import equations  # noqa: E402  (the equations of state that the property fits were made from)

BUBBLE, DEW = 0, 1
LIQUID, GAS = equations.LIQUID, equations.GAS


@dataclass
class Flow:
    """What a march needs to know of the refrigerant at a place: `quality` is None in a single phase."""

    temperature: float
    density: float
    viscosity: float
    quality: float | None = None


class Fluid:
    """One refrigerant."""

    def __init__(self, name):
        self.equation = equations.fluid(name)
        self.is_mixture = isinstance(self.equation, equations.Mixture)
        short_of_critical, spacing = (10.0, 2.5) if self.is_mixture else (2.5, 1.0)
        self.temperatures = np.arange(225.0, min(self.equation.t_critical - short_of_critical, 370.0), spacing)
        self.log_pressures = {kind: np.log(self._saturation_pressures(kind)) for kind in (BUBBLE, DEW)}
        self.point = lru_cache(maxsize=200_000)(self._point)

    def _saturation_pressures(self, kind):
        pressures, near = [], None
        for t in self.temperatures:
            if self.is_mixture:
                try:
                    pressure, near = self.equation.saturation(kind, t, near)
                except Exception:  # the guess was too far off: start afresh
                    pressure, near = self.equation.saturation(kind, t)
            else:
                pressure = self.equation.saturation(kind, t).p
            pressures.append(pressure)
        return pressures

    def pressure(self, kind, t):
        """Bubble or dew pressure, Pa."""
        return math.exp(_interpolate(self.temperatures, self.log_pressures[kind], t))

    def temperature(self, kind, p):
        """Bubble or dew temperature, K."""
        return _interpolate(self.log_pressures[kind], self.temperatures, math.log(p))

    def bubble(self, p):
        """Liquid about to boil."""
        return self.point(LIQUID, p, self.temperature(BUBBLE, p))

    def dew(self, p):
        """Vapour about to condense."""
        return self.point(GAS, p, self.temperature(DEW, p))

    def _point(self, phase, p, t):
        """Liquid or gas at pressure and temperature."""
        return self.equation.single(phase, p, t)

    def at_enthalpy(self, phase, p, h, near):
        """Liquid or gas at pressure and enthalpy: Newton on T with slope cp, from the temperature `near`."""
        t = near
        for _ in range(30):
            here = self.point(phase, p, t)
            step = (h - here.h) / here.cp
            t += step
            if abs(step) < 1e-9:
                break
        return self.point(phase, p, t)

    def gas_flow(self, p, h, near):
        """Gas in a discharge line."""
        gas = self.at_enthalpy(GAS, p, h, near)
        return Flow(gas.t, gas.rho, gas.mu)

    def liquid_flow(self, p, h, near):
        """Liquid, or past its bubble point the homogeneous mixture: both phases at one speed,

        x = (h - h_b) / (h_d - h_b),  1/rho = x/rho_d + (1-x)/rho_b,  1/mu = x/mu_d + (1-x)/mu_b

        (viscosity of McAdams, Woods and Heroman, Trans. ASME 64, 1942).
        """
        bubble = self.bubble(p)
        if h <= bubble.h:
            liquid = self.at_enthalpy(LIQUID, p, h, min(near, bubble.t - 1e-3))
            return Flow(liquid.t, liquid.rho, liquid.mu)
        dew = self.dew(p)
        x = (h - bubble.h) / (dew.h - bubble.h)
        return Flow(
            bubble.t + x * (dew.t - bubble.t),
            1 / (x / dew.rho + (1 - x) / bubble.rho),
            1 / (x / dew.mu + (1 - x) / bubble.mu),
            x,
        )

    def isentropic_to_density(self, start, density):
        """(pressure, enthalpy) of gas compressed at constant entropy to a density: Newton on T with slope cv/T."""
        state, t = self.equation.state, start.t * 1.2
        state.unspecify_phase()
        state.specify_phase(GAS)
        for _ in range(60):
            state.update(cp.DmassT_INPUTS, density, t)
            step = (start.s - state.smass()) * t / state.cvmass()
            t += step
            if abs(step) < 1e-9:
                break
        state.update(cp.DmassT_INPUTS, density, t)
        return state.p(), state.hmass()

    def isentropic_work(self, start, p):
        """Work of compression at constant entropy to a pressure, J/kg: Newton on T with slope cp/T."""
        t = max(start.t + 40, self.temperature(DEW, p) + 5)
        for _ in range(60):
            end = self.point(GAS, p, t)
            step = (start.s - end.s) * t / end.cp
            t += step
            if abs(step) < 1e-9:
                break
        return self.point(GAS, p, t).h - start.h


def _interpolate(xs, ys, x):
    """Lagrange's polynomial through the six nearest points of a table."""
    if not xs[0] <= x <= xs[-1]:
        raise ValueError(f"{x} lies outside {xs[0]} to {xs[-1]}")
    middle = max(3, min(len(xs) - 3, int(np.searchsorted(xs, x))))
    xs, ys = xs[middle - 3 : middle + 3], ys[middle - 3 : middle + 3]
    total = 0.0
    for a in range(6):
        weight = 1.0
        for b in range(6):
            if a != b:
                weight *= (x - xs[b]) / (xs[a] - xs[b])
        total += weight * ys[a]
    return float(total)
