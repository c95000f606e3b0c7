//! The list for a person.

use super::answer::{
    Evacuation, FittingRow, JointRow, Nitrogen, NumberedRun, PartRow, RefrigerantRow, TakeOff, TubeRow,
};
use super::numbers::told;
use crate::layout::{Grid, Sheet, heading, style, whole};
use crate::refdata::{self, Tube};
use crate::units::{System, factor};

/// Where a rule's words begin.
const COLUMN: usize = 13;

/// What a row of tube is, in words.
pub(super) fn tube_kind(row: &TubeRow) -> String {
    let nominal = refdata::tube(&row.size).and_then(Tube::nominal_size);
    match (row.material, nominal) {
        ("copper", Some(nominal)) => format!("copper tube, {nominal} nominal"),
        ("copper", None) => "copper tube".to_owned(),
        ("steel", _) => "steel pipe".to_owned(),
        _ => "the job's own tube".to_owned(),
    }
}

/// What of a row of fittings was not drawn one by one.
pub(super) fn besides(row: &FittingRow) -> String {
    let mut words = Vec::new();
    if row.of_traps > 0 {
        words.push(format!("{} of traps and loops", row.of_traps));
    }
    if row.added > 0 {
        words.push(if row.added == row.count { "not drawn".to_owned() } else { format!("{} not drawn", row.added) });
    }
    words.join(", ")
}

/// What tells a part from others of its kind and size.
pub(super) fn detail(show: System, row: &PartRow, with_volume: bool) -> String {
    let mut words = Vec::new();
    words.extend(row.kv.map(|kv| show.flow_coefficient(kv)));
    words.extend(row.style.map(|style| match style {
        "surge" => "surge, off the line".to_owned(),
        style => style.to_owned(),
    }));
    words.extend(row.volume_m3.filter(|_| with_volume).map(|volume| show.volume(volume)));
    words.extend(row.capacity_W.map(|capacity| show.capacity(capacity)));
    words.extend(row.leaving_K.map(|leaving| format!("liquid at {}", show.temperature(leaving))));
    words.join(", ")
}

/// Where the joints of a row are.
pub(super) fn where_joined(row: &JointRow) -> String {
    [
        (row.at_fittings, "at fittings"),
        (row.between_lengths, "between lengths"),
        (row.at_parts, "at parts"),
        (row.at_ends, "at the ends of lines"),
    ]
    .iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, place)| format!("{count} {place}"))
    .collect::<Vec<_>>()
    .join(", ")
}

/// What a charge does not hold, as a sentence.
pub(super) fn without(row: &RefrigerantRow) -> String {
    let gaps = row.not_counted.chunk_by(|a, b| a.circuits == b.circuits).map(|same| {
        let what: Vec<&str> = same.iter().map(|gap| gap.what.as_str()).collect();
        let circuits = same.first().map(|gap| gap.circuits.join(", ")).unwrap_or_default();
        format!("{} ({circuits})", what.join(", "))
    });
    format!("Not in it: {}.", gaps.collect::<Vec<_>>().join("; "))
}

