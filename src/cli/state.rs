//! `state`: a refrigerant's properties.

use super::arguments::{Format, State};
use super::screen::{self, Trouble, View};
use crate::layout::{Grid, Hang, Sheet, style, whole};
use crate::physics::atmosphere;
use crate::refdata;
use crate::refrigerant::{self, OutOfRange, Phase, Refrigerant};
use crate::report::{schema_of, write_json};
use crate::units::{Kind, System, factor, metres, quantity, spelling};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;
use std::process::ExitCode;

/// What is asked of the refrigerant, K and Pa.
enum Asked {
    Card,
    At { temperature: f64 },
    Under { pressure: f64 },
    Both { temperature: f64, pressure: f64 },
}

/// The refrigerant asked, the units and the atmosphere of the answer.
struct Question {
    refrigerant: &'static Refrigerant,
    units: System,
    atmosphere: f64,
}

pub(super) fn run(what: &State, view: View) -> Result<ExitCode, Trouble> {
    let units = view.units.unwrap_or_default();
    let refrigerant = find(&what.refrigerant)?;
    let altitude = read("--altitude", &what.altitude, Kind::Length, units, atmosphere::SEA_LEVEL.pascals())?;
    let atmosphere = atmosphere::pressure(metres(altitude)).map_err(Trouble::words)?.pascals();
    let read_as = |option: &str, text: &Option<String>, kind: Kind| {
        text.as_ref().map(|text| read(option, text, kind, units, atmosphere)).transpose()
    };
    let temperature = read_as("--temperature", &what.temperature, Kind::Temperature)?;
    let pressure = read_as("--pressure", &what.pressure, Kind::Pressure)?;
    let asked = match (temperature, pressure) {
        (None, None) => Asked::Card,
        (Some(temperature), None) => Asked::At { temperature },
        (None, Some(pressure)) => Asked::Under { pressure },
        (Some(temperature), Some(pressure)) => Asked::Both { temperature, pressure },
    };
    let question = Question { refrigerant, units, atmosphere };
    let text = match what.format {
        Format::Json => question.as_json(&asked)?,
        Format::Text => {
            let mut sheet = Sheet::new(view.width);
            question.as_text(&asked, &mut sheet)?;
            sheet.finish()
        }
    };
    screen::answer(&text, false)
}

/// The refrigerant of a name as people write it.
pub(super) fn find(name: &str) -> Result<&'static Refrigerant, Trouble> {
    refrigerant::called(name).ok_or_else(|| {
        let hint = match spelling::nearest(name, refrigerant::names().iter().copied()) {
            Some(near) => format!("did you mean {near}?"),
            None => "`roofrun list refrigerants` shows them".to_owned(),
        };
        Trouble::words(format!("no refrigerant `{name}` here; {hint}"))
    })
}

fn read(option: &str, text: &str, kind: Kind, units: System, atmosphere: f64) -> Result<f64, Trouble> {
    quantity(text, kind, units, atmosphere).map_err(|misread| {
        let instead = misread.instead.as_ref().map(|right| format!("; write \"{right}\"")).unwrap_or_default();
        Trouble::words(format!("{option} \"{text}\": {misread}{instead}"))
    })
}

impl Question {
    /// An answer out of range, in the units asked.
    fn beyond(&self, fault: &OutOfRange) -> Trouble {
        let both = [fault.value, fault.bound];
        let [value, bound] = match fault.unit {
            "Pa" => Kind::Pressure.show_apart(self.units, both, self.atmosphere),
            "K" => Kind::Temperature.show_apart(self.units, both, self.atmosphere),
            "J/kg" => both.map(|value| self.units.enthalpy(value)),
            unit => both.map(|value| format!("{} {unit}", self.units.ratio(value))),
        };
        let side = if fault.value < fault.bound { "below" } else { "above" };
        let name = fault.refrigerant;
        Trouble::words(format!(
            "{name}: {} {value} is {side} {bound}, {} (`roofrun state {name}` shows the whole range)",
            fault.quantity, fault.meaning
        ))
    }

    fn pressure(&self, pascals: f64) -> String {
        self.units.gauge_or_vacuum(pascals, self.atmosphere)
    }

    /// A number under the gauge's unit; below the atmosphere with its own.
    fn gauge(&self, pascals: f64) -> String {
        self.units.gauge_or_vacuum_value(pascals, self.atmosphere)
    }

    /// Bubble and dew at a temperature or under a pressure.
    fn saturation(&self, asked: &Asked) -> Option<Result<(refrigerant::State, refrigerant::State), OutOfRange>> {
        let refrigerant = self.refrigerant;
        let both = |bubble: Result<_, OutOfRange>, dew: Result<_, OutOfRange>| Ok((bubble?, dew?));
        match asked {
            Asked::At { temperature } => {
                Some(both(refrigerant.bubble_t(*temperature), refrigerant.dew_t(*temperature)))
            }
            Asked::Under { pressure } => Some(both(refrigerant.bubble_p(*pressure), refrigerant.dew_p(*pressure))),
            Asked::Card | Asked::Both { .. } => None,
        }
    }

