//! `clearance`: has every unit the room that its air, and those who work on it, need?

use super::case::{greatest, list};
use super::limit::{limit, title};
use super::mend::plan;
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Air, Asks, Clearance, FaceRoom, Mend, RoofStudy};
use crate::units::System;

/// The rule.
pub const RULE: Rule = Rule {
    id: "clearance",
    question: "Has every unit the room that its air, and those who work on it, need?",
    explanation: "\
Before each side of each unit the plan is searched, straight ahead and within the breadth of the side, for walls, screens, \
parapets and other units; the least distance counts. What ends below the underside of the unit is no obstacle, except to one \
that takes air from below.

The maker's own figure for a side (clearance) decides where it is given, and less is a fail. No standard gives one, so without it \
common practice is used, measured by the width of the unit, the smaller of its plan dimensions: its own width to a wall before \
a side that takes or throws air, the width of the wider between two units, twice the width where one throws its air at the \
intake of another, and 3 ft for pipework and service where no air passes. Less is a caution, less than half is a fail. Where \
walls as high as the unit, or higher, stand within twice its width on three sides or all, it stands in a pit: twice the width is \
asked to each of them, and its top should not lie below theirs, or its own warm air runs back down to it. A screen of which half \
is open asks for its width like any wall, but makes a pit only where it is higher than the unit. Other units make no pit.

In front of the side at which the controls are worked on there must be level space as deep as the mechanical code asks, or the \
electrical code for live parts, whichever is more; less is a fail. Where in the side the controls are is not known, so the whole \
side must have it. Nothing above the units is drawn, so the clear height over an outlet at the top is only told.

Too little room makes a condenser breathe its own warm air or starves its fans: it condenses higher, and trips on the hottest day. \
The mend is found by moving the unit or the one in its way in steps, by setting it higher or by lowering a wall, and studying the \
changed plan each time: the unit must have its room, and no finding of room, working space, guards, warm air or sound may be worse \
than before. A unit is moved straight over free roof, the shortest way, and by no more than 15 ft or 5 m: farther off it stands in \
another place, with other steel, pipework and cable.",
    limits: &[
        "clearance_wall",
        "clearance_units",
        "clearance_pit",
        "clearance_above",
        "clearance_end",
        "screen_open",
        "working_space",
        "electrical_depth",
    ],
    look: Look::Roof(look),
};

/// What a unit does of which the working space is mended.
const HAS_ITS_WORKING_SPACE: &str = "has its working space, and nothing else gets worse";
/// What a unit does that lay in a pit.
const IS_NOT_SUNK: &str = "lies no deeper than the walls round it, and nothing else gets worse";
/// What a mended unit does.
const HAS_ITS_ROOM: &str = "has its room, and nothing else gets worse";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let mut findings: Vec<Finding> = study
        .clearances
        .iter()
        .flat_map(|clearance| {
            let found = [
                (Some(sides(job, clearance)), None),
                (pit(job, clearance), clearance.pit_mend.as_ref().map(|mend| (mend, IS_NOT_SUNK))),
                (working(job, clearance), clearance.working_mend.as_ref().map(|mend| (mend, HAS_ITS_WORKING_SPACE))),
            ];
            mended(job, clearance, found.into_iter().filter_map(|(found, mend)| Some((found?, mend))).collect())
        })
        .collect();
    findings.extend(without_controls(study));
    findings
}

/// With the mend, once where one does for all; where none does, with what mends that finding alone.
fn mended(job: &Job, clearance: &Clearance, mut findings: Vec<(Finding, Option<(&Mend, &str)>)>) -> Vec<Finding> {
    let words = |mend: &Mend, does: &str| plan(job.units, mend, &clearance.name, does);
    let whole = clearance.mend.as_ref().map(|mend| words(mend, HAS_ITS_ROOM));
    let mut told = false;
    findings.sort_by_key(|(finding, _)| std::cmp::Reverse(finding.verdict));
    for (finding, own) in &mut findings {
        let wrong = finding.verdict > Verdict::Note;
        if let Some((mend, does)) = own.filter(|(mend, _)| wrong && !mend.is_nothing()) {
            finding.mend = Some(words(mend, does));
        } else if finding.verdict == Verdict::Fail || wrong && !told {
            finding.mend.clone_from(&whole);
            told = true;
        }
    }
    findings.into_iter().map(|(finding, _)| finding).collect()
}

