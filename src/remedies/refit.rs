//! What is done to a circuit that is tried otherwise, as it is written: vessels, parts and settings in the steps that people use.

use super::change::{Change, as_written, insert};
use crate::job::{Circuit, Condenser, HEAD_VALVE, Job, LineId, Part, Path, Receiver, ReceiverStyle, Resistance, Traps};
use crate::refdata::{self, Tube, Typical};
use crate::rules::Case;
use crate::units::{Kind, PressureDifference, System, cubic_metres, factor, pascals};

/// Slack on heights read from a drawing, m.
pub(super) const SLACK_M: f64 = 0.005;
/// Insulation that is tried: 1 in.
pub(super) const INSULATION_M: f64 = 0.0254;

/// The steps in which mechanical subcoolers are rated (W), and the degree to which they are set (K).
pub(super) fn subcooler_steps(show: System) -> (f64, f64) {
    match show {
        System::Ip => (0.5 * factor::TON, factor::FAHRENHEIT_DEGREE),
        System::Si => (1e3, 1.0),
    }
}

/// A volume of a vessel up to the next tenth of a cubic foot or whole litre.
fn whole_volume_up(show: System, cubic_metres: f64) -> f64 {
    let step = if show == System::Ip { 0.1 * factor::CUBIC_FOOT } else { factor::LITRE };
    (cubic_metres / step - 1e-6).ceil() * step
}

/// The heights of traps between that would leave no gap over the spacing; none where there is no such gap.
pub(super) fn missing(rise: f64, traps: &Traps, spacing: f64) -> Vec<f64> {
    let mut heights: Vec<f64> = traps.between.iter().map(|height| height.value).collect();
    heights.sort_by(f64::total_cmp);
    let mut missing = Vec::new();
    let mut below = 0.0;
    for height in heights.into_iter().chain([rise]) {
        let gap: f64 = height - below;
        // Not past a hundred: a spacing of nothing is the user's own limit, not a drawing.
        let parts = ((gap - SLACK_M) / spacing).ceil().clamp(1.0, 100.0);
        let mut part = 1.0;
        while part < parts {
            missing.push(below + gap * part / parts);
            part += 1.0;
        }
        below = height;
    }
    missing
}

/// A tube replaced by others wherever it stands in those runs.
pub(super) fn replace(circuit: &mut Circuit, line: LineId, runs: &[usize], from: &Tube, to: &[Tube]) {
    for index in runs {
        let Some(run) = line.of_mut(circuit).runs.get_mut(*index) else { continue };
        let swap = |tube: &Tube| if tube == from { to.to_vec() } else { vec![tube.clone()] };
        run.tubes = run.tubes.iter().flat_map(swap).collect();
        run.tubes.sort_by(|a, b| a.bore().value.total_cmp(&b.bore().value));
    }
}

/// Pipes every receiver so that subcooled liquid bypasses it.
pub(super) fn surge(circuit: &mut Circuit) {
    receivers(circuit).for_each(|receiver| receiver.style = ReceiverStyle::Surge);
}

/// A part's typical loss as it is written.
pub(super) fn typical(loss: PressureDifference, job: &Job) -> Resistance {
    Resistance::Loss(pascals(as_written(Kind::PressureDifference, loss.value, job)))
}

/// Gives a circuit the receiver and, before it, the valve with its bypass that flooding needs, where it has none.
pub(super) fn flood(circuit: &mut Circuit, job: &Job) {
    let part = |is: &dyn Fn(&refdata::PartFacts) -> bool, receiver: Option<Receiver>| {
        let facts = refdata::parts().iter().find(|part| is(part))?;
        let Typical::Loss(loss) = facts.typical else { return None };
        let (closes, checks) = (facts.closes, facts.checks);
        let (name, bypass) = (facts.name.clone(), facts.name == HEAD_VALVE);
        Some(Part { name, resistance: typical(loss, job), receiver, subcooler: None, closes, checks, bypass })
    };
    let at = |circuit: &Circuit, is: &dyn Fn(&Part) -> bool| {
        circuit.liquid.runs.iter().position(|run| matches!(&run.path, Path::Part(part) if is(part)))
    };
    if at(circuit, &|part| part.receiver.is_some()).is_none() {
        let receiver =
            Receiver { style: ReceiverStyle::Surge, volume: None, vented: false, shell: None, stop_valves: false };
        if let Some(part) = part(&|facts| facts.receiver, Some(receiver)) {
            // Behind the valve that holds the head, where that is drawn.
            let behind = at(circuit, &Part::is_head_valve).map_or(0, |valve| valve + 1);
            insert(&mut circuit.liquid, behind, part);
        }
    }
    for run in &mut circuit.liquid.runs {
        if let Path::Part(part) = &mut run.path {
            part.bypass |= part.is_head_valve();
        }
    }
    if at(circuit, &|part| part.name == HEAD_VALVE).is_none() {
        let before = at(circuit, &|part| part.receiver.is_some()).unwrap_or(0);
        if let Some(part) = part(&|facts| facts.name == HEAD_VALVE, None) {
            insert(&mut circuit.liquid, before, part);
        }
    }
}