    fn as_json(&self, asked: &Asked) -> Result<String, Trouble> {
        let refrigerant = self.refrigerant.name();
        let document = if let Some(saturation) = self.saturation(asked) {
            let (bubble, dew) = saturation.map_err(|fault| self.beyond(&fault))?;
            Document::Saturated { refrigerant, bubble: (&bubble).into(), dew: (&dew).into() }
        } else if let Asked::Both { temperature, pressure } = asked {
            let (state, margin) = self.single(*temperature, *pressure)?;
            let of = |wanted: Phase| (state.phase == wanted).then_some(margin);
            Document::Single {
                refrigerant,
                state: (&state).into(),
                phase: phase(state.phase),
                superheat_K: of(Phase::Vapour),
                subcooling_K: of(Phase::Liquid),
            }
        } else {
            return Err(Trouble::words("JSON needs --temperature, --pressure or both"));
        };
        write_json(&document).map_err(Trouble::words)
    }

    /// A state, and its superheat or subcooling in K.
    fn single(&self, temperature: f64, pressure: f64) -> Result<(refrigerant::State, f64), Trouble> {
        let answer = || -> Result<_, OutOfRange> {
            let state = self.refrigerant.state_pt(pressure, temperature)?;
            let margin = match state.phase {
                Phase::Vapour => temperature - self.refrigerant.dew_temperature(pressure)?,
                // A liquid above the pressures of the bubble line has no bubble temperature.
                Phase::Liquid => self.refrigerant.bubble_temperature(pressure)? - temperature,
                Phase::TwoPhase => 0.0,
            };
            Ok((state, margin))
        };
        answer().map_err(|fault| self.beyond(&fault))
    }

    fn as_text(&self, asked: &Asked, sheet: &mut Sheet) -> Result<(), Trouble> {
        let units = self.units;
        let facts = refdata::facts(self.refrigerant.name());
        let title = match asked {
            Asked::Card => String::new(),
            Asked::At { temperature } => format!(" at {}", units.temperature_exact(*temperature)),
            Asked::Under { pressure } => format!(" at {}", self.pressure(*pressure)),
            Asked::Both { temperature, pressure } => {
                format!(" at {} and {}", units.temperature_exact(*temperature), self.pressure(*pressure))
            }
        };
        sheet.styled(Hang::flush(0), style::STRONG, &format!("{}{title}", self.refrigerant.name()));
        if let Some(facts) = facts {
            let parts: Vec<String> = facts
                .composition
                .iter()
                .map(|part| format!("{} {}", part.name, units.percent(part.mass_share)))
                .collect();
            let made_of = if parts.len() > 1 { format!(", {}", parts.join(", ")) } else { String::new() };
            sheet.paragraph(0, &format!("safety group {}{made_of}", facts.safety_group));
        }
        sheet.space();
        if let Some(saturation) = self.saturation(asked) {
            let (bubble, dew) = saturation.map_err(|fault| self.beyond(&fault))?;
            sheet.table(1, &self.properties(&[("bubble liquid", &bubble), ("dew vapor", &dew)]));
            let (end, at) = match asked {
                Asked::At { .. } => (self.refrigerant.dew_temperature(bubble.pressure), " at the bubble pressure"),
                _ => (Ok(dew.temperature), ""),
            };
            if let Ok(end) = end {
                sheet.space();
                sheet.paragraph(1, &format!("Glide {}{at}.", units.difference(end - bubble.temperature)));
            }
        } else if let Asked::Both { temperature, pressure } = asked {
            let (state, margin) = self.single(*temperature, *pressure)?;
            let words = match state.phase {
                Phase::Vapour => format!("Vapor, {} superheated.", units.difference(margin)),
                Phase::Liquid => format!("Liquid, {} subcooled.", units.difference(margin)),
                Phase::TwoPhase => {
                    let quality = state.quality.unwrap_or_default();
                    format!("Liquid and vapor, {} vapor by mass.", units.percent(quality))
                }
            };
            sheet.paragraph(1, &words);
            sheet.space();
            let head = if state.phase == Phase::Vapour { "vapor" } else { phase(state.phase) };
            sheet.table(1, &self.properties(&[(head, &state)]));
        } else {
            self.card(sheet);
        }
        Ok(())
    }

