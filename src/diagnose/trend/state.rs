//! What a moment of a trend says of a machine: whether it runs, with how much, and its readings as a set.

use crate::diagnose::trend::expectation::At;
use crate::job::Point;
use crate::job::{Circuit, Instrument, Read, Reading, Runs, Saturation, Set, Station};
use crate::refrigerant::Refrigerant;
use crate::trend::{Log, Moment};

/// Power factor of a compressor's motor near its load (assumption).
const POWER_FACTOR: f64 = 0.85;
/// Discharge over suction pressure past which compressors run.
const RUNS: f64 = 1.25;

/// Condensing over outdoor under which no heat is rejected, K (assumption: sensors, and sun on a coil that stands).
const REJECTS: f64 = 3.0;

/// How moments of a log are understood.
pub struct Reader<'a> {
    pub circuit: &'a Circuit,
    pub fluid: &'static Refrigerant,
    pub log: &'a Log,
    /// What is the same at all times.
    pub always: &'a Set,
}

/// What runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    /// Share of displacement; 0 where nothing runs.
    pub share: f64,
    /// Share of the fans, where it is logged.
    pub fans: Option<f64>,
}

impl Reader<'_> {
    /// Discharge and suction pressure, Pa, also from what a screen makes of them.
    pub fn pressures(&self, moment: &Moment) -> [Option<f64>; 2] {
        let of = |pressure: Reading, saturated: Point| {
            let by_temperature = || moment.get(saturated).and_then(|kelvin| self.fluid.dew_pressure(kelvin).ok());
            moment.get(Point::Of(pressure)).or_else(by_temperature)
        };
        [
            of(Reading::DischargePressure, Point::DischargeSaturated),
            of(Reading::SuctionPressure, Point::SuctionSaturated),
        ]
    }

    fn as_cold_as_air(&self, high: f64, moment: &Moment) -> bool {
        let outdoor = moment.get(Point::Of(Reading::Outdoor)).or(self.at_all_times(Reading::Outdoor));
        let condensing = self.fluid.dew_temperature(high).ok();
        condensing.zip(outdoor).is_some_and(|(condensing, outdoor)| condensing < outdoor + REJECTS)
    }

    /// What runs; none where the moment does not say.
    pub fn running(&self, moment: &Moment) -> Option<Running> {
        let count = f64::from(self.circuit.compressors.count.max(1));
        let by_count = moment.get(Point::Running).map(|running| (running / count).clamp(0.0, 1.0));
        let by_share = moment.get(Point::Share).map(|share| share.clamp(0.0, 1.0));
        let by_pressures = match self.pressures(moment) {
            [Some(high), Some(low)] => Some(high > RUNS * low),
            // No warmer than the air, nothing is rejected.
            [Some(high), None] if self.as_cold_as_air(high, moment) => Some(false),
            _ => None,
        };
        let columns = self.log.has(Point::Running) || self.log.has(Point::Share);
        let always = match (self.always.running, by_pressures) {
            // Where no pressures tell of a stop, it runs as was said.
            (Some(Runs::Count(running)), Some(true)) => Some((f64::from(running) / count).min(1.0)),
            (Some(Runs::Share(share)), Some(true)) => Some(share),
            (Some(Runs::Count(running)), None) if !columns => Some((f64::from(running) / count).min(1.0)),
            (Some(Runs::Share(share)), None) if !columns => Some(share),
            _ => None,
        };
        let share = match (by_count.or(by_share).or(always), by_pressures) {
            (Some(share), _) => share,
            _ if columns => return None,
            (None, by_pressures) => f64::from(by_pressures?),
        };
        let turn = moment.get(Point::FansTurn).zip(self.log.fans).map(|(turn, of)| (turn / of).clamp(0.0, 1.0));
        let fans = turn.or(moment.get(Point::Of(Reading::Fans)));
        Some(Running { share, fans })
    }

    fn at_all_times(&self, reading: Reading) -> Option<f64> {
        self.always.values.get(&reading).map(|read| read.value)
    }

    /// What the readings of a healthy machine depend on.
    pub fn at(&self, moment: &Moment, share: f64) -> Option<At> {
        Some(At {
            outdoor_K: moment.get(Point::Of(Reading::Outdoor)).or(moment.get(Point::Of(Reading::AirOn)))?,
            leaving_K: moment.get(Point::Of(Reading::LeavingFluid)).or(self.at_all_times(Reading::LeavingFluid)),
            share,
            bypass: moment.get(Point::Bypass).map(|open| open > 0.5).or(self.always.bypass),
        })
    }

    /// The readings of a moment.
    pub fn set(&self, moment: &Moment, running: Running) -> Set {
        let plain = |value: f64| Read { value, step: 0.0 };
        let get = |point: Point| moment.get(point).map(plain);
        let of = |reading: Reading| get(Point::Of(reading));
        let place =
            |pressure: Reading, saturated: Option<Point>, temperature: Reading, margin: Option<Point>| Station {
                pressure: of(pressure),
                saturated: saturated.and_then(get).map(|read| (read, Saturation::Dew)),
                temperature: of(temperature),
                margin: margin.and_then(get).filter(|_| of(temperature).is_none()),
                pressure_by: Some(Instrument::Screen),
                temperature_by: Some(Instrument::Screen),
            };
        let mut set = Set {
            circuit: Some(self.circuit.name.clone()),
            discharge: place(
                Reading::DischargePressure,
                Some(Point::DischargeSaturated),
                Reading::DischargeTemperature,
                None,
            ),
            suction: place(
                Reading::SuctionPressure,
                Some(Point::SuctionSaturated),
                Reading::SuctionTemperature,
                Some(Point::Superheat),
            ),
            liquid: place(Reading::LiquidPressure, None, Reading::LiquidTemperature, Some(Point::Subcooling)),
            valve: place(Reading::ValvePressure, None, Reading::ValveTemperature, None),
            liquid_at: self.always.liquid_at,
            running: Some(Runs::Share(running.share)),
            bypass: moment.get(Point::Bypass).map(|open| open > 0.5).or(self.always.bypass),
            values: self.always.values.clone(),
            ..Set::default()
        };
        let alone = [
            Reading::Outdoor,
            Reading::AirOn,
            Reading::AirOff,
            Reading::DrierOut,
            Reading::CondenserOut,
            Reading::EnteringFluid,
            Reading::LeavingFluid,
            Reading::FluidFlow,
            Reading::Power,
            Reading::ValveOpen,
            Reading::ReceiverLevel,
        ];
        set.values.extend(alone.into_iter().filter_map(|reading| Some((reading, of(reading)?))));
        set.values.extend(running.fans.map(|share| (Reading::Fans, plain(share))));
        let amps = moment.get(Point::Amps).zip(moment.get(Point::Volts));
        if let (Some((amps, volts)), false) = (amps, set.values.contains_key(&Reading::Power)) {
            set.values.insert(Reading::Power, plain(3.0_f64.sqrt() * POWER_FACTOR * amps * volts));
            set.power_by_amps = true;
        }
        set
    }
}
