//! What must hold of the properties whatever the numbers are.

use proptest::prelude::*;
use roofrun::refrigerant::{Flow, Phase, Refrigerant, State, named, names};

const PURE: [&str; 6] = ["R-22", "R-32", "R-134a", "R-290", "R-1234yf", "R-1234ze(E)"];

fn any_fluid() -> impl Strategy<Value = &'static Refrigerant> {
    (0..names().len()).prop_map(|k| named(names()[k]).unwrap())
}

fn share() -> impl Strategy<Value = f64> {
    prop_oneof![8 => 0.0..=1.0, 1 => Just(0.0), 1 => Just(1.0)]
}

fn between(low: f64, high: f64, share: f64) -> f64 {
    (low + share * (high - low)).clamp(low, high)
}

/// A pressure with both lines in range.
fn pressure(fluid: &Refrigerant, share: f64) -> f64 {
    let range = fluid.range();
    let low = fluid.bubble_pressure(range.temperature_min).unwrap();
    (low * (range.pressure_max / low).powf(share)).clamp(low, range.pressure_max)
}

fn vapour(fluid: &Refrigerant, p: f64, share: f64) -> State {
    let dew = fluid.dew_temperature(p).unwrap();
    fluid.vapour_pt(p, between(dew, dew + fluid.range().superheat_max, share)).unwrap()
}

fn liquid(fluid: &Refrigerant, t_share: f64, p_share: f64) -> State {
    let range = fluid.range();
    let t = between(range.temperature_min, range.bubble_temperature_max, t_share);
    let p = between(fluid.bubble_pressure(t).unwrap(), range.liquid_pressure_max, p_share);
    fluid.liquid_pt(p, t).unwrap()
}

fn close(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * b.abs()
}

fn same(a: &State, b: &State, relative: f64) -> Result<(), TestCaseError> {
    for (what, a, b) in [
        ("pressure", a.pressure, b.pressure),
        ("temperature", a.temperature, b.temperature),
        ("density", a.density, b.density),
        ("enthalpy", a.enthalpy, b.enthalpy),
        ("entropy", a.entropy, b.entropy),
        ("cp", a.cp, b.cp),
        ("viscosity", a.viscosity, b.viscosity),
    ] {
        prop_assert!(close(a, b, relative), "{what}: {a} {b}");
    }
    // The first bubble takes most of the speed of sound: a rounding in quality shows a thousand times larger.
    prop_assert!(
        close(a.speed_of_sound, b.speed_of_sound, 1e3 * relative),
        "{} {}",
        a.speed_of_sound,
        b.speed_of_sound
    );
    Ok(())
}

fn same_flow(flow: &Flow, state: &State, relative: f64) -> Result<(), TestCaseError> {
    for (what, a, b) in [
        ("temperature", flow.temperature, state.temperature),
        ("density", flow.density, state.density),
        ("viscosity", flow.viscosity, state.viscosity),
    ] {
        prop_assert!(close(a, b, relative), "{what}: {a} {b}");
    }
    prop_assert_eq!(flow.phase, state.phase);
    Ok(())
}

