//! Head pressure held up by backing liquid into the condenser.

use super::OutOfBounds;
use crate::units::{Temperature, TemperatureDifference};

/// Share of a condenser's surface to flood so that it condenses at `setpoint` and not below:
///
/// share = 1 - TD x load / (hold - outdoor), and 0 where the coil needs all its surface
///
/// | symbol | is | unit | range |
/// | --- | --- | --- | --- |
/// | TD | condensing less air, at the rated rejection with the whole surface, `rated` | K | |
/// | load | rejection over the rated one | - | |
/// | hold | condensing temperature to be held | K | above `outdoor` |
/// | outdoor | air on the coil | K | |
///
/// # Errors
/// [`OutOfBounds`] where `setpoint` is not above `outdoor`: no share of flooding condenses there.
///
/// Source: `common-practice`.
///
/// ```
/// use roofrun::physics::flooding::flooded_share;
/// use roofrun::units::{Temperature, kelvins};
/// let f = |fahrenheit: f64| Temperature::from_kelvin((fahrenheit + 459.67) / 1.8);
/// let share = flooded_share(kelvins(15.0 / 1.8), 1.0, f(90.0), f(0.0)).unwrap();
/// assert_eq!(format!("{share:.3}"), "0.833");
/// ```
pub fn flooded_share(
    rated: TemperatureDifference,
    load: f64,
    setpoint: Temperature,
    outdoor: Temperature,
) -> Result<f64, OutOfBounds> {
    let difference = setpoint.kelvin() - outdoor.kelvin();
    if difference.is_nan() || difference <= 0.0 {
        return Err(OutOfBounds {
            what: "condensing temperature to be held",
            value: setpoint.kelvin(),
            bound: outdoor.kelvin(),
            unit: "K",
            below: true,
        });
    }
    Ok((1.0 - rated.value * load / difference).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::kelvins;
    use approx::assert_relative_eq;

    #[test]
    fn nothing_to_flood_and_nothing_to_hold() {
        let share = |setpoint, outdoor| {
            flooded_share(kelvins(10.0), 1.0, Temperature::from_kelvin(setpoint), Temperature::from_kelvin(outdoor))
        };
        assert_relative_eq!(share(300.0, 290.0).unwrap(), 0.0);
        assert_relative_eq!(share(300.0, 295.0).unwrap(), 0.0);
        assert!(share(300.0, 300.0).is_err() && share(f64::NAN, 290.0).is_err());
    }

    /// By hand: 15 F over 90 F from 0 F leaves a sixth of the surface, half the load a twelfth.
    #[test]
    fn what_is_not_flooded_carries_the_load() {
        let share = |load| {
            let warm = |fahrenheit: f64| Temperature::from_kelvin((fahrenheit + 459.67) / 1.8);
            flooded_share(kelvins(15.0 / 1.8), load, warm(90.0), warm(0.0)).unwrap()
        };
        assert_relative_eq!(share(1.0), 5.0 / 6.0, max_relative = 1e-12);
        assert_relative_eq!(share(0.5), 11.0 / 12.0, max_relative = 1e-12);
    }
}