    /// Properties side by side.
    fn properties(&self, columns: &[(&str, &refrigerant::State)]) -> Grid {
        let units = self.units;
        let mut grid = Grid::new().left("");
        for (head, _) in columns {
            grid = grid.right(*head);
        }
        grid = grid.left("");
        let mut row = |name: &str, value: &dyn Fn(&refrigerant::State) -> String, unit: &str| {
            let mut cells = vec![name.to_owned()];
            cells.extend(columns.iter().map(|(_, state)| value(state)));
            cells.push(whole(unit));
            grid.row(cells);
        };
        row("pressure", &|s| self.gauge(s.pressure), units.pressure_gauge_unit());
        row("", &|s| units.pressure_absolute_value(s.pressure), units.pressure_absolute_unit());
        row("temperature", &|s| units.temperature_value(s.temperature), units.temperature_unit());
        row("density", &|s| units.density_value(s.density), units.density_unit());
        row("enthalpy", &|s| units.enthalpy_value(s.enthalpy), units.enthalpy_unit());
        row("entropy", &|s| units.entropy_value(s.entropy), units.entropy_unit());
        // Of a mixture neither is a property: what is held are those of its phases, shared out.
        let mixed = columns.iter().any(|(_, state)| state.phase == Phase::TwoPhase);
        if !mixed {
            row("specific heat", &|s| units.entropy_value(s.cp), units.entropy_unit());
        }
        row("viscosity", &|s| units.viscosity_value(s.viscosity), units.viscosity_unit());
        if !mixed {
            row("speed of sound", &|s| units.speed_of_sound_value(s.speed_of_sound), units.speed_of_sound_unit());
        }
        grid
    }

    /// The pressure-temperature card: bubble and dew pressure at each temperature, and the glide at the bubble pressure.
    fn card(&self, sheet: &mut Sheet) {
        let units = self.units;
        let gauge = units.pressure_gauge_unit();
        let mut grid = Grid::new()
            .right(format!("temperature\n{}", units.temperature_unit()))
            .right(format!("bubble\n{gauge}"))
            .right(format!("dew\n{gauge}"))
            .right(format!("glide\n{}", units.difference_unit()));
        let (from, to, step) = match units {
            System::Ip => (-40, 150, 10),
            System::Si => (-40, 65, 5),
        };
        for degrees in (from..=to).step_by(step) {
            let temperature = match units {
                System::Ip => factor::fahrenheit_to_kelvin(f64::from(degrees)),
                System::Si => f64::from(degrees) + 273.15,
            };
            let (Ok(bubble), Ok(dew)) =
                (self.refrigerant.bubble_pressure(temperature), self.refrigerant.dew_pressure(temperature))
            else {
                continue;
            };
            let glide = self.refrigerant.dew_temperature(bubble).map(|dew| dew - temperature);
            grid.row(vec![
                degrees.to_string(),
                self.gauge(bubble),
                self.gauge(dew),
                glide.map(|glide| units.difference_value(glide)).unwrap_or_default(),
            ]);
        }
        sheet.table(1, &grid);
        sheet.space();
        sheet.paragraph(1, "Bubble: first gas, for subcooling. Dew: last liquid, for superheat.");
        let range = self.refrigerant.range();
        sheet.paragraph(
            1,
            &format!(
                "Valid from {}: saturated up to {}, vapor from {} to {} and up to {} above its dew temperature, \
                 liquid up to {}.",
                units.temperature_exact(range.temperature_min),
                units.temperature_exact(range.dew_temperature_max),
                self.pressure(range.pressure_min),
                self.pressure(range.pressure_max),
                units.difference(range.superheat_max),
                self.pressure(range.liquid_pressure_max),
            ),
        );
    }
}

fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::Liquid => "liquid",
        Phase::TwoPhase => "two-phase",
        Phase::Vapour => "vapour",
    }
}

/// The answer for a program.
#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
enum Document {
    /// Bubble and dew at a temperature or a pressure.
    Saturated { refrigerant: &'static str, bubble: StateDocument, dew: StateDocument },
    /// One state.
    Single {
        refrigerant: &'static str,
        state: StateDocument,
        /// `vapour`, `two-phase` or `liquid`.
        phase: &'static str,
        #[serde(skip_serializing_if = "Option::is_none")]
        superheat_K: Option<f64>,
        #[serde(skip_serializing_if = "Option::is_none")]
        subcooling_K: Option<f64>,
    },
}

/// A state. Of a mixture, specific heat and speed of sound are none.
#[derive(Serialize, JsonSchema)]
struct StateDocument {
    pressure_Pa: f64,
    temperature_K: f64,
    density_kg_m3: f64,
    enthalpy_J_kg: f64,
    viscosity_Pa_s: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    quality: Option<f64>,
    entropy_J_kg_K: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    cp_J_kg_K: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    speed_of_sound_m_s: Option<f64>,
}

impl From<&refrigerant::State> for StateDocument {
    fn from(state: &refrigerant::State) -> Self {
        let of_one_phase = |value: f64| (state.phase != Phase::TwoPhase).then_some(value);
        Self {
            pressure_Pa: state.pressure,
            temperature_K: state.temperature,
            density_kg_m3: state.density,
            enthalpy_J_kg: state.enthalpy,
            viscosity_Pa_s: state.viscosity,
            quality: state.quality,
            entropy_J_kg_K: state.entropy,
            cp_J_kg_K: of_one_phase(state.cp),
            speed_of_sound_m_s: of_one_phase(state.speed_of_sound),
        }
    }
}

/// The JSON Schema of the answer.
pub(super) fn schema() -> Value {
    schema_of::<Document>("The answer of `state`")
}
