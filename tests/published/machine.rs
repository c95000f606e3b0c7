//! Compressor maps, the scroll, the coil at altitude, flooding.

use crate::evidence::{FOOT, Table, kelvin, number, reproduce};
use roofrun::job::{Bypass, BypassWhen, Compressors, Condenser, HeadControl, Performance, RatedAt};
use roofrun::machine::{Coil, Compressor, Surroundings, volumetric_efficiency};
use roofrun::physics::atmosphere;
use roofrun::physics::flooding::flooded_share;
use roofrun::physics::polynomial::ten_coefficient;
use roofrun::refrigerant::named;
use roofrun::units::{Temperature, kelvins, metres, pascals, watts};

pub const TABLES: &[Table] = &[
    Table("flow of a map", "lb/h", |at| ten_coefficient(&FLOW, number(at[0]), number(at[1]))),
    Table("power of a map", "W", |at| ten_coefficient(&POWER, number(at[0]), number(at[1]))),
    Table("volumetric efficiency", "-", |at| volumetric_efficiency(number(at[0]))),
    Table("best pressure ratio", "-", best_pressure_ratio),
    Table("capacity of a coil at altitude", "-", |at| coil_at(number(at[0]) * FOOT) / coil_at(0.0)),
    Table("flooded share", "-", |at| {
        // The difference over the rated one.
        let setpoint = Temperature::from_kelvin(300.0 + 10.0 * number(at[0]));
        flooded_share(kelvins(10.0), 1.0, setpoint, Temperature::from_kelvin(300.0)).unwrap()
    }),
];

/// Coefficients of an R-134a compressor, lb/h and F, from the tests of an open heat-pump model.
const FLOW: [f64; 10] =
    [217.316_312_8, 5.094_492_028, -0.593_170_311, 4.38e-2, -2.14e-2, 1.04e-2, 7.90e-5, -5.73e-5, 1.79e-4, -8.08e-5];
/// The same compressor, W and F.
const POWER: [f64; 10] = [
    -561.361_570_5,
    -15.626_018_41,
    46.925_066_85,
    -0.217_949_552,
    0.435_062_616,
    -0.442_400_826,
    2.25e-4,
    2.37e-3,
    -3.32e-3,
    2.50e-3,
];

/// Pressure ratio at which a scroll has its best overall isentropic efficiency, R-134a evaporating at `at[1]`.
fn best_pressure_ratio(at: &[&str]) -> f64 {
    let fluid = named(at[0]).unwrap();
    let evaporating = kelvin(at[1]);
    let scroll = Compressors {
        count: 1,
        minimum_share: 1.0,
        rated_at: RatedAt {
            suction: Temperature::from_kelvin(evaporating),
            condensing: Temperature::from_kelvin(kelvin("110 F")),
            superheat: kelvins(10.0),
            subcooling: kelvins(5.0),
        },
        performance: Performance::Rating { capacity: watts(50_000.0), power: watts(11_500.0) },
        bypass: Bypass { share: 0.0, when: BypassWhen::Never },
        discharge_limit: None,
        envelope: Vec::new(),
        oil: None,
    };
    let compressor = Compressor::new(fluid, &scroll).unwrap();
    let suction = fluid.dew_pressure(evaporating).unwrap();
    let efficiency = |ratio: f64| {
        let running = compressor.run(fluid, evaporating, 10.0, ratio * suction, 1.0).unwrap();
        let ideal = fluid.state_ps(ratio * suction, running.suction.entropy).unwrap().enthalpy;
        (ideal - running.suction.enthalpy) * running.flow_kg_s / running.power_W
    };
    let ratios = (150..=500).map(|hundredth| f64::from(hundredth) / 100.0);
    ratios.max_by(|a, b| efficiency(*a).total_cmp(&efficiency(*b))).unwrap()
}

/// What a coil of unknown air flow, rated at sea level, rejects per kelvin at an altitude, W/K.
fn coil_at(altitude: f64) -> f64 {
    let condenser = Condenser {
        rejection: watts(100_000.0),
        td: kelvins(10.0),
        air_flow: None,
        rated_altitude: metres(0.0),
        pressure_drop: pascals(0.0),
        subcooling: kelvins(5.0),
        elevation: metres(0.0),
        volume: None,
        recirculation: None,
        fan_power: None,
        cutout: None,
        head_control: HeadControl::None,
        stop_valves: false,
        coils: 1,
        legs: None,
    };
    let atmosphere = atmosphere::pressure(metres(altitude)).unwrap().pascals();
    Coil::new(&condenser).unwrap().per_kelvin(&Surroundings { atmosphere_Pa: atmosphere, air_on_K: 308.15 }, 1.0)
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
