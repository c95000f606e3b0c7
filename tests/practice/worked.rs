//! Examples worked by others, against the properties and formulas that the drawings are solved with.

use approx::assert_relative_eq;
use roofrun::physics::flooding::flooded_share;
use roofrun::physics::thermal_expansion;
use roofrun::refdata;
use roofrun::refrigerant::{Refrigerant, named};
use roofrun::units::{Temperature, kelvins};

const PSI: f64 = 6894.757_293_168;
const ATMOSPHERE: f64 = 101_325.0;

fn kelvin(fahrenheit: f64) -> f64 {
    (fahrenheit + 459.67) / 1.8
}

fn fahrenheit(kelvin: f64) -> f64 {
    kelvin * 1.8 - 459.67
}

fn bubble(fluid: &Refrigerant, psig: f64) -> f64 {
    fahrenheit(fluid.bubble_p(psig * PSI + ATMOSPHERE).unwrap().temperature)
}

#[test]
fn c1_the_least_subcooling_of_a_lift() {
    // R-22 condensing at 211 psig; drier 1, friction 2, 40 ft of lift 20 psi: 188 psig; 7.9 F computed, the printed answer not seen.
    let fluid = named("R-22").unwrap();
    let needed = bubble(fluid, 211.0) - bubble(fluid, 188.0);
    assert!((needed - 7.9).abs() < 0.05, "{needed}");
    // The static head that the example counts 0.5 psi a foot.
    let liquid = fluid.bubble_t(kelvin(105.0)).unwrap().density;
    let head = liquid * 9.806_65 * 40.0 * 0.3048 / PSI;
    assert!((head - 20.0).abs() < 1.5, "{head}");
}

#[test]
fn c2_an_attic_takes_all_that_is_left() {
    // R-410A at 110 F is 368 psig as printed; less 15 psi it boils at 107 F, where the liquid has come to.
    let fluid = named("R-410A").unwrap();
    let psig = (fluid.bubble_t(kelvin(110.0)).unwrap().pressure - ATMOSPHERE) / PSI;
    assert!((psig - 368.0).abs() < 2.0, "{psig}");
    let boils = bubble(fluid, psig - 15.0);
    assert!((boils - 107.0).abs() < 0.2, "{boils}");
    assert!(boils - (110.0 - 5.0 + 2.0) < 0.2);
}

#[test]
fn c5_areas_of_a_double_riser() {
    // 3-1/8 in: 6.812 in2; 2-1/8: 3.095; the other tube takes 3.717, between 2-1/8 and 2-5/8.
    let square_inches = |name: &str| {
        let bore = refdata::tube(name).unwrap().bore().value / 0.0254;
        std::f64::consts::PI / 4.0 * bore * bore
    };
    let [one, small, between] = ["3-1/8 L", "2-1/8 L", "2-5/8 L"].map(square_inches);
    assert!((one - 6.812).abs() < 0.001 && (small - 3.095).abs() < 0.001, "{one} {small}");
    assert!(small < one - small && one - small < between);
    assert!((one - small - 3.717).abs() < 0.001);
}

#[test]
fn c7_the_flooded_share_and_the_liquid_in_a_tube() {
    // Hold 90 F, outdoor 0 F, a design difference of 15 F: 83 % of the coil.
    let share = flooded_share(
        kelvins(15.0 / 1.8),
        1.0,
        Temperature::from_kelvin(kelvin(90.0)),
        Temperature::from_kelvin(kelvin(0.0)),
    );
    assert!((share.unwrap() - 0.83).abs() < 0.005);
}

#[test]
fn c8_a_hundred_feet_by_a_hundred_degrees() {
    let growth = thermal_expansion::COPPER * 100.0 / 1.8 * 1200.0;
    assert_relative_eq!(growth, 1.128, max_relative = 1e-3);
}

#[test]
fn c11_what_a_lift_takes() {
    // Height in ft, refrigerant, psi and F as printed for liquid at 110 F; 14.1 F for R-404A at 40 ft is a misprint and left out.
    let printed = [
        (10.0, "R-134a", 4.9, 2.0),
        (10.0, "R-22", 4.8, 1.6),
        (10.0, "R-404A", 4.1, 1.1),
        (40.0, "R-134a", 19.7, 8.8),
        (40.0, "R-22", 19.4, 6.2),
        (100.0, "R-134a", 49.1, 23.7),
        (100.0, "R-22", 48.4, 16.5),
        (100.0, "R-404A", 40.8, 11.8),
    ];
    for (feet, name, psi, degrees) in printed {
        let fluid = named(name).unwrap();
        let liquid = fluid.bubble_t(kelvin(110.0)).unwrap();
        let head = liquid.density * 9.806_65 * feet * 0.3048 / PSI;
        assert!((head - psi).abs() < 0.02 * psi + 0.06, "{name} {feet}: {head}");
        let boils = fluid.bubble_p(liquid.pressure - psi * PSI).unwrap().temperature;
        let lost = 110.0 - fahrenheit(boils);
        assert!((lost - degrees).abs() < 0.35, "{name} {feet}: {lost}");
    }
}
