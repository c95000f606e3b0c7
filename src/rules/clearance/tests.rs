use super::super::finding::{Place, Source, Verdict};
use super::*;
use crate::job::{Face, Roof};
use crate::roof::testing::{FOOT, another, planned, studied, wall};

fn found(change: impl FnOnce(&mut Roof)) -> Vec<Finding> {
    let job = planned(change);
    look(&job, &studied(&job))
}

/// What is found of the sides of the first unit.
fn sides_of_the_first(change: impl FnOnce(&mut Roof)) -> Finding {
    found(change).into_iter().find(|f| !f.words().contains("controls") && !f.words().contains("pit:")).unwrap()
}

#[test]
fn a_unit_by_itself_passes() {
    for finding in found(|_| {}) {
        assert_eq!(finding.verdict, Verdict::Pass, "{finding:#?}");
        assert!(!finding.source.text().is_empty());
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
    assert_eq!(finding.place, Some(Place::UnitSide(0, "south")));
    assert!((finding.value() / FOOT - 3.5).abs() < 1e-9 && (finding.limit() / FOOT - 7.5).abs() < 1e-9);
    assert_eq!(
        finding.words(),
        "C1 takes air at its south side, 3.5 ft from the wall stair head; 7.5 ft to a wall is required. The \
         manufacturer's instructions govern."
    );
}

#[test]
fn what_ends_below_the_unit_is_no_obstacle() {
    let before =
        |height: f64| sides_of_the_first(|roof| roof.walls.push(wall("kerb", (80.0, 44.0), (120.0, 44.0), height)));
    assert_eq!(before(2.0).verdict, Verdict::Pass);
    let finding = before(3.5);
    assert_eq!(finding.verdict, Verdict::Fail);
    assert!(finding.words().contains("from the wall kerb along 25 % of its height"), "{}", finding.words());
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
    assert_eq!(finding.source, Source::Job("[[roof.unit]] clearance"));
    assert!(finding.words().ends_with("its manufacturer requires 6 ft."), "{}", finding.words());
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
    assert!(beside(9.0).iter().all(|f| f.verdict <= Verdict::NotJudged));
    let findings = beside(8.0);
    let cautions: Vec<&Finding> = findings.iter().filter(|f| f.verdict == Verdict::Caution).collect();
    assert_eq!(cautions.len(), 2, "one for each of the two: {findings:#?}");
    assert!(
        cautions[0].words().contains("8 ft from C2; 9 ft between two units is required"),
        "{}",
        cautions[0].words()
    );
    let note = findings.last().unwrap();
    assert!(note.verdict == Verdict::NotJudged && note.words().contains("(controls) of C2"), "{}", note.words());
}

#[test]
fn air_thrown_at_an_intake_needs_twice_the_width() {
    let beside = |feet: f64| {
        sides_of_the_first(|roof| {
            roof.units[0].air_out = Some(Face::North);
            roof.units[0].air_in = vec![Face::South];
            let other = another(roof, "C2", (0.0, 7.5 + feet));
            roof.units.push(crate::job::RoofUnit { air_in: vec![Face::South], air_out: None, ..other });
        })
    };
    assert_eq!(beside(15.0).verdict, Verdict::Pass);
    let finding = beside(14.0);
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(finding.words().contains("discharges air at its north side, 14 ft from C2"), "{}", finding.words());
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
        finding.words().starts_with("C1 is in a pit: walls at its north, south and west sides"),
        "{}",
        finding.words()
    );
    let tight = found(|roof| court(roof, 10.0, 8.0));
    let finding = tight.iter().find(|f| f.verdict == Verdict::Caution).unwrap();
    assert!(
        finding.words().contains("10 ft from the wall south wall; 15 ft to each wall of a pit is required"),
        "{}",
        finding.words()
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
        findings.into_iter().find(|f| f.words().contains("controls")).unwrap()
    };
    // Table 110.26(A)(1), 151 to 600 V to ground, condition 2: 3 ft 6 in.
    assert_eq!(beside(3.5).verdict, Verdict::Pass);
    let finding = beside(3.0);
    assert_eq!(finding.verdict, Verdict::Fail);
    assert_eq!(
        finding.words(),
        "In front of the controls of C1, at its east side, there is 3 ft to the wall lift house, taken as grounded; \
         3.5 ft of \
         level space is required at 151 to 600 V to ground. The code in force and the authority having jurisdiction govern."
    );
}

/// What is said of the controls of the first of two units that face each other that far apart, in feet.
fn facing(feet: f64, controls: Option<Face>, volts: f64) -> Finding {
    let findings = found(|roof| {
        roof.volts_to_ground = volts;
        let other = another(roof, "C2", (20.0 + feet, 0.0));
        roof.units.push(crate::job::RoofUnit { controls, ..other });
    });
    findings.into_iter().find(|f| f.words().contains("controls of C1")).unwrap()
}