fn sensible(state: &State) -> Result<(), TestCaseError> {
    for value in [
        state.pressure,
        state.temperature,
        state.density,
        state.enthalpy,
        state.entropy,
        state.cp,
        state.viscosity,
        state.speed_of_sound,
    ] {
        prop_assert!(value.is_finite() && value > 0.0, "{state:?}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_lines_invert(fluid in any_fluid(), at in share()) {
        let range = fluid.range();
        let t = between(range.temperature_min, range.dew_temperature_max, at);
        prop_assert!(close(fluid.dew_temperature(fluid.dew_pressure(t).unwrap()).unwrap(), t, 1e-11));
        let t = between(range.temperature_min, range.bubble_temperature_max, at);
        prop_assert!(close(fluid.bubble_temperature(fluid.bubble_pressure(t).unwrap()).unwrap(), t, 1e-11));
        let p = pressure(fluid, at);
        prop_assert!(close(fluid.dew_pressure(fluid.dew_temperature(p).unwrap()).unwrap(), p, 1e-10));
        prop_assert!(close(fluid.bubble_pressure(fluid.bubble_temperature(p).unwrap()).unwrap(), p, 1e-10));
    }

    #[test]
    fn the_states_on_the_lines_are_those_of_the_phases(fluid in any_fluid(), at in share()) {
        let p = pressure(fluid, at);
        let (bubble, dew) = (fluid.bubble_p(p).unwrap(), fluid.dew_p(p).unwrap());
        sensible(&bubble)?;
        sensible(&dew)?;
        same(&fluid.vapour_pt(p, dew.temperature).unwrap(), &dew, 1e-12)?;
        same(&fluid.liquid_pt(p, bubble.temperature).unwrap(), &bubble, 1e-12)?;
        same(&fluid.dew_t(dew.temperature).unwrap(), &dew, 1e-8)?;
        same(&fluid.bubble_t(bubble.temperature).unwrap(), &bubble, 1e-8)?;
        // R-513A and R-515B have an azeotrope, where the lines touch: there the fits may cross by their own error.
        prop_assert!(bubble.temperature <= dew.temperature + 1e-6);
        prop_assert!(!fluid.is_pure() || dew.temperature.to_bits() == bubble.temperature.to_bits());
        prop_assert_eq!(dew.quality, Some(1.0));
        prop_assert_eq!(bubble.quality, Some(0.0));
    }

    #[test]
    fn vapour_goes_round(fluid in any_fluid(), at in share(), heat in share()) {
        let state = vapour(fluid, pressure(fluid, at), heat);
        sensible(&state)?;
        prop_assert_eq!(state.phase, Phase::Vapour);
        let (p, h, s) = (state.pressure, state.enthalpy, state.entropy);
        same(&fluid.state_pt(p, state.temperature).unwrap(), &state, 0.0)?;
        same(&fluid.state_ph(p, h).unwrap(), &state, 1e-9)?;
        same(&fluid.state_ps(p, s).unwrap(), &state, 1e-9)?;
        same_flow(&fluid.flow_ph(p, h).unwrap(), &fluid.state_ph(p, h).unwrap(), 1e-11)?;
        prop_assert!(close(fluid.temperature_ph(p, h).unwrap(), state.temperature, 1e-10));
        prop_assert!(close(fluid.temperature_ps(p, s).unwrap(), state.temperature, 1e-10));
        prop_assert!(close(fluid.vapour_density(p, state.temperature).unwrap(), state.density, 1e-14));
    }

    #[test]
    fn liquid_goes_round(fluid in any_fluid(), at in share(), press in share()) {
        let state = liquid(fluid, at, press);
        sensible(&state)?;
        let (p, h, s) = (state.pressure, state.enthalpy, state.entropy);
        // On the line of a pure fluid the state is vapour as much as liquid.
        let on_the_line = press < 1e-6;
        if !on_the_line {
            same(&fluid.state_pt(p, state.temperature).unwrap(), &state, 0.0)?;
        }
        // Near the critical point the heat that a rounding error stands for moves the density a good deal.
        same(&fluid.state_ph(p, h).unwrap(), &state, 1e-8)?;
        same(&fluid.state_ps(p, s).unwrap(), &state, 1e-8)?;
        same_flow(&fluid.flow_ph(p, h).unwrap(), &fluid.state_ph(p, h).unwrap(), 1e-9)?;
    }

    #[test]
    fn mixtures_go_round(fluid in any_fluid(), at in share(), x in 0.001..0.999_f64) {
        let p = pressure(fluid, at);
        let (bubble, dew) = (fluid.bubble_p(p).unwrap(), fluid.dew_p(p).unwrap());
        let h = x * dew.enthalpy + (1.0 - x) * bubble.enthalpy;
        let state = fluid.state_ph(p, h).unwrap();
        sensible(&state)?;
        prop_assert_eq!(state.phase, Phase::TwoPhase);
        prop_assert!(close(state.quality.unwrap(), x, 1e-7));
        prop_assert!(close(1.0 / state.density, x / dew.density + (1.0 - x) / bubble.density, 1e-7));
        prop_assert!(close(1.0 / state.viscosity, x / dew.viscosity + (1.0 - x) / bubble.viscosity, 1e-7));
        same(&fluid.state_ps(p, state.entropy).unwrap(), &state, 1e-7)?;
        same_flow(&fluid.flow_ph(p, h).unwrap(), &state, 1e-12)?;
        if !fluid.is_pure() && dew.temperature - bubble.temperature > 0.5 {
            same(&fluid.state_pt(p, state.temperature).unwrap(), &state, 1e-7)?;
        }
    }

    #[test]
    fn no_step_across_the_lines(fluid in any_fluid(), at in 0.01..0.999_f64) {
        let p = pressure(fluid, at);
        let (bubble, dew) = (fluid.bubble_p(p).unwrap(), fluid.dew_p(p).unwrap());
        for line in [bubble, dew] {
            // A few roundings to either side, by enthalpy, by entropy and by pressure. In the mixture cp and the speed
            // of sound change fast, so the step must be small.
            let dh = 1e-12 * line.enthalpy;
            same(&fluid.state_ph(p, line.enthalpy - dh).unwrap(), &line, 1e-7)?;
            same(&fluid.state_ph(p, line.enthalpy + dh).unwrap(), &line, 1e-7)?;
            let ds = 1e-12 * line.entropy;
            same(&fluid.state_ps(p, line.entropy - ds).unwrap(), &line, 1e-7)?;
            same(&fluid.state_ps(p, line.entropy + ds).unwrap(), &line, 1e-7)?;
            for side in [p * (1.0 - 1e-12), p * (1.0 + 1e-12)] {
                let flow = fluid.flow_ph(side, line.enthalpy).unwrap();
                prop_assert!(close(flow.temperature, line.temperature, 1e-7));
                prop_assert!(close(flow.density, line.density, 1e-7));
                prop_assert!(close(flow.viscosity, line.viscosity, 1e-7));
            }
        }
    }

    #[test]
    fn no_step_in_liquid_above_the_top_of_the_lines(fluid in any_fluid(), at in 0.0..0.999_f64) {
        let range = fluid.range();
        let t = between(range.temperature_min, range.bubble_temperature_max, at);
        let below = fluid.liquid_pt(range.pressure_max, t).unwrap();
        let above = fluid.state_ph(range.pressure_max * (1.0 + 1e-12), below.enthalpy).unwrap();
        same(&above, &below, 1e-8)?;
    }

    #[test]
    fn heat_rises_and_density_falls_with_temperature(fluid in any_fluid(), at in share(), a in share(), b in share()) {
        let p = pressure(fluid, at);
        let dew = fluid.dew_temperature(p).unwrap();
        let range = fluid.range();
        let of = |share| fluid.state_pt(p, between(range.temperature_min, dew + range.superheat_max, share)).unwrap();
        let (cold, hot) = (of(a.min(b)), of(a.max(b)));
        if hot.temperature - cold.temperature > 1e-3 {
            prop_assert!(hot.enthalpy > cold.enthalpy);
            prop_assert!(hot.entropy > cold.entropy);
            prop_assert!(hot.density < cold.density);
        }
    }

    // dh = cp dT and dh = T ds at constant pressure, by central differences.
    #[test]
    fn heat_capacity_and_entropy_belong_to_the_enthalpy(fluid in any_fluid(), at in 0.0..0.95_f64, heat in 0.02..0.98_f64) {
        let gas = vapour(fluid, pressure(fluid, at), heat);
        let fill = liquid(fluid, heat.min(0.9), at.max(0.05));
        for state in [gas, fill] {
            let d = 0.02;
            let (a, b) = (
                fluid.state_pt(state.pressure, state.temperature - d).unwrap(),
                fluid.state_pt(state.pressure, state.temperature + d).unwrap(),
            );
            prop_assume!(a.phase == state.phase && b.phase == state.phase);
            let dh = b.enthalpy - a.enthalpy;
            prop_assert!(close(dh / (2.0 * d), state.cp, 2e-3), "cp {} {}", dh / (2.0 * d), state.cp);
            prop_assert!(close((b.entropy - a.entropy) * state.temperature, dh, 2e-3));
        }
    }

    // Clapeyron: dp/dT (v_v - v_l) T = h_v - h_l on the line of a pure fluid. Nothing in the fits knows of it.
    #[test]
    fn pure_fluids_obey_clapeyron(at in 0.01..0.99_f64, which in 0..PURE.len()) {
        let fluid = named(PURE[which]).unwrap();
        let range = fluid.range();
        let t = between(range.temperature_min + 0.01, range.dew_temperature_max - 0.01, at);
        let slope = (fluid.dew_pressure(t + 0.005).unwrap() - fluid.dew_pressure(t - 0.005).unwrap()) / 0.01;
        let (liquid, gas) = (fluid.bubble_t(t).unwrap(), fluid.dew_t(t).unwrap());
        let volume = 1.0 / gas.density - 1.0 / liquid.density;
        prop_assert!(close(slope * volume * t, gas.enthalpy - liquid.enthalpy, 1e-4));
    }

    // Whatever is asked, the answer is a finite state or an error that names the refrigerant.
    #[test]
    fn any_numbers_are_answered(fluid in any_fluid(), p in any::<f64>(), second in any::<f64>(), near in 0.1..12e6_f64) {
        for p in [p, near] {
            for second in [second, near, near / 10.0, near / 1e4] {
                let lines = [fluid.dew_temperature(p), fluid.bubble_temperature(p), fluid.dew_pressure(second),
                    fluid.bubble_pressure(second), fluid.vapour_density(p, second), fluid.temperature_ph(p, second),
                    fluid.temperature_ps(p, second)];
                for answer in lines {
                    match answer {
                        Ok(value) => prop_assert!(value.is_finite() && value > 0.0),
                        Err(error) => prop_assert!(error.to_string().starts_with(fluid.name())),
                    }
                }
                let states = [fluid.dew_p(p), fluid.bubble_p(p), fluid.dew_t(second), fluid.bubble_t(second),
                    fluid.vapour_pt(p, second), fluid.liquid_pt(p, second), fluid.state_pt(p, second),
                    fluid.state_ph(p, second), fluid.state_ps(p, second)];
                for answer in states {
                    match answer {
                        Ok(state) => sensible(&state)?,
                        Err(error) => prop_assert!(error.to_string().starts_with(fluid.name())),
                    }
                }
                if let Ok(flow) = fluid.flow_ph(p, second) {
                    prop_assert!(flow.temperature.is_finite() && flow.density > 0.0 && flow.viscosity > 0.0);
                }
            }
        }
    }
}

/// Where the dew line leans forward, vapour compressed at constant entropy turns wet: the answer is the mixture.
#[test]
fn compression_into_the_dome_is_answered_by_quality() {
    let mut found = Vec::new();
    for name in names() {
        let fluid = named(name).unwrap();
        for (a, b) in [(0.1, 0.5), (0.2, 0.6), (0.3, 0.7)] {
            let start = fluid.dew_p(pressure(fluid, a)).unwrap();
            let end = fluid.dew_p(pressure(fluid, b)).unwrap();
            if end.entropy > start.entropy + 0.05 {
                let wet = fluid.state_ps(end.pressure, start.entropy).unwrap();
                assert_eq!(wet.phase, Phase::TwoPhase, "{name}");
                let quality = wet.quality.unwrap();
                assert!(quality > 0.9 && quality < 1.0, "{name} {quality}");
                let bubble = fluid.bubble_temperature(end.pressure).unwrap();
                assert!(wet.temperature >= bubble && wet.temperature <= end.temperature, "{name}");
                found.push(*name);
            }
        }
    }
    assert!(found.contains(&"R-1234yf"), "{found:?}");
}

/// Where bubble and dew are one line, the state required by its pressure and temperature is vapour.
#[test]
fn on_the_line_of_a_pure_fluid_it_is_vapour() {
    for name in PURE {
        let fluid = named(name).unwrap();
        for p in [2e5, 8e5, 20e5] {
            let t = fluid.dew_temperature(p).unwrap();
            assert_eq!(fluid.state_pt(p, t).unwrap().phase, Phase::Vapour);
            assert_eq!(fluid.liquid_pt(p, t).unwrap().phase, Phase::Liquid);
        }
    }
    // A blend has both: liquid on one, vapour on the other.
    let blend = named("R-407C").unwrap();
    assert_eq!(blend.state_pt(8e5, blend.dew_temperature(8e5).unwrap()).unwrap().phase, Phase::Vapour);
    assert_eq!(blend.state_pt(8e5, blend.bubble_temperature(8e5).unwrap()).unwrap().phase, Phase::Liquid);
}
