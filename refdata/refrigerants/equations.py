"""The source of the values: Helmholtz equations of state of an open library, one interface for every kind of fluid.

Pure and pseudo-pure fluids have an equation of their own; the other blends are the library's multi-fluid mixtures.
All numbers are SI and by mass. Enthalpy and entropy carry the library's own zero; the caller shifts them.
"""

import math
from dataclasses import dataclass

import CoolProp.CoolProp as cp

LIQUID, GAS = cp.iphase_liquid, cp.iphase_gas

PURE = {
    "R-22": "R22",
    "R-32": "R32",
    "R-134a": "R134a",
    "R-290": "R290",
    "R-1234yf": "R1234yf",
    "R-1234ze(E)": "R1234ze(E)",
}
PSEUDO_PURE = {"R-404A": "R404A", "R-407C": "R407C", "R-410A": "R410A", "R-507A": "R507A"}
# The library's predefined mixtures, or components with mass fractions where it has none.
MIXTURES = {
    "R-407A": "R407A.mix",
    "R-407F": "R407F.mix",
    "R-422D": "R422D.mix",
    "R-427A": "R427A.mix",
    "R-438A": "R438A.mix",
    "R-448A": "R448A.mix",
    "R-449A": "R449A.mix",
    "R-452B": "R452B.mix",
    "R-454A": "R454A.mix",
    "R-454B": "R454B.mix",
    "R-454C": "R454C.mix",
    "R-513A": "R513A.mix",
    "R-515B": {"R1234ze(E)": 0.911, "R227EA": 0.089},
}
# Pairs without binary parameters in the library; the linear simple mixing rule stands in.
LINEAR_PAIRS = [("R32", "Isopentane"), ("R125", "Isopentane"), ("R134a", "Isopentane")]

ALL = sorted([*PURE, *PSEUDO_PURE, *MIXTURES])


class NoSolution(Exception):
    """The equation of state gave no root where one was asked for."""


@dataclass
class Point:
    """One state of one phase."""

    t: float
    p: float
    rho: float
    h: float
    s: float
    cp: float
    mu: float
    w: float


def fluid(name):
    """The fluid of that name, ready to be asked."""
    if name in PURE:
        return Single(name, PURE[name], pure=True)
    if name in PSEUDO_PURE:
        return Single(name, PSEUDO_PURE[name], pure=False)
    return Mixture(name, MIXTURES[name])


class Single:
    """A fluid with an equation of its own: pure, or a blend fitted as if it were pure."""

    def __init__(self, name, library_name, pure):
        self.name = name
        self.pure = pure
        self.state = cp.AbstractState("HEOS", library_name)
        self.molar_mass = self.state.molar_mass()
        self.gas_constant = self.state.gas_constant()
        self.t_critical = self.state.T_critical()
        self.p_critical = self.state.p_critical()
        self.made_of = ("pure fluid" if pure else "blend as a pseudo-pure fluid") + f" {library_name}"
        self.composition = None

    def saturation(self, quality, t, guess=None):
        """Saturated liquid (quality 0) or vapour (1) at a temperature."""
        self.state.unspecify_phase()
        self.state.update(cp.QT_INPUTS, quality, t)
        return self._read(self.state.p())

    def single(self, phase, p, t, rho_guess=None):
        """Liquid or gas at pressure and temperature, metastable too."""
        _density(self.state, phase, p, t, rho_guess)
        return self._read(p)

    def _read(self, p):
        a = self.state
        return Point(
            a.T(), p, a.rhomass(), a.hmass(), a.smass(), a.cpmass(), a.viscosity(), a.speed_sound()
        )


