//! Both ends of every range, just outside, and what is not a number.

use roofrun::refrigerant::{End, OutOfRange, Refrigerant, named, names};

const OUT: f64 = 1e-6;

fn each(mut test: impl FnMut(&'static Refrigerant)) {
    for name in names() {
        test(named(name).unwrap());
    }
}

fn fails<T: std::fmt::Debug>(answer: Result<T, OutOfRange>, quantity: &str, end: End, bound: f64) {
    let error = answer.unwrap_err();
    assert_eq!((error.quantity, error.end), (quantity, end), "{error}");
    assert!((error.bound / bound - 1.0).abs() < 1e-8, "{error}, not {bound}");
}

#[test]
fn the_range_is_what_is_promised() {
    each(|fluid| {
        let range = fluid.range();
        let pc = fluid.critical_pressure();
        assert!((range.pressure_max / pc - 0.93).abs() < 1e-12);
        assert_eq!(range.liquid_pressure_max.to_bits(), pc.to_bits());
        assert!((range.temperature_min - 223.15).abs() < 1e-12);
        assert!((range.superheat_max - 120.0).abs() < 1e-12);
        let minimum = 0.95 * fluid.dew_pressure(223.15).unwrap().min(0.5e5);
        assert!((range.pressure_min / minimum - 1.0).abs() < 1e-5, "{}", fluid.name());
        assert!(range.bubble_temperature_max < fluid.critical_temperature());
        assert!((fluid.dew_temperature(range.pressure_max).unwrap() - range.dew_temperature_max).abs() < 1e-9);
        assert!((fluid.bubble_temperature(range.pressure_max).unwrap() - range.bubble_temperature_max).abs() < 1e-9);
        assert!(fluid.molar_mass() > 0.04 && fluid.molar_mass() < 0.13);
    });
}

#[test]
fn every_fit_states_its_error_and_it_is_small_enough() {
    each(|fluid| {
        let mut seen = 0;
        for (key, error) in fluid.fit_errors() {
            let fair = ["cp", "viscosity", "speed_of_sound"].iter().any(|name| key.ends_with(name));
            assert!(error > 0.0 && error < if fair { 1e-3 } else { 1e-5 }, "{} {key} {error}", fluid.name());
            assert_eq!(fluid.fit_error(key), Some(error));
            seen += 1;
        }
        assert_eq!(seen, if fluid.is_pure() { 13 } else { 14 }, "{}", fluid.name());
        assert_eq!(fluid.fit_error("colour"), None);
    });
}

#[test]
fn the_lines_end_where_they_say() {
    each(|fluid| {
        let range = fluid.range();
        let cold = range.temperature_min;
        let (p_bubble, p_dew) = (fluid.bubble_pressure(cold).unwrap(), fluid.dew_pressure(cold).unwrap());
        let top = range.pressure_max;
        for p in [p_bubble, top] {
            fluid.bubble_p(p).unwrap();
        }
        for p in [p_dew, top] {
            fluid.dew_p(p).unwrap();
        }
        for t in [cold, range.bubble_temperature_max] {
            fluid.bubble_t(t).unwrap();
        }
        for t in [cold, range.dew_temperature_max] {
            fluid.dew_t(t).unwrap();
        }
        fails(fluid.bubble_temperature(p_bubble * (1.0 - OUT)), "pressure", End::Least, p_bubble);
        fails(fluid.dew_temperature(p_dew * (1.0 - OUT)), "pressure", End::Least, p_dew);
        fails(fluid.dew_temperature(1.0), "pressure", End::Least, p_dew);
        fails(fluid.bubble_p(top * (1.0 + OUT)), "pressure", End::Greatest, top);
        fails(fluid.dew_p(top * (1.0 + OUT)), "pressure", End::Greatest, top);
        fails(fluid.bubble_pressure(cold * (1.0 - OUT)), "temperature", End::Least, cold);
        fails(fluid.dew_pressure(cold * (1.0 - OUT)), "temperature", End::Least, cold);
        let hottest = range.bubble_temperature_max;
        fails(fluid.bubble_t(hottest * (1.0 + OUT)), "temperature", End::Greatest, hottest);
        let hottest = range.dew_temperature_max;
        fails(fluid.dew_t(hottest * (1.0 + OUT)), "temperature", End::Greatest, hottest);
    });
}

#[test]
fn vapour_ends_where_it_says() {
    each(|fluid| {
        let range = fluid.range();
        let (low, high) = (range.pressure_min, range.pressure_max);
        let warm = range.temperature_min + 10.0;
        fluid.vapour_pt(low, warm).unwrap();
        fails(fluid.vapour_pt(low * (1.0 - OUT), warm), "pressure", End::Least, low);
        fails(fluid.vapour_pt(high * (1.0 + OUT), 400.0), "pressure", End::Greatest, high);
        fluid.vapour_pt(low, range.temperature_min).unwrap();
        fails(fluid.vapour_pt(low, range.temperature_min * (1.0 - OUT)), "temperature", End::Least, 223.15);
        for p in [fluid.dew_pressure(230.0).unwrap(), 5e5, high] {
            let dew = fluid.dew_temperature(p).unwrap();
            let hottest = dew + 120.0;
            let (cold_state, hot_state) = (fluid.vapour_pt(p, dew).unwrap(), fluid.vapour_pt(p, hottest).unwrap());
            fails(fluid.vapour_pt(p, dew * (1.0 - OUT)), "temperature", End::Least, dew);
            fails(fluid.vapour_density(p, dew * (1.0 - OUT)), "temperature", End::Least, dew);
            fails(fluid.vapour_pt(p, hottest * (1.0 + OUT)), "temperature", End::Greatest, hottest);
            fails(fluid.state_pt(p, hottest * (1.0 + OUT)), "temperature", End::Greatest, hottest);
            let (h, s) = (hot_state.enthalpy, hot_state.entropy);
            fluid.state_ph(p, h).unwrap();
            fluid.state_ps(p, s).unwrap();
            fails(fluid.state_ph(p, h * (1.0 + OUT)), "enthalpy", End::Greatest, h);
            fails(fluid.flow_ph(p, h * (1.0 + OUT)), "enthalpy", End::Greatest, h);
            fails(fluid.state_ps(p, s * (1.0 + OUT)), "entropy", End::Greatest, s);
            assert!(cold_state.enthalpy < h);
        }
    });
}

#[test]
fn liquid_ends_where_it_says() {
    each(|fluid| {
        let range = fluid.range();
        let (cold, pc) = (range.temperature_min, range.liquid_pressure_max);
        fluid.liquid_pt(pc, cold).unwrap();
        fluid.liquid_pt(pc, range.bubble_temperature_max).unwrap();
        fails(fluid.liquid_pt(pc * (1.0 + OUT), 300.0), "pressure", End::Greatest, pc);
        fails(fluid.state_ph(pc * (1.0 + OUT), 250e3), "pressure", End::Greatest, pc);
        fails(
            fluid.state_pt(pc, range.bubble_temperature_max * (1.0 + OUT)),
            "temperature",
            End::Greatest,
            range.bubble_temperature_max,
        );
        for p in [5e5, range.pressure_max, pc] {
            let state = fluid.liquid_pt(p, cold).unwrap();
            fails(fluid.liquid_pt(p, cold * (1.0 - OUT)), "temperature", End::Least, cold);
            fails(fluid.state_pt(p, cold * (1.0 - OUT)), "temperature", End::Least, cold);
            let (h, s) = (state.enthalpy, state.entropy);
            fluid.state_ph(p, h).unwrap();
            fluid.state_ps(p, s).unwrap();
            fails(fluid.state_ph(p, h * (1.0 - OUT)), "enthalpy", End::Least, h);
            fails(fluid.state_ps(p, s * (1.0 - OUT)), "entropy", End::Least, s);
        }
        let bubble = fluid.bubble_temperature(5e5).unwrap();
        fails(fluid.liquid_pt(5e5, bubble * (1.0 + OUT)), "temperature", End::Greatest, bubble);
        let hottest = fluid.liquid_pt(pc, range.bubble_temperature_max).unwrap();
        fails(fluid.state_ph(pc, hottest.enthalpy * (1.0 + OUT)), "enthalpy", End::Greatest, hottest.enthalpy);
    });
}

/// Where a line lies under -50 degC the phases still do not answer for what is colder.
#[test]
fn nothing_is_answered_below_the_coldest() {
    each(|fluid| {
        let range = fluid.range();
        let p = range.pressure_min;
        let floor = fluid.state_pt(p, range.temperature_min).unwrap();
        fluid.state_ph(p, floor.enthalpy).unwrap();
        fluid.state_ps(p, floor.entropy).unwrap();
        for below in [floor.enthalpy * (1.0 - OUT), 200e3, 0.0, -1e6] {
            fails(fluid.state_ph(p, below), "enthalpy", End::Least, floor.enthalpy);
            fails(fluid.flow_ph(p, below), "enthalpy", End::Least, floor.enthalpy);
        }
        fails(fluid.state_ps(p, floor.entropy * (1.0 - OUT)), "entropy", End::Least, floor.entropy);
    });
}

#[test]
fn what_is_not_a_number_is_an_error_everywhere() {
    each(|fluid| {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, -0.0, 0.0] {
            assert!(fluid.dew_temperature(bad).is_err());
            assert!(fluid.bubble_temperature(bad).is_err());
            assert!(fluid.dew_pressure(bad).is_err());
            assert!(fluid.bubble_pressure(bad).is_err());
            assert!(fluid.dew_p(bad).is_err());
            assert!(fluid.bubble_t(bad).is_err());
            for (p, second) in [(bad, 300.0), (5e5, bad), (bad, bad)] {
                assert!(fluid.vapour_pt(p, second).is_err());
                assert!(fluid.vapour_density(p, second).is_err());
                assert!(fluid.liquid_pt(p, second).is_err());
                assert!(fluid.state_pt(p, second).is_err());
                assert!(fluid.state_ph(p, second).is_err());
                assert!(fluid.state_ps(p, second).is_err());
                assert!(fluid.flow_ph(p, second).is_err());
            }
        }
    });
}

#[test]
fn errors_say_what_was_passed() {
    let fluid = named("R-410A").unwrap();
    assert_eq!(
        fluid.dew_temperature(5e6).unwrap_err().to_string(),
        "R-410A: pressure 5000000 Pa is above 4558116 Pa, 0.93 of the critical pressure, the top of its range"
    );
    assert_eq!(
        fluid.dew_pressure(200.0).unwrap_err().to_string(),
        "R-410A: temperature 200.000 K is below 223.150 K, -50 degC, the coldest of its range"
    );
    assert_eq!(
        fluid.bubble_pressure(f64::NAN).unwrap_err().to_string(),
        "R-410A: temperature is not a number (-50 degC, the coldest of its range: 223.150 K)"
    );
    assert_eq!(
        fluid.vapour_pt(f64::INFINITY, 300.0).unwrap_err().to_string(),
        "R-410A: pressure inf Pa is above 4558116 Pa, 0.93 of the critical pressure, the top of its range"
    );
}