/// `1 circuit`, `2 circuits`.
fn number(count: u64, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

impl TakeOff {
    /// The list within `width` columns, in the job's units.
    #[must_use]
    pub fn text(&self, width: usize) -> String {
        let mut sheet = Sheet::new(width);
        self.put(&mut sheet);
        sheet.finish()
    }

    /// Writes it on a sheet.
    pub(crate) fn put(&self, sheet: &mut Sheet) {
        let circuits = number(self.circuits, "circuit");
        sheet.ends((&self.job.title, style::STRONG), (&format!("take-off of {circuits}"), style::PLAIN));
        self.put_tube(sheet);
        self.put_fittings(sheet);
        self.put_parts(sheet);
        self.put_insulation(sheet);
        self.put_hangers(sheet);
        self.put_joints(sheet);
        self.put_gas(sheet);
        self.put_rules(sheet);
    }

    fn put_tube(&self, sheet: &mut Sheet) {
        let show = self.units;
        let (rows, length) = (&self.tube, show.length_unit());
        let grid = Grid::new()
            .words("Tube", cells(rows, |row| whole(&row.size)))
            .words("\u{a0}", cells(rows, tube_kind))
            .numbers(format!("drawn\n{length}"), cells(rows, |row| show.length_value(row.drawn_m)))
            .numbers(format!("to order\n{length}"), cells(rows, |row| show.length_value(row.to_order_m)))
            .numbers("straight\nlengths", cells(rows, |row| row.straight_lengths.to_string()))
            .numbers(format!("to order\n{}", show.mass_unit()), cells(rows, |row| show.mass_value(row.to_order_kg)));
        section(sheet, grid);
        let metal = &self.metal;
        let sums = [
            ("copper", metal.copper_drawn_kg, metal.copper_to_order_kg),
            ("steel", metal.steel_drawn_kg, metal.steel_to_order_kg),
            ("the job's own tube, as of copper", metal.own_drawn_kg, metal.own_to_order_kg),
        ];
        let sums: Vec<String> = sums
            .iter()
            .filter(|(_, drawn, _)| *drawn > 0.0)
            .map(|(what, drawn, order)| {
                format!("{what}: {} as drawn, {} to order", show.mass(*drawn), show.mass(*order))
            })
            .collect();
        if !sums.is_empty() {
            sheet.paragraph(0, &format!("Metal, {}.", sums.join("; ")));
        }
    }

    fn put_fittings(&self, sheet: &mut Sheet) {
        let rows = &self.fittings;
        // Two sizes may part between them.
        let size = |row: &FittingRow| whole(&row.size).replace("\u{a0}to\u{a0}", " to ");
        let grid = Grid::new()
            .words("Fittings", cells(rows, |row| row.kind.clone()))
            .words("\u{a0}", cells(rows, size))
            .numbers("count", cells(rows, |row| row.count.to_string()))
            .words("\u{a0}", cells(rows, besides));
        section(sheet, grid);
        let rows = &self.traps;
        let grid = Grid::new()
            .words("Traps", cells(rows, |row| row.kind.to_owned()))
            .words("\u{a0}", cells(rows, |row| whole(&row.size)))
            .numbers("count", cells(rows, |row| row.count.to_string()))
            .numbers("elbows\nin them", cells(rows, |row| row.elbows.to_string()));
        section(sheet, grid);
    }

    fn put_parts(&self, sheet: &mut Sheet) {
        let rows = &self.parts;
        let grid = Grid::new()
            .words("Parts", cells(rows, |row| row.kind.clone()))
            .words("\u{a0}", cells(rows, |row| whole(&row.size)))
            .numbers("count", cells(rows, |row| row.count.to_string()))
            .words("\u{a0}", cells(rows, |row| detail(self.units, row, true)));
        section(sheet, grid);
    }

    fn put_insulation(&self, sheet: &mut Sheet) {
        let (rows, show) = (&self.insulation, self.units);
        let (length, small) = (show.length_unit(), show.small_length_unit());
        let grid = Grid::new()
            .words("Insulation round", cells(rows, |row| whole(&row.size)))
            .numbers(format!("thickness\n{small}"), cells(rows, |row| show.small_length_value(row.thickness_m)))
            .numbers(format!("drawn\n{length}"), cells(rows, |row| show.length_value(row.drawn_m)))
            .numbers(format!("to order\n{length}"), cells(rows, |row| show.length_value(row.to_order_m)));
        section(sheet, grid);
    }

    fn put_hangers(&self, sheet: &mut Sheet) {
        let rows = &self.hangers;
        let grid = Grid::new()
            .words("Hangers", cells(rows, |row| whole(&row.size)))
            .words("\u{a0}", cells(rows, |row| format!("{} tube", row.tube)))
            .numbers("count", cells(rows, |row| row.count.to_string()))
            .words("\u{a0}", cells(rows, |row| format!("no more than {} apart", self.units.length(row.spacing_m))));
        section(sheet, grid);
    }

    fn put_joints(&self, sheet: &mut Sheet) {
        let rows = &self.joints;
        let grid = Grid::new()
            .words("Joints", cells(rows, |row| whole(&row.size)))
            .words("\u{a0}", cells(rows, |row| row.kind.to_owned()))
            .numbers("count", cells(rows, |row| row.count.to_string()))
            .numbers("at\nfittings", cells(rows, |row| row.at_fittings.to_string()))
            .numbers("between\nlengths", cells(rows, |row| row.between_lengths.to_string()))
            .numbers("at\nparts", cells(rows, |row| row.at_parts.to_string()))
            .numbers("at line\nends", cells(rows, |row| row.at_ends.to_string()));
        section(sheet, grid);
        for kind in ["brazed", "welded"] {
            let count: u64 = self.joints.iter().filter(|row| row.kind == kind).map(|row| row.count).sum();
            let sizes = self.joints.iter().filter(|row| row.kind == kind).count();
            if sizes > 1 {
                sheet.paragraph(0, &format!("Total {count} {kind}."));
            }
        }
        for runs in self.joint_numbers.chunk_by(|a, b| a.circuit == b.circuit) {
            let of = |run: &NumberedRun| format!("{}{} {}", run.line.letter(), run.run, told(run.first, run.last));
            let told: Vec<String> = runs.iter().map(of).collect();
            let circuit = runs.first().map_or("", |run| &run.circuit);
            sheet.paragraph(0, &format!("Circuit {circuit}, numbers as on its piping sketch: {}.", told.join("; ")));
        }
    }

    fn put_gas(&self, sheet: &mut Sheet) {
        let show = self.units;
        let Nitrogen { inside_m3, sweep_m3, brazing_m3, test_m3 } = self.nitrogen;
        sheet.space();
        let test = match test_m3 {
            Some(test) => format!("{} for the pressure test", show.volume(test)),
            None => "the pressure test is not counted: no design pressure".to_owned(),
        };
        sheet.labelled(
            0,
            "Nitrogen",
            style::QUIET,
            COLUMN,
            &format!(
                "The tube contains {}. Nitrogen: {} to purge it, {} while brazing, {test}.",
                show.volume(inside_m3),
                show.volume(sweep_m3),
                show.volume(brazing_m3)
            ),
        );
        self.put_tests(sheet);
        for row in &self.refrigerant {
            let charge = if row.circuits > 0 {
                format!("{} of {} in {}", show.mass(row.charge_kg), row.refrigerant, number(row.circuits, "circuit"))
            } else {
                format!("{}: not counted", row.refrigerant)
            };
            let text = format!("{charge}. {} {}", without(row), row.decides);
            sheet.labelled(0, "Refrigerant", style::QUIET, COLUMN, &text);
        }
    }

    fn put_tests(&self, sheet: &mut Sheet) {
        let show = self.units;
        let gauge = |pascals: f64| show.pressure_gauge(pascals, 0.0);
        for row in &self.tests {
            let lowered = row.weakest.as_ref().filter(|weakest| row.strength_test_gauge_Pa >= weakest.rated_gauge_Pa);
            let lowered = lowered.map_or_else(String::new, |weakest| {
                let size = whole(&weakest.size);
                let first = if weakest.rated_gauge_Pa < row.design_gauge_Pa {
                    format!("; that is below the design pressure of {}: replace it first", gauge(row.design_gauge_Pa))
                } else {
                    String::new()
                };
                format!(", limited by the annealed rating of {size}{first}")
            });
            let step = if show == System::Ip { factor::FAHRENHEIT_DEGREE } else { 1.0 };
            let text = format!(
                "Circuit {}: strength test at {}{lowered}. Leak test at {}, which changes by {} for each {} of \
                 nitrogen temperature.",
                row.circuit,
                gauge(row.strength_test_gauge_Pa),
                gauge(row.leak_test_gauge_Pa),
                show.pressure_difference(row.leak_test_Pa_K * step),
                show.difference(step)
            );
            sheet.labelled(0, "Tests", style::QUIET, COLUMN, &text);
        }
        let isolate = format!(
            "Before a test isolate or remove {}. Dry nitrogen through a regulator, in steps, people away while under \
             pressure.",
            self.isolate.join("; ")
        );
        sheet.labelled(0, "Isolate", style::QUIET, COLUMN, &isolate);
        let Evacuation { times, to_Pa, hold_s, after_Pa } = self.evacuation;
        // A micron of mercury.
        let micron = |pascals: f64| format!("{:.0} micron ({:.0} Pa)", pascals / 0.133_322_4, pascals);
        let text = format!(
            "{times:.0} times to {}; with the pump shut off no more than {} after {:.0} h.",
            micron(to_Pa),
            micron(after_Pa),
            hold_s / 3600.0
        );
        sheet.labelled(0, "Evacuate", style::QUIET, COLUMN, &text);
    }

    fn put_rules(&self, sheet: &mut Sheet) {
        heading(sheet, "How it is counted");
        for rule in &self.counted_by {
            let source = crate::refdata::source(&rule.source).map_or(rule.source.as_str(), |source| &source.title);
            sheet.labelled(0, rule.what, style::QUIET, COLUMN, &format!("{} ({source})", rule.says));
        }
        sheet.space();
        for note in &self.notes {
            sheet.paragraph(0, note);
        }
        sheet.space();
        sheet.paragraph(0, CAUTION);
    }
}

/// Out of SAFETY.md, what fits a list of things to braze.
const CAUTION: &str = "Braze with a trickle of dry nitrogen through the tube, in ventilated places, with a fire \
                       watch. Never \
braze a line that holds refrigerant or pressure. Nitrogen cylinders need a regulator, and a relief valve between regulator \
and system; nitrogen and refrigerant displace air: mind low and closed rooms. Licensed practice, the manufacturer's instructions \
and the code in force govern.";

/// A table after an empty line, where it has rows.
fn section(sheet: &mut Sheet, grid: Grid) {
    if !grid.is_empty() {
        sheet.space();
        sheet.table(0, &grid.without_empty_columns());
    }
}

fn cells<Row>(rows: &[Row], cell: impl Fn(&Row) -> String) -> Vec<String> {
    rows.iter().map(cell).collect()
}