class Mixture:
    """A multi-fluid mixture; viscosity by components at equal reduced density."""

    def __init__(self, name, recipe):
        self.name = name
        self.pure = False
        if isinstance(recipe, dict):
            masses = {c: w / cp.PropsSI("M", c) for c, w in recipe.items()}
            total = sum(masses.values())
            self.names = list(recipe)
            self.x = [masses[c] / total for c in self.names]
        else:
            self.names, self.x = _predefined(recipe)
        if "Isopentane" in self.names:
            for a, b in LINEAR_PAIRS:
                cp.apply_simple_mixing_rule(cp.get_fluid_param_string(a, "CAS"),
                                            cp.get_fluid_param_string(b, "CAS"), "linear")
        self.state = cp.AbstractState("HEOS", "&".join(self.names))
        self.state.set_mole_fractions(self.x)
        self.molar_mass = self.state.molar_mass()
        self.gas_constant = self.state.gas_constant()
        self.parts = [_Component(n) for n in self.names]
        point = next(c for c in self.state.all_critical_points() if c.stable)
        self.t_critical, self.p_critical = point.T, point.p
        self.made_of = "multi-fluid mixture " + " & ".join(self.names)
        self.composition = self.x

    def saturation(self, quality, t, guess=None):
        """Bubble (quality 0) or dew (1) point at a temperature, from the one before if there is one."""
        a = self.state
        a.unspecify_phase()
        if guess is None:
            a.update(cp.QT_INPUTS, quality, t)
        else:
            a.update_with_guesses(cp.QT_INPUTS, quality, t, guess)
        liquid, vapour = a.saturated_liquid_keyed_output, a.saturated_vapor_keyed_output
        near = cp.PyGuessesStructure()
        near.p, near.T = a.p(), t
        near.rhomolar_liq, near.rhomolar_vap = liquid(cp.iDmolar), vapour(cp.iDmolar)
        near.x, near.y = a.mole_fractions_liquid(), a.mole_fractions_vapor()
        if not 1.02 < near.rhomolar_liq / near.rhomolar_vap < 1e5:
            raise NoSolution(f"{self.name}: trivial saturation at {t} K")
        return a.p(), near

    def single(self, phase, p, t, rho_guess=None):
        """Liquid or gas of the overall composition at pressure and temperature, metastable too."""
        _density(self.state, phase, p, t, rho_guess, self.molar_mass)
        a = self.state
        return Point(
            t, p, a.rhomass(), a.hmass(), a.smass(), a.cpmass(),
            self.viscosity(phase, t, a.rhomolar()), a.speed_sound(),
        )

    def viscosity(self, phase, t, rho):
        """Components at equal reduced density. Liquid: logarithmic in mole fraction.
        Gas: Wilke's rule for the dilute part and a linear sum of the residuals."""
        reduced = rho * sum(x / c.rho_critical for x, c in zip(self.x, self.parts))
        if phase == LIQUID:
            return math.exp(sum(x * math.log(c.viscosity(t, reduced * c.rho_critical))
                                for x, c in zip(self.x, self.parts)))
        thin = [c.dilute(t) for c in self.parts]
        mu = 0.0
        for xi, ci, mi in zip(self.x, self.parts, thin):
            weight = 0.0
            for xj, cj, mj in zip(self.x, self.parts, thin):
                ratio = ci.molar_mass / cj.molar_mass
                weight += xj * (1 + math.sqrt(mi / mj) * ratio ** -0.25) ** 2 / math.sqrt(8 * (1 + ratio))
            mu += xi * mi / weight
        for x, c in zip(self.x, self.parts):
            hot = max(t, 1.1 * c.t_critical)
            mu += x * (c.viscosity(hot, reduced * c.rho_critical) - c.dilute(hot))
        return mu


class _Component:
    """One component of a mixture, for its viscosity only."""

    THIN = 1.0  # mol/m3, thin enough to count as the dilute gas and dense enough for every correlation

    COLDEST = {}

    def __init__(self, name):
        self.name = name
        self.state = cp.AbstractState("HEOS", name)
        self.state.specify_phase(GAS)
        self.molar_mass = self.state.molar_mass()
        self.t_critical = self.state.T_critical()
        self.rho_critical = self.state.rhomolar_critical()

    def viscosity(self, t, rho):
        self.state.update(cp.DmolarT_INPUTS, rho, t)
        return self.state.viscosity()

    def dilute(self, t):
        """Viscosity of the dilute gas; a power of temperature where the library's correlation gives up when cold."""
        try:
            return self.viscosity(t, self.THIN)
        except ValueError:
            warm = self.COLDEST.setdefault(self.name, self._coldest())
            exponent = math.log(self.viscosity(warm + 10, self.THIN) / self.viscosity(warm, self.THIN)) / math.log(
                (warm + 10) / warm)
            return self.viscosity(warm, self.THIN) * (t / warm) ** exponent

    def _coldest(self):
        t = 300.0
        while t > 200:
            try:
                self.viscosity(t - 1, self.THIN)
            except ValueError:
                break
            t -= 1
        return t


def _predefined(name):
    state = cp.AbstractState("HEOS", name) if name != "R438A.mix" else None
    if state is not None:
        return state.fluid_names(), state.get_mole_fractions()
    # The pairs are missing, so the library cannot build it from its own list; composition by mass of that list.
    masses = {"R32": 0.085, "R125": 0.45, "R134a": 0.442, "n-Butane": 0.017, "Isopentane": 0.006}
    moles = {c: w / cp.PropsSI("M", c) for c, w in masses.items()}
    total = sum(moles.values())
    return list(moles), [m / total for m in moles.values()]


def _density(state, phase, p, t, rho_guess, molar_mass=None):
    """Leave the state at the root of that phase."""
    state.specify_phase(phase)
    try:
        state.update(cp.PT_INPUTS, p, t)
        sound = abs(_pressure_error(state, p)) < 1e-9 and _stable(state)
        if sound and (rho_guess is None or 0.8 < state.rhomass() / rho_guess < 1.25):
            return
    except ValueError:
        pass
    if rho_guess is None:
        raise NoSolution(f"{p} Pa {t} K")
    rho = rho_guess / state.molar_mass()
    for _ in range(60):
        state.update(cp.DmolarT_INPUTS, rho, t)
        error = state.p() - p
        slope = state.first_partial_deriv(cp.iP, cp.iDmolar, cp.iT)
        if slope <= 0:
            raise NoSolution(f"{p} Pa {t} K: no slope")
        step = -error / slope
        rho += max(-0.1 * rho, min(0.1 * rho, step))
        if abs(step) < 1e-12 * rho:
            state.update(cp.DmolarT_INPUTS, rho, t)
            return
    raise NoSolution(f"{p} Pa {t} K: no end")


def _pressure_error(state, p):
    rho, t = state.rhomolar(), state.T()
    state.update(cp.DmolarT_INPUTS, rho, t)
    return state.p() / p - 1


def _stable(state):
    return state.first_partial_deriv(cp.iP, cp.iDmolar, cp.iT) > 0
