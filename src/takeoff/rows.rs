//! From tallies to rows.

use super::answer::{
    Allowance, FittingRow, HangerRow, InsulationRow, JobName, JointRow, Metal, Nitrogen, NotCounted, PartRow,
    RefrigerantRow, TakeOff, TrapRow, TubeRow,
};
use super::count::{Size, Totals, begun, straight_length, undrawn};
use super::pressure_test::{ISOLATE, evacuation, tests};
use super::rules::counted_by;
use crate::job::{Code, Job};
use crate::refdata::practices::figure;
use crate::refdata::{Material, Tube, fitting, support_spacing};
use crate::survey::{Survey, deferral};
use crate::units::metres;

/// Standard atmosphere, Pa: nitrogen is bought as gas of this pressure.
const ATMOSPHERE: f64 = 101_325.0;

pub(super) fn take_off(job: &Job, survey: Option<&Survey>, tally: &Totals, allowance: Allowance) -> TakeOff {
    let tube: Vec<TubeRow> = tally
        .sizes
        .iter()
        .filter(|size| size.drawn_m > 0.0)
        .map(|size| tube_row(tally.code, size, allowance.share))
        .collect();
    let joints = joints(tally);
    TakeOff {
        job: JobName { title: job.title.clone(), file: job.file.clone() },
        units: job.units,
        circuits: job.circuits.iter().map(|circuit| u64::from(circuit.copies)).sum(),
        metal: metal(&tube),
        fittings: fittings(tally),
        traps: traps(tally),
        parts: parts(tally),
        insulation: insulation(tally, allowance.share),
        hangers: hangers(tally),
        nitrogen: nitrogen(job, survey, tally, &joints),
        tests: tests(job, survey),
        isolate: ISOLATE.to_vec(),
        evacuation: evacuation(),
        refrigerant: survey.map_or_else(Vec::new, |survey| refrigerant(job, survey)),
        counted_by: counted_by(job, &allowance),
        notes: notes(job, survey.is_some(), &tube),
        joint_numbers: super::numbers::of_sketches(job),
        joints,
        tube,
        allowance,
    }
}

fn tube_row(code: Code, size: &Size, share: f64) -> TubeRow {
    let Size { tube, drawn_m: drawn, .. } = size;
    let to_order = drawn * (1.0 + share);
    let straight = straight_length(code, tube.material);
    TubeRow {
        size: tube.name.clone(),
        material: material(tube),
        outside_m: tube.outside.value,
        wall_m: tube.wall.value,
        drawn_m: *drawn,
        to_order_m: to_order,
        straight_length_m: straight,
        straight_lengths: begun(to_order, straight),
        drawn_kg: tube.mass(metres(*drawn)).value,
        to_order_kg: tube.mass(metres(to_order)).value,
    }
}

/// What a tube is made of, as far as it is known: a job's own tube has no material.
fn material(tube: &Tube) -> &'static str {
    match tube.material {
        _ if tube.source == "user" => "own",
        Material::Copper => "copper",
        Material::Steel => "steel",
    }
}

fn metal(tube: &[TubeRow]) -> Metal {
    let sum = |material: &str, mass: &dyn Fn(&TubeRow) -> f64| -> f64 {
        // From +0: an empty sum would be -0.
        tube.iter().filter(|row| row.material == material).map(mass).fold(0.0, |a, b| a + b)
    };
    let (drawn, to_order) = (|row: &TubeRow| row.drawn_kg, |row: &TubeRow| row.to_order_kg);
    Metal {
        copper_drawn_kg: sum("copper", &drawn),
        copper_to_order_kg: sum("copper", &to_order),
        steel_drawn_kg: sum("steel", &drawn),
        steel_to_order_kg: sum("steel", &to_order),
        own_drawn_kg: sum("own", &drawn),
        own_to_order_kg: sum("own", &to_order),
    }
}

fn fittings(tally: &Totals) -> Vec<FittingRow> {
    let name = |place: usize| tally.sizes.get(place).map_or("", |size| size.tube.name.as_str());
    let rows = tally.fittings.iter().map(|((_, kind, large, small), count)| FittingRow {
        kind: kind.clone(),
        size: match small {
            Some(small) => format!("{} to {}", name(*large), name(*small)),
            None => name(*large).to_owned(),
        },
        count: count.drawn + count.of_traps + count.added,
        drawn: count.drawn,
        of_traps: count.of_traps,
        added: count.added,
    });
    rows.filter(|row| row.count > 0).collect()
}

fn traps(tally: &Totals) -> Vec<TrapRow> {
    let rows = tally.sizes.iter().flat_map(|size| {
        [("trap", size.traps.0), ("loop", size.traps.1)].map(|(kind, count)| TrapRow {
            kind,
            size: size.tube.name.clone(),
            count,
            elbows: count * fitting(kind).map_or(0, |fitting| u64::from(fitting.pieces)),
        })
    });
    rows.filter(|row| row.count > 0).collect()
}

fn parts(tally: &Totals) -> Vec<PartRow> {
    // By kind in the order in which they are met, then by size; what differs otherwise as it was met.
    let mut kinds: Vec<&str> = Vec::new();
    for (kind, ..) in &tally.parts {
        if !kinds.contains(kind) {
            kinds.push(kind);
        }
    }
    let mut parts: Vec<_> = tally.parts.iter().collect();
    parts.sort_by_key(|(kind, place, ..)| (kinds.iter().position(|k| k == kind), *place));
    parts
        .into_iter()
        .map(|(kind, place, detail, count)| PartRow {
            kind: (*kind).to_owned(),
            size: tally.sizes.get(*place).map_or_else(String::new, |size| size.tube.name.clone()),
            count: *count,
            kv: detail.kv,
            style: detail.style,
            volume_m3: detail.volume_m3,
            capacity_W: detail.cools.map(|[capacity, _]| capacity),
            leaving_K: detail.cools.map(|[_, leaving]| leaving),
        })
        .collect()
}

