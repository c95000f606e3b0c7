//! What a take-off holds. SI base units, the unit in the name; the names are those of the JSON answer.

use crate::job::LineId;
use crate::units::System;
use schemars::JsonSchema;
use serde::Serialize;

/// The list to buy from: all circuits of a job, copies and parallel tubes each counted.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TakeOff {
    /// Which job.
    pub job: JobName,
    /// The units of its text and its spreadsheet.
    #[serde(skip)]
    pub units: System,
    /// Circuits, copies counted.
    pub circuits: u64,
    /// What is added to drawn lengths.
    pub allowance: Allowance,
    /// Tube by size.
    pub tube: Vec<TubeRow>,
    /// Metal of the tube.
    pub metal: Metal,
    /// Fittings by kind and size.
    pub fittings: Vec<FittingRow>,
    /// Oil traps and loops, whose elbows are among the fittings.
    pub traps: Vec<TrapRow>,
    /// Parts by kind, size and what else tells them apart.
    pub parts: Vec<PartRow>,
    /// Insulation by the tube that it goes round and its thickness.
    pub insulation: Vec<InsulationRow>,
    /// Hangers by size of tube.
    pub hangers: Vec<HangerRow>,
    /// Joints by size of tube.
    pub joints: Vec<JointRow>,
    /// The numbers that joints have on a piping sketch, run by run, of circuits that have one.
    pub joint_numbers: Vec<NumberedRun>,
    /// Dry nitrogen.
    pub nitrogen: Nitrogen,
    /// Strength and leak test of each circuit whose design pressure is known.
    pub tests: Vec<TestRow>,
    /// What is isolated or taken out before a test.
    pub isolate: Vec<&'static str>,
    /// Evacuation.
    pub evacuation: Evacuation,
    /// Refrigerant by kind; none where the job was not solved.
    pub refrigerant: Vec<RefrigerantRow>,
    /// How each of these is counted.
    pub counted_by: Vec<CountedBy>,
    /// What the job leaves out of it.
    pub notes: Vec<String>,
}

/// Which job it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct JobName {
    pub title: String,
    pub file: String,
}

/// What is added to drawn lengths.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Allowance {
    /// Share of the drawn length.
    pub share: f64,
    pub source: String,
}

/// Tube of one size.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TubeRow {
    pub size: String,
    /// `copper`, `steel`, or `own` where the job gives the tube and its material is not known.
    pub material: &'static str,
    pub outside_m: f64,
    pub wall_m: f64,
    pub drawn_m: f64,
    pub to_order_m: f64,
    pub straight_length_m: f64,
    /// How many of these the length to order takes.
    pub straight_lengths: u64,
    pub drawn_kg: f64,
    pub to_order_kg: f64,
}

/// Metal of the tube, fittings not counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Metal {
    pub copper_drawn_kg: f64,
    pub copper_to_order_kg: f64,
    pub steel_drawn_kg: f64,
    pub steel_to_order_kg: f64,
    /// Tube of the job's own as drawn, by the density of copper.
    pub own_drawn_kg: f64,
    /// Tube of the job's own to order, by the density of copper.
    pub own_to_order_kg: f64,
}

/// Fittings of one kind and size.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FittingRow {
    /// What is bought.
    pub kind: String,
    /// Trade name of the tube, or two with ` to ` between them, the larger first.
    pub size: String,
    /// How many.
    pub count: u64,
    /// Of these, drawn one by one.
    pub drawn: u64,
    /// Of these, pieces of traps and loops.
    pub of_traps: u64,
    /// Of these, not drawn but needed: couplings, and where the tube changes or parts.
    pub added: u64,
}

/// Traps or loops of one size.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TrapRow {
    pub kind: &'static str,
    pub size: String,
    pub count: u64,
    /// Elbows that make them.
    pub elbows: u64,
}

/// Parts of one kind and size.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PartRow {
    pub kind: String,
    /// Trade name of the tube that it joins.
    pub size: String,
    pub count: u64,
    /// Flow coefficient, m3/h at 1 bar, where the job gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kv: Option<f64>,
    /// How a receiver is piped: `through` or `surge`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub style: Option<&'static str>,
    /// Internal volume of a receiver, where the job gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_m3: Option<f64>,
    /// Heat that a mechanical subcooler takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_W: Option<f64>,
    /// Liquid temperature that a mechanical subcooler holds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leaving_K: Option<f64>,
}

/// Insulation of one tube and thickness.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct InsulationRow {
    /// Trade name of the tube that it goes round.
    pub size: String,
    /// Outside diameter of that tube.
    pub inside_m: f64,
    pub thickness_m: f64,
    pub drawn_m: f64,
    pub to_order_m: f64,
}

/// Hangers of one size of tube.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HangerRow {
    pub size: String,
    pub tube: &'static str,
    pub count: u64,
    /// Greatest distance between two.
    pub spacing_m: f64,
    /// Source key of the distance.
    pub source: String,
}

/// Joints of one size of tube.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct JointRow {
    pub size: String,
    pub kind: &'static str,
    pub count: u64,
    pub at_fittings: u64,
    pub between_lengths: u64,
    pub at_parts: u64,
    pub at_ends: u64,
}

/// The joints of a run, numbered through both lines of its circuit in order of flow.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NumberedRun {
    pub circuit: String,
    pub line: LineId,
    /// From 1 in its line.
    pub run: usize,
    /// Its first joint.
    pub first: u64,
    /// Its last.
    pub last: u64,
}

/// Dry nitrogen, as gas of the atmosphere's pressure.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Nitrogen {
    pub inside_m3: f64,
    /// To sweep the air out.
    pub sweep_m3: f64,
    /// Through the tube while it is brazed.
    pub brazing_m3: f64,
    /// To raise the lines to the design pressure once; absent where that is not known for a circuit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub test_m3: Option<f64>,
}

/// Test pressures of a circuit, over the atmosphere.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TestRow {
    pub circuit: String,
    /// Design pressure of its high side.
    pub design_gauge_Pa: f64,
    pub strength_test_gauge_Pa: f64,
    pub leak_test_gauge_Pa: f64,
    /// The weakest tube, brazed, at the temperature at which it is installed; absent where nothing is rated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weakest: Option<WeakestTube>,
    /// By how much the leak test's pressure moves with a kelvin of the nitrogen's temperature.
    pub leak_test_Pa_K: f64,
}

/// The weakest tube of a circuit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct WeakestTube {
    pub size: String,
    pub rated_gauge_Pa: f64,
}

/// Evacuation, absolute pressures.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Evacuation {
    /// How many times, with dry nitrogen between.
    pub times: f64,
    pub to_Pa: f64,
    pub hold_s: f64,
    /// The most that it may read after that.
    pub after_Pa: f64,
}

/// How something is counted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CountedBy {
    /// What: a key of this answer.
    pub what: &'static str,
    /// The rule, in a sentence.
    pub says: String,
    pub source: String,
}

/// Refrigerant of one kind.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RefrigerantRow {
    pub refrigerant: String,
    /// The charge of the circuits whose charge could be counted.
    pub charge_kg: f64,
    /// How many circuits these are, copies counted.
    pub circuits: u64,
    /// What it does not hold.
    pub not_counted: Vec<NotCounted>,
    /// Who decides about it.
    pub decides: &'static str,
}

/// What a charge does not hold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NotCounted {
    pub what: String,
    pub circuits: Vec<String>,
}