#[test]
fn the_depth_before_live_parts_goes_by_what_stands_opposite() {
    // Table 110.26(A)(1), 151 to 600 V to ground: 4 ft to live parts, 3 ft 6 in to what is grounded.
    let live = |feet: f64| facing(feet, Some(Face::West), 277.0).verdict;
    assert_eq!((live(4.0), live(3.9)), (Verdict::Pass, Verdict::Fail));
    let casing = |feet: f64| facing(feet, Some(Face::East), 277.0).verdict;
    assert_eq!((casing(3.5), casing(3.4)), (Verdict::Pass, Verdict::Fail));
    let unknown = |feet: f64| facing(feet, None, 277.0);
    assert_eq!((unknown(4.0).verdict, unknown(3.4).verdict), (Verdict::Pass, Verdict::Fail));
    let between = unknown(3.7);
    assert_eq!(between.verdict, Verdict::Caution);
    assert!(between.words().contains("C2, whose controls have no side given"), "{}", between.words());
    // Up to 150 V to ground 3 ft, whatever stands there.
    let low = |feet: f64| facing(feet, Some(Face::West), 150.0).verdict;
    assert_eq!((low(3.0), low(2.9)), (Verdict::Pass, Verdict::Fail));
}

#[test]
fn before_the_edge_of_the_roof_nothing_is_grounded() {
    // Condition 1: 3 ft. The unit ends 20 ft from where it begins.
    let from_the_edge = |feet: f64| {
        let findings = found(|roof| roof.units[0].at = crate::roof::testing::feet(180.0 - feet, 45.0));
        findings.into_iter().find(|f| f.words().contains("controls of C1")).unwrap().verdict
    };
    assert_eq!((from_the_edge(3.0), from_the_edge(2.9)), (Verdict::Pass, Verdict::Fail));
}

#[test]
fn a_limit_of_the_jobs_own_is_used_and_named() {
    let mut job = planned(|roof| roof.walls.push(wall("stair head", (80.0, 38.0), (120.0, 38.0), 10.0)));
    let before = look(&job, &studied(&job));
    assert!(before.iter().any(|f| f.verdict == Verdict::Caution));
    job.limits.insert("clearance_wall".to_owned(), 0.9);
    let after = look(&job, &studied(&job));
    assert!(after.iter().all(|f| f.verdict == Verdict::Pass), "{after:#?}");
    assert!(after.iter().any(|f| f.source == Source::OwnLimit));
}

/// Screens of which half is open round the unit, so far over its top, at its width.
fn screened(over: f64) -> Vec<Finding> {
    found(|roof| {
        court(roof, 7.5, 8.0 + over);
        roof.walls.iter_mut().for_each(|wall| wall.open = 0.5);
    })
}

#[test]
fn a_tall_wall_is_good_at_nine_feet_and_not_at_five() {
    let before = |feet: f64| {
        let y = 45.0 - feet;
        sides_of_the_first(|roof| roof.walls.push(wall("stair head", (80.0, y), (120.0, y), 18.0))).verdict
    };
    assert_eq!((before(9.0), before(5.0), before(3.0)), (Verdict::Pass, Verdict::Caution, Verdict::Fail));
}

#[test]
fn a_screen_half_open_may_rise_two_feet_over_the_unit_and_not_four() {
    for over in [1.0, 2.0] {
        assert!(screened(over).iter().all(|f| f.verdict == Verdict::Pass), "{over}: {:#?}", screened(over));
    }
    assert!(screened(4.0).iter().any(|f| f.verdict >= Verdict::Caution), "{:#?}", screened(4.0));
    // One screen by itself too: it is no pit, but so high that it needs twice the width.
    let alone = |feet: f64| {
        sides_of_the_first(|roof| {
            let y = 45.0 - feet;
            roof.walls.push(wall("screen", (80.0, y), (120.0, y), 12.0));
            roof.walls[0].open = 0.5;
        })
        .verdict
    };
    assert_eq!((alone(15.0), alone(7.5)), (Verdict::Pass, Verdict::Caution));
}

#[test]
fn two_units_side_by_side_want_their_width_between_them_and_four_feet_is_too_little() {
    let beside = |feet: f64| {
        let found = found(|roof| roof.units.push(another(roof, "C2", (0.0, 7.5 + feet))));
        found.iter().filter(|f| !f.words().contains("controls")).map(|f| f.verdict).max().unwrap()
    };
    assert_eq!((beside(7.5), beside(4.0)), (Verdict::Pass, Verdict::Caution));
    let end_to_end = found(|roof| roof.units.push(another(roof, "C2", (24.0, 0.0))));
    let sides = end_to_end.iter().filter(|f| !f.words().contains("controls"));
    assert!(sides.clone().all(|f| f.verdict == Verdict::Pass), "{end_to_end:#?}");
}