/// The four sides: one finding, by the side that is worst.
fn sides(job: &Job, clearance: &Clearance) -> Finding {
    let show = job.units;
    let place = format!("unit {}", clearance.name);
    let worst = greatest(
        clearance
            .faces
            .iter()
            .filter_map(|face| {
                let free = face.free_m?;
                // The verdict first, then what is missing as a share of what is asked.
                Some((face, (f64::from(grade(face) as u8), (face.asked_m - free) / face.asked_m.max(1e-9))))
            })
            .map(|(face, (verdict, share))| (face, 1e3 * verdict + share)),
    );
    let Some((face, _)) = worst else {
        let says = format!("Nothing stands before any side of {}.", clearance.name);
        return Finding::new(RULE.id, Verdict::Pass, None).place(place).says(says).by(source(job, Asks::Wall));
    };
    let free = face.free_m.unwrap_or(f64::NAN);
    let verdict = grade(face);
    let short: Vec<&FaceRoom> = clearance.faces.iter().filter(|face| face.short_m > 0.0).collect();
    let says = if short.is_empty() {
        format!(
            "{} has the room that is asked for. It is tightest at its {} side: {}, where {}.",
            clearance.name,
            face.side,
            far(show, face),
            asked(show, face)
        )
    } else {
        // Sides of which the same is asked stand in one sentence.
        let alike = |a: &&FaceRoom, b: &&FaceRoom| a.air == b.air && a.asks == b.asks && show_alike(show, a, b);
        let mut left = short;
        let mut says = String::new();
        while let Some(first) = left.first().copied() {
            let (these, others): (Vec<&FaceRoom>, Vec<&FaceRoom>) =
                left.into_iter().partition(|face| alike(&first, face));
            says += &sentence(show, &clearance.name, first, &these);
            says.push(' ');
            left = others;
        }
        if face.asks != Asks::Maker {
            says += "The maker's manual decides.";
        }
        says.trim_end().to_owned()
    };
    Finding::new(RULE.id, verdict, None)
        .place(format!("{place}, {} side", face.side))
        .found(free, face.asked_m, "m")
        .says(says)
        .by(source(job, face.asks))
}

/// How bad it is: the maker's figure may not be broken, common practice not by more than half.
fn grade(face: &FaceRoom) -> Verdict {
    let free = face.free_m.unwrap_or(f64::INFINITY);
    match (face.short_m > 0.0, face.asks) {
        (false, _) => Verdict::Pass,
        (true, Asks::Maker) => Verdict::Fail,
        (true, _) if free < face.asked_m / 2.0 - 1e-6 => Verdict::Fail,
        (true, _) => Verdict::Caution,
    }
}

fn far(show: System, face: &FaceRoom) -> String {
    let free = face.free_m.unwrap_or(f64::NAN);
    format!("{} to {}", show.length(free), face.obstacle.as_deref().unwrap_or("nothing"))
}

/// What is asked of a face and why.
fn asked(show: System, face: &FaceRoom) -> String {
    let asked = show.length(face.asked_m);
    match face.asks {
        Asks::Maker => format!("its maker asks for {asked}"),
        Asks::Wall => format!("{asked} before a wall is asked for"),
        Asks::Screen => format!("{asked} before a screen is asked for"),
        Asks::Unit => format!("{asked} between two units is asked for"),
        Asks::Throw => format!("{asked} is asked for where one throws its air at the intake of another"),
        Asks::Pit => format!("{asked} to each wall of a pit is asked for"),
        Asks::End => format!("{asked} for pipework and service is asked for"),
    }
}

/// Whether the same distance is shown as asked of both.
fn show_alike(show: System, a: &FaceRoom, b: &FaceRoom) -> bool {
    show.length(a.asked_m) == show.length(b.asked_m)
}

