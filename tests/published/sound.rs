//! Sound: levels, weights, what the air and screens take.

use crate::evidence::{Table, number, reproduce};
use roofrun::physics::air_absorption::{Air, absorption};
use roofrun::physics::atmosphere::SEA_LEVEL;
use roofrun::physics::barrier::{Detour, Past};
use roofrun::physics::sound::{
    A_WEIGHTS, OCTAVES_HZ, REFLECTING_PLANE, divergence, exact_octaves, fan_speed, hard_ground, sum, wavelength,
};
use roofrun::units::Temperature;

pub const TABLES: &[Table] = &[
    Table("air absorption", "dB/km", |at| 1e3 * absorbed(at)),
    Table("air absorption per metre", "dB/m", absorbed),
    Table("A-weight", "dB", |at| A_WEIGHTS[octave(at[0])]),
    Table("exact mid-band frequency", "Hz", |at| exact_octaves()[octave(at[0])]),
    Table("levels added", "dB", |at| sum(at.iter().map(|level| number(level)))),
    Table("levels added in whole decibels", "dB", |at| sum(at.iter().map(|level| number(level)))),
    Table("spreading", "dB", |at| divergence(number(at[0]))),
    Table("spreading over a plane", "dB", |at| divergence(number(at[0])) - REFLECTING_PLANE),
    Table("hard ground", "dB", |at| {
        let metres = |number: usize| self::number(at[number].split(" = ").nth(1).unwrap());
        -REFLECTING_PLANE - hard_ground(metres(0), metres(1), metres(2))
    }),
    Table("fan speed", "dB", |at| fan_speed(number(at[0]))),
    Table("one edge", "dB", |at| past(at, 0.0)),
    Table("two edges", "dB", |at| past(at, 1.0)),
];

fn octave(argument: &str) -> usize {
    OCTAVES_HZ.iter().position(|hz| (hz - number(argument)).abs() < 1e-9).unwrap()
}

/// What the air takes, dB/m, at the exact mid-band frequency of the third of an octave.
fn absorbed(at: &[&str]) -> f64 {
    let (celsius, percent, nominal) = (number(at[0]), number(at[1]), number(at[2]));
    let air = Air {
        temperature: Temperature::from_kelvin((celsius * 100.0 + 27_315.0) / 100.0),
        humidity: percent / 100.0,
        pressure: SEA_LEVEL,
    };
    let exact = 1e3 * 10f64.powf((10.0 * (nominal / 1e3).log10()).round() / 10.0);
    absorption(exact, &air).unwrap()
}

/// What edges take, a metre apart where there are two, where the way past them is longer by `z = ...`.
fn past(at: &[&str], between: f64) -> f64 {
    let longer = number(at[0].strip_prefix("z = ").unwrap());
    let way = Detour {
        to_edge_m: 50.0,
        from_edge_m: 50.0 + longer - between,
        between_m: between,
        along_m: 0.0,
        straight_m: 100.0,
        clear: false,
    };
    way.screening(wavelength(number(at[1])), Past::Top)
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}

#[test]
fn the_octaves_of_the_table_are_those_that_the_program_uses() {
    for (nominal, exact) in OCTAVES_HZ.iter().zip(exact_octaves()) {
        let third = 1e3 * 10f64.powf((10.0 * (nominal / 1e3).log10()).round() / 10.0);
        assert!((third / exact - 1.0).abs() < 1e-12, "{nominal}");
    }
}

/// A screen by the formula of ISO 9613-2, 7.4, every step written out: source 1 m and listener 1.5 m over the ground, 40 m apart; a
/// wall 3.5 m high 10 m from the source.
#[test]
fn a_wall_by_the_standard_step_by_step() {
    let near = |got: f64, hand: f64, within: f64| assert!((got - hand).abs() <= within, "{got}, by hand {hand}");
    // d = (40^2 + 0.5^2)^(1/2) = 1600.25^(1/2) = 40.0031
    // d_ss = (10^2 + 2.5^2)^(1/2) = 106.25^(1/2) = 10.3078
    // d_sr = (30^2 + 2.0^2)^(1/2) = 904^(1/2) = 30.0666
    let way = Detour {
        to_edge_m: 106.25_f64.sqrt(),
        from_edge_m: 904.0_f64.sqrt(),
        between_m: 0.0,
        along_m: 0.0,
        straight_m: 1600.25_f64.sqrt(),
        clear: false,
    };
    near(way.to_edge_m, 10.3078, 5e-5);
    near(way.from_edge_m, 30.0666, 5e-5);
    near(way.straight_m, 40.0031, 5e-5);
    // z = 10.3078 + 30.0666 - 40.0031 = 0.3713
    near(way.longer_m(), 0.3713, 1e-4);
    // d_ss d_sr d / (2 z) = 12397.8 / 0.7426 = 16695; its root 129.2; K_met = exp(-129.2 / 2000) = exp(-0.0646) = 0.9374
    near(way.weather(Past::Top), 0.9374, 1e-4);
    // 63 Hz, lambda 5.397: 3 + 3.706 x 0.3481 = 4.290; 6.32 dB. 500 Hz, lambda 0.680: 3 + 29.41 x 0.3481 = 13.24; 11.22 dB.
    // 4000 Hz, lambda 0.085: 3 + 235.3 x 0.3481 = 84.91; 19.29 dB. 8000 Hz: 3 + 470.6 x 0.3481 = 166.8; 22.2, so 20 dB.
    for (hz, hand) in [(63.0, 6.32), (500.0, 11.22), (4000.0, 19.29), (8000.0, 20.0)] {
        near(way.screening(wavelength(hz), Past::Top), hand, 0.006);
    }
    // Round an end the weather takes nothing: 500 Hz, 3 + 29.41 x 0.3713 = 13.92; 11.44 dB.
    near(way.screening(wavelength(500.0), Past::End), 11.44, 0.006);
    // Two edges 2 m apart at the same z: C_3 = (1 + 1.7^2) / (1/3 + 1.7^2) = 3.89 / 3.2233 = 1.2068. With d_ss 10.3078 and d_sr
    // 28.0666: 11573.2 / 0.7426 = 15585, root 124.8, K_met = 0.9395; 3 + 29.41 x 1.2068 x 0.3488 = 15.38; 11.87 dB.
    let two = Detour { from_edge_m: way.from_edge_m - 2.0, between_m: 2.0, ..way };
    near(two.longer_m(), 0.3713, 1e-4);
    near(two.weather(Past::Top), 0.9395, 1e-4);
    near(two.screening(wavelength(500.0), Past::Top), 11.87, 0.006);
}