fn insulation(tally: &Totals, share: f64) -> Vec<InsulationRow> {
    let rows = tally.insulation.iter().filter_map(|((place, thickness), drawn)| {
        let tube = tally.sizes.get(*place)?.tube;
        Some(InsulationRow {
            size: tube.name.clone(),
            inside_m: tube.outside.value,
            thickness_m: f64::from_bits(*thickness),
            drawn_m: *drawn,
            to_order_m: drawn * (1.0 + share),
        })
    });
    rows.collect()
}

fn hangers(tally: &Totals) -> Vec<HangerRow> {
    let rows = tally.sizes.iter().filter_map(|size| Some((size, support_spacing(tally.code, size.tube)?))).flat_map(
        |(Size { tube, hangers, .. }, spacing)| {
            [("level", hangers.0, spacing.level), ("vertical", hangers.1, spacing.upright)].map(
                |(which, count, distance)| HangerRow {
                    size: tube.name.clone(),
                    tube: which,
                    count,
                    spacing_m: distance.value,
                    source: spacing.source.to_owned(),
                },
            )
        },
    );
    rows.filter(|row| row.count > 0).collect()
}

fn joints(tally: &Totals) -> Vec<JointRow> {
    let rows = tally.sizes.iter().map(|Size { tube, joints, .. }| JointRow {
        size: tube.name.clone(),
        kind: match tube.material {
            Material::Copper => "brazed",
            Material::Steel => "welded",
        },
        count: joints.count(),
        at_fittings: joints.fittings,
        between_lengths: joints.lengths,
        at_parts: joints.parts,
        at_ends: joints.ends,
    });
    rows.filter(|row| row.count > 0).collect()
}

fn nitrogen(job: &Job, survey: Option<&Survey>, tally: &Totals, joints: &[JointRow]) -> Nitrogen {
    let inside = tally.inside.iter().fold(0.0, |a, b| a + b);
    let brazed: u64 = joints.iter().filter(|row| row.kind == "brazed").map(|row| row.count).sum();
    let tests = tests(job, survey);
    let test = tally.inside.iter().zip(&job.circuits).try_fold(0.0, |sum, (inside, circuit)| {
        let test = tests.iter().find(|test| test.circuit == circuit.name)?;
        Some(sum + inside * test.strength_test_gauge_Pa.max(0.0) / ATMOSPHERE)
    });
    #[expect(clippy::cast_precision_loss, reason = "a job has far fewer joints than an f64 can count")]
    let brazed = brazed as f64;
    Nitrogen {
        inside_m3: inside,
        sweep_m3: figure("sweep_volumes") * inside,
        brazing_m3: brazed * figure("brazing_flow") * figure("brazing_time"),
        test_m3: test,
    }
}

/// Charge by refrigerant, in the order in which the job names them.
fn refrigerant(job: &Job, survey: &Survey) -> Vec<RefrigerantRow> {
    let mut rows: Vec<RefrigerantRow> = Vec::new();
    for (circuit, solved) in job.circuits.iter().zip(&survey.circuits) {
        let known = rows.iter().position(|row| row.refrigerant == circuit.refrigerant);
        let at = known.unwrap_or_else(|| {
            rows.push(RefrigerantRow {
                refrigerant: circuit.refrigerant.clone(),
                charge_kg: 0.0,
                circuits: 0,
                not_counted: Vec::new(),
                decides: deferral(job.site.code),
            });
            rows.len() - 1
        });
        let row = &mut rows[at];
        let gaps = match &solved.charge {
            Some(charge) => {
                row.charge_kg += f64::from(circuit.copies) * charge.total_kg;
                row.circuits += u64::from(circuit.copies);
                charge.not_counted.as_slice()
            }
            None => &["all of it: no solution"],
        };
        for what in gaps {
            let gap = row.not_counted.iter().position(|gap| gap.what == *what).unwrap_or_else(|| {
                row.not_counted.push(NotCounted { what: (*what).to_owned(), circuits: Vec::new() });
                row.not_counted.len() - 1
            });
            row.not_counted[gap].circuits.push(circuit.name.clone());
        }
    }
    rows
}

fn notes(job: &Job, solved: bool, tube: &[TubeRow]) -> Vec<String> {
    let mut notes = vec![
        "Chillers, condensers, evaporators, expansion valves, controls, what hangers are fixed to and what lets the \
         lines \
         through walls and roofs are not counted."
            .to_owned(),
    ];
    if !solved {
        notes.push("Refrigerant is not counted: the job was not solved.".to_owned());
    }
    for row in tube.iter().filter(|row| row.material == "own") {
        notes.push(format!(
            "{} is the job's own tube and its material is not known: its mass is that of copper, its joints count as \
             brazed.",
            row.size
        ));
    }
    for circuit in &job.circuits {
        for what in undrawn(circuit) {
            notes.push(format!("Circuit {}: {what} can't be drawn in a job and is not counted.", circuit.name));
        }
    }
    notes
}