/// What is short at these sides, of which the same is asked.
fn sentence(show: System, name: &str, first: &FaceRoom, faces: &[&FaceRoom]) -> String {
    let does = match first.air {
        Air::In => "takes air at",
        Air::Out => "throws its air out at",
        Air::None => "has at",
    };
    let sides = faces.iter().map(|face| {
        let hides = match (face.air, face.hidden_share) {
            (Air::In, Some(share)) if share < 0.995 => {
                format!(", which stands before {:.0} % of its height", 100.0 * share)
            }
            _ => String::new(),
        };
        format!("its {} side with {}{hides}", face.side, far(show, face))
    });
    format!("{name} {does} {}; {}.", list(sides), asked(show, first))
}

/// Where what is asked comes from.
fn source(job: &Job, asks: Asks) -> String {
    let key = match asks {
        Asks::Maker => return "the job file (the maker's clearance)".to_owned(),
        Asks::Wall | Asks::Screen => "clearance_wall",
        Asks::Unit => "clearance_units",
        Asks::Throw | Asks::Pit => "clearance_pit",
        Asks::End => "clearance_end",
    };
    limit(job, key).source
}

/// A unit that lies deeper than the walls round it.
fn pit(job: &Job, clearance: &Clearance) -> Option<Finding> {
    let pit = clearance.pit.as_ref().filter(|pit| pit.sunk_m > 0.0)?;
    let sides = list(pit.sides.iter().map(|side| (*side).to_owned()));
    let says = format!(
        "{} stands in a pit: walls at its {sides} sides, and its top lies {} below the lowest of them. Its own warm air runs \
         back down to its intakes. The maker's manual decides.",
        clearance.name,
        job.units.length(pit.sunk_m)
    );
    let finding = Finding::new(RULE.id, Verdict::Caution, None).place(format!("unit {}", clearance.name));
    Some(finding.found(pit.sunk_m, 0.0, "m").says(says).by(source(job, Asks::Pit)))
}

/// The space in front of the controls.
fn working(job: &Job, clearance: &Clearance) -> Option<Finding> {
    let show = job.units;
    let working = clearance.working.as_ref()?;
    let used = limit(job, if working.electrical { "electrical_depth" } else { "working_space" });
    let place = format!("unit {}, {} side", clearance.name, working.side);
    let at = format!("In front of the controls of {}, at its {} side,", clearance.name, working.side);
    let finding = |verdict| Finding::new(RULE.id, verdict, None).place(place.clone()).by(used.source.clone());
    let Some(free) = working.free_m else {
        return Some(finding(Verdict::Pass).says(format!("{at} nothing stands.")));
    };
    let what = working.obstacle.as_deref().unwrap_or("nothing");
    let (free_text, asked) = (show.length(free), show.length(working.asked_m));
    let says = format!("{at} there is {free_text} to {what}; {asked} of level space is asked for");
    Some(if working.short_m > 0.0 {
        let code = "the code in force and the authority that enforces it decide";
        finding(Verdict::Fail).found(free, working.asked_m, "m").says(format!("{says}: {code}."))
    } else {
        finding(Verdict::Pass).found(free, working.asked_m, "m").says(format!("{says}."))
    })
}

