//! Weather files: a year of hourly records, read in full, and what a designer takes from it.

mod calendar;
mod climate;
mod epw;
mod errors;
mod file;
mod header;
mod hours;
mod items;
mod plausibility;
mod reading;
mod record;
mod rose;
mod tmy3;
mod year;

pub use calendar::{Weekday, date, when};
pub use climate::{Climate, DryBulb, Exceeded, Extreme, Pressure, Summary};
pub use errors::{LineError, LineErrors, WeatherFault};
pub use file::{open, read};
pub use items::{DesignConditions, Ground, Header, Period};
pub use plausibility::Implausible;
pub use record::{Location, Record};
pub use rose::{Prevailing, Rose, Sector, Wind};
pub use year::{COLDEST, Format, Weather, reached_in};