/// The circuit with the receiver that its charge needs, where it has a receiver and that is another.
pub(super) fn held(case: &Case) -> Option<Circuit> {
    let needed = case.solved.charge.as_ref()?.receiver.as_ref()?.needed_m3?;
    let volume = cubic_metres(as_written(Kind::Volume, whole_volume_up(case.job.units, needed), case.job));
    let mut circuit = case.circuit.clone();
    for receiver in receivers(&mut circuit) {
        // Another vessel has another shell.
        let same = receiver.volume.is_some_and(|drawn| ((drawn / volume).value - 1.0).abs() < 1e-6);
        if !same {
            (receiver.volume, receiver.shell) = (Some(volume), None);
        }
    }
    (circuit.liquid != case.circuit.liquid).then_some(circuit)
}

/// The receivers of a circuit.
pub(super) fn receivers(circuit: &mut Circuit) -> impl Iterator<Item = &mut Receiver> {
    let parts = circuit.liquid.runs.iter_mut().filter_map(|run| match &mut run.path {
        Path::Part(part) => Some(part),
        _ => None,
    });
    parts.filter_map(|part| part.receiver.as_mut())
}

/// A condenser that many times as large, with all that goes with it counted from what is drawn, as it is written.
pub(super) fn grow(circuit: &mut Circuit, times: f64, case: &Case) {
    let mut job = case.job.clone();
    let heat = |circuit: &Circuit| circuit.condenser.rejection.value;
    let Some(drawn) = job.circuits.get(case.index).map(heat) else { return };
    Change::Condenser(case.index, times * heat(circuit) / drawn).apply(&mut job);
    let Some(grown) = job.circuits.into_iter().nth(case.index) else { return };
    let old = &circuit.condenser;
    let (head_control, cutout, legs) = (old.head_control, old.cutout, old.legs.clone());
    let subcooling = old.subcooling;
    circuit.condenser = Condenser { subcooling, cutout, head_control, legs, ..grown.condenser };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::job;

    /// The valve holds the head by what it lets out of the coil: the receiver stands behind it.
    #[test]
    fn flooding_has_its_receiver_behind_the_valve_that_holds_the_head() {
        let job = job();
        let place = |circuit: &Circuit, is: &dyn Fn(&Part) -> bool| {
            circuit.liquid.runs.iter().position(|run| matches!(&run.path, Path::Part(part) if is(part)))
        };
        let mut circuit = job.circuits[0].clone();
        circuit.liquid.runs.retain(|run| !matches!(&run.path, Path::Part(part) if part.receiver.is_some()));
        flood(&mut circuit, &job);
        // Without its receiver again, and with the valve that was drawn behind a run.
        circuit.liquid.runs.retain(|run| !matches!(&run.path, Path::Part(part) if part.receiver.is_some()));
        let valve = place(&circuit, &Part::is_head_valve).unwrap();
        circuit.liquid.runs.swap(valve, valve + 1);
        flood(&mut circuit, &job);
        let receiver = place(&circuit, &|part| part.receiver.is_some());
        assert_eq!(receiver, place(&circuit, &Part::is_head_valve).map(|valve| valve + 1));
    }

    #[test]
    fn a_vessel_of_a_whole_step_stays_and_a_larger_one_takes_the_next() {
        let foot = factor::CUBIC_FOOT;
        let volumes = [(System::Si, 0.042, 0.042), (System::Si, 0.0421, 0.043), (System::Ip, 7.1 * foot, 7.1 * foot)];
        for (show, volume, whole) in volumes.into_iter().chain([(System::Ip, 7.11 * foot, 7.2 * foot)]) {
            assert!((whole_volume_up(show, volume) - whole).abs() < 1e-12, "{volume}");
        }
    }
}