/// A note on the units of which the side of the controls is not given.
fn without_controls(study: &RoofStudy) -> Option<Finding> {
    let names: Vec<String> =
        study.clearances.iter().filter(|c| c.working.is_none()).map(|clearance| clearance.name.clone()).collect();
    if names.is_empty() {
        return None;
    }
    let says = format!(
        "The job does not give the side at which the controls are worked on (controls) of {}, so the working space in front of \
         them was not judged.",
        list(names)
    );
    Some(Finding::new(RULE.id, Verdict::Note, None).says(says).by(title("imc-304")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Roof;
    use crate::job::Side;
    use crate::roof::testing::{FOOT, another, planned, studied, wall};

    fn found(change: impl FnOnce(&mut Roof)) -> Vec<Finding> {
        let job = planned(change);
        look(&job, &studied(&job))
    }

    /// What is found of the sides of the first unit.
    fn sides_of_the_first(change: impl FnOnce(&mut Roof)) -> Finding {
        found(change).into_iter().find(|f| !f.says.contains("controls") && !f.says.contains("pit:")).unwrap()
    }

    #[test]
    fn a_unit_by_itself_passes() {
        for finding in found(|_| {}) {
            assert_eq!(finding.verdict, Verdict::Pass, "{finding:#?}");
            assert!(finding.mend.is_none() && !finding.source.is_empty());
        }
    }

    #[test]
    fn a_wall_at_the_unit_s_width_passes_and_nearer_it_is_a_caution_to_half_and_then_a_fail() {
        let before = |feet: f64| {
            let y = 45.0 - feet;
            sides_of_the_first(|roof| roof.walls.push(wall("stair head", (80.0, y), (120.0, y), 10.0)))
        };
        assert_eq!(before(7.5).verdict, Verdict::Pass);
        assert_eq!(before(7.4).verdict, Verdict::Caution);
        assert_eq!(before(3.75).verdict, Verdict::Caution);
        let finding = before(3.5);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert_eq!(finding.r#where.as_deref(), Some("unit C1, south side"));
        assert!(
            (finding.value.unwrap() / FOOT - 3.5).abs() < 1e-9 && (finding.limit.unwrap() / FOOT - 7.5).abs() < 1e-9
        );
        assert_eq!(
            finding.says,
            "C1 takes air at its south side with 3.5 ft to the wall stair head; 7.5 ft before a wall is asked for. The maker's \
             manual decides."
        );
        // To 2 ft the stair head would have to lose most of its height.
        let mend = "Moved 4 ft towards its north side, C1 has its room, and nothing else gets worse.";
        assert_eq!(finding.mend.as_deref(), Some(mend));
    }

    #[test]
    fn the_mend_does_and_half_a_foot_less_does_not() {
        let close = |north: f64| {
            sides_of_the_first(|roof| {
                roof.walls.push(wall("stair head", (80.0, 41.5), (120.0, 41.5), 10.0));
                roof.units[0].at.y_m += north * FOOT;
            })
        };
        assert_eq!(close(4.0).verdict, Verdict::Pass);
        assert_eq!(close(3.5).verdict, Verdict::Caution);
    }

    #[test]
    fn what_ends_below_the_unit_is_no_obstacle() {
        let before =
            |height: f64| sides_of_the_first(|roof| roof.walls.push(wall("kerb", (80.0, 44.0), (120.0, 44.0), height)));
        assert_eq!(before(2.0).verdict, Verdict::Pass);
        let finding = before(3.5);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert!(finding.says.contains("which stands before 25 % of its height"), "{}", finding.says);
        let mend = finding.mend.unwrap();
        assert!(
            mend.contains("set 1.5 ft higher on its frame, or with the wall kerb no higher than 2 ft, C1 "),
            "{mend}"
        );
        // From a wall of 7 ft it takes the highest frame that is tried, 5 ft; to a higher one none is told.
        assert!(before(7.0).mend.unwrap().contains("set 5 ft higher on its frame"));
        assert!(!before(7.5).mend.unwrap().contains("higher on"));
    }

    #[test]
    fn the_maker_s_own_figure_decides() {
        let before = |feet: f64| {
            sides_of_the_first(|roof| {
                roof.units[0].clearance_m[2] = Some(6.0 * FOOT);
                roof.walls.push(wall("stair head", (80.0, 45.0 - feet), (120.0, 45.0 - feet), 10.0));
            })
        };
        assert_eq!(before(6.0).verdict, Verdict::Pass);
        let finding = before(5.9);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert_eq!(finding.source, "the job file (the maker's clearance)");
        assert!(finding.says.ends_with("its maker asks for 6 ft."), "{}", finding.says);
    }

    #[test]
    fn units_keep_the_width_of_the_wider_between_them() {
        let beside = |feet: f64| {
            found(|roof| {
                let mut other = another(roof, "C2", (0.0, 7.5 + feet));
                other.width_m = 9.0 * FOOT;
                other.controls = None;
                roof.units.push(other);
            })
        };
        assert!(beside(9.0).iter().all(|f| f.verdict <= Verdict::Note));
        let findings = beside(8.0);
        let cautions: Vec<&Finding> = findings.iter().filter(|f| f.verdict == Verdict::Caution).collect();
        assert_eq!(cautions.len(), 2, "one for each of the two: {findings:#?}");
        assert!(cautions[0].says.contains("8 ft to C2; 9 ft between two units is asked for"), "{}", cautions[0].says);
        assert!(cautions[0].mend.as_ref().unwrap().starts_with("Moved 1 ft towards its south side, C1 has its room"));
        let note = findings.last().unwrap();
        assert!(note.verdict == Verdict::Note && note.says.contains("(controls) of C2"), "{}", note.says);
    }

    #[test]
    fn a_gap_between_two_is_mended_at_the_one_that_can_move() {
        // C1 has just its width to the wall at its back: C2 moves.
        let findings = found(|roof| {
            roof.units.push(another(roof, "C2", (0.0, 14.0)));
            roof.walls.push(wall("stair head", (80.0, 37.5), (120.0, 37.5), 10.0));
        });
        let mends: Vec<&str> = findings.iter().filter_map(|f| f.mend.as_deref()).collect();
        assert_eq!(
            mends,
            [
                "With C2 moved 1 ft towards its north side, C1 has its room, and nothing else gets worse.",
                "Moved 1 ft towards its north side, C2 has its room, and nothing else gets worse."
            ]
        );
    }

    #[test]
    fn a_low_unit_bars_a_frame_only_where_it_is_near() {
        let mend = |far: f64| {
            sides_of_the_first(|roof| {
                roof.walls.push(wall("kerb", (80.0, 44.0), (120.0, 44.0), 3.5));
                let mut low = another(roof, "C2", (far, 0.0));
                (low.stands_m, low.height_m, low.controls) = (0.0, 3.0 * FOOT, None);
                roof.units.push(low);
            })
            .mend
            .unwrap()
        };
        assert!(mend(60.0).contains("set 1.5 ft higher on its frame"), "{}", mend(60.0));
        assert!(!mend(25.0).contains("higher on its frame"), "{}", mend(25.0));
    }

    #[test]
    fn no_move_goes_nearer_to_an_edge_without_a_guard_or_over_the_limit_of_a_listener() {
        // By hand, from the middle of its top: 31.75 m to the listener, a level of 95 + 3 - 11 - 20 lg 31.75 and 0.1 dB
        // for the air = 56.9 dB(A). 3.5 ft nearer it is 0.3 dB more.
        fn listener(roof: &mut Roof, limit: f64) {
            let (at, limit_dba) = (crate::roof::testing::feet(100.0, -52.0), Some(limit));
            let height_m = (36.0 + 8.0) * FOOT;
            let name = "window".to_owned();
            roof.listeners.push(crate::job::Listener { name, at, height_m, limit_dba, night_limit_dba: None });
        }
        let mend = |south: f64, change: fn(&mut Roof)| {
            sides_of_the_first(|roof| {
                roof.outline.iter_mut().filter(|corner| corner.y_m < 1.0).for_each(|corner| corner.y_m = south * FOOT);
                roof.walls.push(wall("stair head", (80.0, 56.5), (120.0, 56.5), 10.0));
                roof.units[0].sound = Some(crate::job::SoundPower::A(95.0));
                change(roof);
            })
            .mend
            .unwrap()
        };
        let south = "Moved 3.5 ft towards its south side, C1 has its room, and nothing else gets worse.";
        assert_eq!(mend(0.0, |_| {}), south);
        // 9 ft from the edge it wants a guard already; at 11 ft it would newly want one.
        assert!(!mend(36.0, |_| {}).contains("south") && !mend(34.0, |_| {}).contains("south"));
        assert!(
            !mend(0.0, |roof| listener(roof, 57.05)).contains("south"),
            "{}",
            mend(0.0, |roof| listener(roof, 57.05))
        );
        assert_eq!(mend(0.0, |roof| listener(roof, 65.0)), south);
    }

    #[test]
    fn air_thrown_at_an_intake_needs_twice_the_width() {
        let beside = |feet: f64| {
            sides_of_the_first(|roof| {
                roof.units[0].air_out = Some(Side::North);
                roof.units[0].air_in = vec![Side::South];
                let other = another(roof, "C2", (0.0, 7.5 + feet));
                roof.units.push(crate::job::RoofUnit { air_in: vec![Side::South], air_out: None, ..other });
            })
        };
        assert_eq!(beside(15.0).verdict, Verdict::Pass);
        let finding = beside(14.0);
        assert_eq!(finding.verdict, Verdict::Caution);
        assert!(finding.says.contains("throws its air out at its north side with 14 ft to C2"), "{}", finding.says);
    }

    /// Walls round the unit at that distance, in feet, of that height.
    fn court(roof: &mut Roof, far: f64, height: f64) {
        let (west, east, south, north) = (90.0 - far, 110.0 + far, 45.0 - far, 52.5 + far);
        roof.walls.push(wall("south wall", (west, south), (east, south), height));
        roof.walls.push(wall("north wall", (west, north), (east, north), height));
        roof.walls.push(wall("west wall", (west, south), (west, north), height));
    }

    #[test]
    fn a_pit_asks_for_twice_the_width_and_for_a_top_that_is_not_sunk() {
        let wide = found(|roof| court(roof, 15.0, 8.0));
        assert!(wide.iter().all(|f| f.verdict == Verdict::Pass), "{wide:#?}");
        let sunk = found(|roof| court(roof, 15.0, 9.5));
        let finding = sunk.iter().find(|f| f.verdict == Verdict::Caution).unwrap();
        assert!(
            finding.says.starts_with("C1 stands in a pit: walls at its north, south and west sides"),
            "{}",
            finding.says
        );
        assert!(finding.mend.as_ref().unwrap().contains("set 1.5 ft higher"), "{finding:#?}");
        let tight = found(|roof| court(roof, 10.0, 8.0));
        let finding = tight.iter().find(|f| f.verdict == Verdict::Caution).unwrap();
        assert!(
            finding.says.contains("10 ft to the wall south wall; 15 ft to each wall of a pit is asked for"),
            "{}",
            finding.says
        );
        // As high as the unit and half open, they make no pit.
        let open = found(|roof| {
            court(roof, 10.0, 8.0);
            roof.walls.iter_mut().for_each(|wall| wall.open = 0.5);
        });
        assert!(open.iter().all(|f| f.verdict == Verdict::Pass), "{open:#?}");
    }

    #[test]
    fn the_working_space_is_the_code_s() {
        let beside = |feet: f64| {
            let findings =
                found(|roof| roof.walls.push(wall("lift house", (110.0 + feet, 40.0), (110.0 + feet, 60.0), 10.0)));
            findings.into_iter().find(|f| f.says.contains("controls")).unwrap()
        };
        assert_eq!(beside(3.0).verdict, Verdict::Pass);
        let finding = beside(2.5);
        assert_eq!(finding.verdict, Verdict::Fail);
        assert!(
            finding.says.contains("2.5 ft to the wall lift house; 3 ft of level space is asked for: the code in force")
        );
        assert!(finding.mend.unwrap().starts_with("Moved 0.5 ft towards its west side"));
    }

    #[test]
    fn a_limit_of_the_jobs_own_is_used_and_named() {
        let mut job = planned(|roof| roof.walls.push(wall("stair head", (80.0, 38.0), (120.0, 38.0), 10.0)));
        let before = look(&job, &studied(&job));
        assert!(before.iter().any(|f| f.verdict == Verdict::Caution));
        job.limits.insert("clearance_wall".to_owned(), 0.9);
        let after = look(&job, &studied(&job));
        assert!(after.iter().all(|f| f.verdict == Verdict::Pass), "{after:#?}");
        assert!(after.iter().any(|f| f.source == "the job file's own limit"));
    }

    #[test]
    fn where_nothing_helps_that_is_said() {
        let yard = |outline: [(f64, f64); 4]| {
            let findings = found(|roof| {
                roof.outline = outline.map(|(x, y)| crate::roof::testing::feet(x, y)).to_vec();
                roof.units[0].stands_m = 0.0;
                court(roof, 3.0, 20.0);
            });
            findings.into_iter().find(|f| f.verdict == Verdict::Fail).unwrap().mend.unwrap()
        };
        // The roof beyond its walls is wide, but no unit goes through a wall; 15 ft to the open side leaves it between
        // them.
        let outlines = [
            [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)],
            [(86.0, 41.0), (114.0, 41.0), (114.0, 56.0), (86.0, 56.0)],
        ];
        for outline in outlines {
            let mend = yard(outline);
            assert_eq!(
                mend,
                "No one change that was tried mends it and makes nothing else worse: moving one unit by up to 15 ft, setting C1 up to \
                 5 ft higher, lowering one wall. C1 wants another place."
            );
        }
    }
}
