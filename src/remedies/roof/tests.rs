//! What is found for plans, and that it holds when it is built.

use super::*;
use crate::job::{Face, HeatSource, Listener, SoundPower, Weight};
use crate::roof::testing::{FOOT, another, feet, planned, solved, studied, wall};
use crate::units::kelvins;
use proptest::prelude::*;

/// The findings of a plan, with what is found for each.
fn found(job: &Job) -> Vec<(Finding, Vec<Remedy>)> {
    let study = studied(job);
    let findings = check_site(job, Some(&study), None);
    let remedies = of_the_roof(job, solved(), &findings);
    findings.into_iter().zip(remedies).collect()
}

/// What is found for the first finding of a rule that is wrong.
fn remedies(job: &Job, rule: &str) -> (Finding, Vec<Vec<Change>>) {
    let wrong = |(finding, _): &(Finding, Vec<Remedy>)| finding.rule == rule && finding.verdict >= Verdict::Caution;
    let (finding, remedies) = found(job).into_iter().find(wrong).unwrap();
    (finding, remedies.into_iter().map(|remedy| remedy.changes).collect())
}

/// How far the unit is moved, in feet.
fn moved(job: &Job, changes: &[Vec<Change>]) -> Option<(usize, f64, f64)> {
    changes.iter().find_map(|set| match set[..] {
        [Change::UnitAt(unit, at)] => {
            let way = at.minus(job.roof.as_ref()?.units.get(unit)?.at).times(1.0 / FOOT);
            Some((unit, (way.x_m * 10.0).round() / 10.0, (way.y_m * 10.0).round() / 10.0))
        }
        _ => None,
    })
}

#[test]
fn a_unit_is_moved_just_as_far_as_it_must() {
    let close = |north: f64| {
        planned(|roof| {
            roof.walls.push(wall("stair head", (80.0, 41.5), (120.0, 41.5), 10.0));
            roof.units[0].at.y_m += north * FOOT;
        })
    };
    let (finding, found) = remedies(&close(0.0), "clearance");
    assert_eq!((finding.verdict, &finding.place), (Verdict::Fail, &Some(Place::UnitSide(0, "south"))));
    assert_eq!(moved(&close(0.0), &found), Some((0, 0.0, 4.0)));
    // To 2 ft the stair head would have to lose most of its height, and no frame lifts the unit over it.
    assert_eq!(found.len(), 1, "{found:?}");
    // Half a foot less leaves it short.
    assert_eq!(remedies(&close(3.5), "clearance").0.verdict, Verdict::Caution);
}

#[test]
fn over_a_kerb_it_is_set_higher_and_the_kerb_stays() {
    let kerb = |height: f64| planned(|roof| roof.walls.push(wall("kerb", (80.0, 44.0), (120.0, 44.0), height)));
    let of = |height: f64| remedies(&kerb(height), "clearance").1;
    let is_near = |a: f64, feet: f64| (a - feet * FOOT).abs() < 1e-6;
    assert!(
        of(3.5).iter().any(
            |set| matches!(set[..], [Change::UnitHeight(0, top, under)] if is_near(top, 9.5) && is_near(under, 3.5))
        )
    );
    assert!(!of(3.5).iter().any(|set| matches!(set[..], [Change::WallHeight(..)])));
    // From a wall of 7 ft it takes the highest frame that is tried, 5 ft; over a higher one none.
    let frame = |height: f64| of(height).iter().any(|set| matches!(set[..], [Change::UnitHeight(..)]));
    assert!(frame(7.0) && !frame(7.5));
}

#[test]
fn a_low_unit_bars_a_frame_only_where_it_is_near() {
    let frame = |far: f64| {
        let job = planned(|roof| {
            roof.walls.push(wall("kerb", (80.0, 44.0), (120.0, 44.0), 3.5));
            let mut low = another(roof, "C2", (far, 0.0));
            (low.base_height_m, low.height_m, low.controls) = (0.0, 3.0 * FOOT, None);
            roof.units.push(low);
        });
        remedies(&job, "clearance").1.iter().any(|set| matches!(set[..], [Change::UnitHeight(..)]))
    };
    assert!(frame(60.0) && !frame(25.0));
}

#[test]
fn a_gap_between_two_is_mended_at_the_one_that_can_move() {
    // C1 has just its width to the wall at its back: C2 moves.
    let job = planned(|roof| {
        roof.units.push(another(roof, "C2", (0.0, 14.0)));
        roof.walls.push(wall("stair head", (80.0, 37.5), (120.0, 37.5), 10.0));
    });
    assert_eq!(moved(&job, &remedies(&job, "clearance").1), Some((1, 0.0, 1.0)));
}

#[test]
fn no_move_goes_within_reach_of_an_edge_or_over_the_limit_of_a_listener() {
    // By hand, from the middle of its top: 31.75 m to the listener, a level of 95 + 3 - 11 - 20 lg 31.75 and 0.1 dB
    // for the air = 56.9 dB(A). 3.5 ft nearer it is 0.3 dB more.
    fn listener(roof: &mut Roof, limit: f64) {
        let (at, limit_dBA) = (feet(100.0, -52.0), Some(limit));
        let (name, height_m) = ("window".to_owned(), (36.0 + 8.0) * FOOT);
        roof.listeners.push(Listener { name, at, height_m, limit_dBA, night_limit_dBA: None });
    }
    let south = |south: f64, change: fn(&mut Roof)| {
        let job = planned(|roof| {
            roof.outline.iter_mut().filter(|corner| corner.y_m < 1.0).for_each(|corner| corner.y_m = south * FOOT);
            roof.walls.push(wall("stair head", (80.0, 56.5), (120.0, 56.5), 10.0));
            roof.units[0].sound = Some(SoundPower::A(95.0));
            change(roof);
        });
        moved(&job, &remedies(&job, "clearance").1) == Some((0, 0.0, -3.5))
    };
    assert!(south(0.0, |_| {}));
    // At 11 ft it would newly want a guard.
    assert!(!south(34.0, |_| {}));
    assert!(!south(0.0, |roof| listener(roof, 57.05)) && south(0.0, |roof| listener(roof, 65.0)));
}

/// The plan with its unit between high walls on three sides, on so much of the roof.
fn walled_in(roof_from: (f64, f64), roof_to: (f64, f64)) -> Job {
    planned(|roof| {
        let corners = [roof_from, (roof_to.0, roof_from.1), roof_to, (roof_from.0, roof_to.1)];
        roof.outline = corners.map(|(x, y)| feet(x, y)).to_vec();
        roof.units[0].base_height_m = 0.0;
        let (west, east, south, north) = (87.0, 113.0, 42.0, 55.5);
        roof.walls.push(wall("south wall", (west, south), (east, south), 20.0));
        roof.walls.push(wall("north wall", (west, north), (east, north), 20.0));
        roof.walls.push(wall("west wall", (west, south), (west, north), 20.0));
    })
}

#[test]
fn where_no_way_leads_out_it_is_set_down_elsewhere_and_the_walls_stay() {
    let job = walled_in((40.0, 0.0), (180.0, 100.0));
    // No unit goes through a wall; 15 ft to the open side leaves it between them.
    let found = remedies(&job, "clearance").1;
    let [set] = &found[..] else { panic!("{found:?}") };
    let (unit, x, y) = moved(&job, std::slice::from_ref(set)).unwrap();
    assert!(unit == 0 && x.hypot(y) > 15.0, "{found:?}");
    let after = studied(&with(&job, set));
    assert!(after.clearances[0].sides_short_m() <= 0.0 && after.clearances[0].sunk_m() <= 0.0);
    let whole = mend(&job, job.roof.as_ref().unwrap(), solved());
    assert!(matches!(whole[..], [Change::UnitAt(0, _)]), "{whole:?}");
    // Where there is no other place none is found.
    assert!(remedies(&walled_in((86.0, 40.0), (116.0, 57.0)), "clearance").1.is_empty());
}

#[test]
fn an_edge_is_guarded_by_rails_round_its_corner_or_left() {
    let near = |x: f64, y: f64| planned(|roof| roof.units[0].at = feet(x, y));
    let (_, found) = remedies(&near(90.0, 9.9), "roof-edge");
    assert_eq!(moved(&near(90.0, 9.9), &found), Some((0, 0.0, 0.5)));
    let rails = |job: &Job| {
        let sets = remedies(job, "roof-edge").1;
        let rails = sets.into_iter().find(|set| matches!(set[..], [Change::NewRail(_), ..])).unwrap();
        assert!(studied(&with(job, &rails)).edges[0].short_m.abs() < 1e-12);
        let length = |change: &Change| match change {
            Change::NewRail(rail) => rail.to.minus(rail.from).length() / FOOT,
            _ => f64::NAN,
        };
        rails.iter().map(length).sum::<f64>()
    };
    // 20 ft and 30 in past each end, a tenth more at each.
    assert!((rails(&near(90.0, 9.9)) - 25.2).abs() < 0.05);
    // 4 ft from the south edge and 1 ft from the west one: 1 + 20 + 2.5 ft along the one, 4 + 7.5 + 2.5 ft along the other.
    assert!((rails(&near(1.0, 4.0)) - 37.7).abs() < 0.1);
}

#[test]
fn an_outlet_that_walls_catch_gets_out_and_so_does_the_unit_that_it_warms() {
    let warm = |change: fn(&mut Roof)| {
        let mut job = planned(|roof| {
            (roof.units[0].air_flow_m3_s, roof.units[0].outlet_m_s) = (Some(18.0), Some(12.0));
            change(roof);
        });
        job.site.recirculation = kelvins(0.0);
        job
    };
    let pit = warm(|roof| {
        for (from, to) in [((88.0, 40.0), (88.0, 57.5)), ((112.0, 40.0), (112.0, 57.5)), ((88.0, 40.0), (112.0, 40.0))]
        {
            roof.walls.push(wall("court", from, to, 12.0));
        }
    });
    let screened = warm(|roof| {
        roof.units.push(another(roof, "C2", (0.0, 11.5)));
        let second = roof.units[1].corners().map(|corner| (corner.x_m / FOOT, corner.y_m / FOOT));
        let (left, right, top) = (second[0].0, second[1].0, second[2].1);
        roof.walls.push(wall("screen", (left, top + 6.0), (right, top + 6.0), 12.0));
        for side in [left - 6.0, right + 6.0] {
            roof.walls.push(wall("court", (side, second[0].1), (side, top + 6.0), 12.0));
        }
    });
    for job in [pit, screened] {
        let (finding, found) = remedies(&job, "recirculation");
        assert!(finding.verdict == Verdict::Fail && !found.is_empty(), "{finding:?}");
        for set in found {
            let rise = studied(&with(&job, &set)).warm_air[0].worst.as_ref().unwrap().rise_K;
            assert!(rise < job.limit("recirculation"), "{set:?}");
        }
    }
}

fn heard_at(limit: f64, change: impl FnOnce(&mut Roof)) -> Job {
    planned(|roof| {
        roof.units[0].sound = Some(SoundPower::A(100.0));
        roof.listeners.push(Listener {
            name: "flat across the lane".to_owned(),
            at: feet(100.0, -251.25),
            height_m: 44.0 * FOOT,
            limit_dBA: None,
            night_limit_dBA: Some(limit),
        });
        change(roof);
    })
}

fn night(job: &Job) -> f64 {
    studied(job).heard[0].night_dBA.unwrap()
}

#[test]
fn fans_units_walls_and_screens_each_make_it_quiet_enough_and_barely() {
    let job = heard_at(45.0, |roof| roof.walls.push(wall("screen", (40.0, 25.0), (160.0, 25.0), 8.5)));
    let (finding, found) = remedies(&job, "sound");
    assert_eq!(finding.verdict, Verdict::Fail);
    let [slower, quieter, raised, screen] = &found[..] else { panic!("{found:?}") };
    let level = |change: Change| night(&with(&job, &[change]));
    let [Change::NightSpeed(0, share)] = slower[..] else { panic!("{slower:?}") };
    assert!(level(Change::NightSpeed(0, share)) <= 42.0 && level(Change::NightSpeed(0, share + 0.01)) > 42.0);
    let [Change::NightSound(0, SoundPower::A(power))] = quieter[..] else { panic!("{quieter:?}") };
    let sound = |power: f64| level(Change::NightSound(0, SoundPower::A(power)));
    assert!(sound(power) <= 42.0 && sound(power + 1.0) > 42.0);
    // 2 m over the unit a wall is not enough for the margin; the limit is kept.
    let [Change::WallHeight(0, height)] = raised[..] else { panic!("{raised:?}") };
    let wall = |height: f64| level(Change::WallHeight(0, height));
    assert!(wall(height) <= 45.0 && wall(height - 0.5 * FOOT) > 45.0);
    let [Change::NewWall(new)] = &screen[..] else { panic!("{screen:?}") };
    let new = |height_m: f64| level(Change::NewWall(Wall { height_m, ..new.clone() }));
    let Change::NewWall(drawn) = &screen[0] else { panic!("{screen:?}") };
    assert!(new(drawn.height_m) <= 42.0 && new(drawn.height_m - 0.5 * FOOT) > 42.0);
    // As far off the south side as a wall must be, and a little more for what writing rounds.
    let off = 45.0 * FOOT - drawn.from.y_m;
    assert!((7.5 * FOOT..7.5 * FOOT + 0.1).contains(&off), "{off}");
}

#[test]
fn no_fan_turns_below_two_fifths_and_none_is_slower_by_day() {
    // By 50 lg: 15 dB is half the speed, 20 dB 39.8 %.
    let open = night(&heard_at(0.0, |_| {}));
    let slower = |less: f64| {
        let found = remedies(&heard_at(open - less + 3.0, |_| {}), "sound").1;
        found.into_iter().find_map(|set| match set[..] {
            [Change::NightSpeed(0, share)] => Some(share),
            _ => None,
        })
    };
    assert!((slower(15.1).unwrap() - 0.49).abs() < 1e-9);
    assert_eq!(slower(23.1), None);
    let by_day = heard_at(open + 10.0, |roof| roof.listeners[0].limit_dBA = Some(open - 4.0));
    let (finding, found) = remedies(&by_day, "sound");
    assert!(finding.when == Some(crate::rules::When::Day) && !found.is_empty());
    assert!(found.iter().flatten().all(|change| !matches!(change, Change::NightSpeed(..) | Change::NightSound(..))));
}

#[test]
fn no_second_screen_stands_right_beside_one_and_one_that_is_open_is_made_solid() {
    let beside = |limit: f64, gap_ft: f64| {
        heard_at(limit, |roof| {
            // A screen would stand 7.5 ft off the south side, at y = 37.5 ft.
            roof.walls.push(wall("slats", (85.0, 37.5 - gap_ft), (115.0, 37.5 - gap_ft), 9.5));
            roof.walls[0].open = 0.6;
        })
    };
    let limit = night(&beside(0.0, 3.0)) - 2.0;
    let sets = |gap_ft: f64| remedies(&beside(limit, gap_ft), "sound").1;
    let is_new = |sets: &[Vec<Change>]| sets.iter().flatten().any(|change| matches!(change, Change::NewWall(_)));
    assert!(!is_new(&sets(3.0)));
    assert!(sets(3.0).iter().flatten().any(|change| *change == Change::WallOpen(0, 0.0)));
    // 3 m is 9.8 ft.
    assert!(is_new(&sets(10.7)));
}

#[test]
fn no_screen_rises_more_than_two_metres_over_the_units() {
    let job = |limit: f64| heard_at(limit, |roof| roof.walls.push(wall("screen", (-200.0, 25.0), (400.0, 25.0), 9.5)));
    let before = night(&job(0.0));
    let heights = (1_u8..=20).step_by(4).flat_map(|less| remedies(&job(before - f64::from(less)), "sound").1);
    let heights: Vec<f64> = heights
        .flatten()
        .filter_map(|change| match change {
            Change::WallHeight(_, height) => Some(height),
            Change::NewWall(wall) => Some(wall.height_m),
            _ => None,
        })
        .collect();
    // 8 ft and 2 m, in half feet: 14.5 ft.
    assert!(!heights.is_empty() && heights.iter().all(|height| *height <= 14.5 * FOOT + 1e-9), "{heights:?}");
}

/// What is found of a unit by a rule, or of anything by all rules: who it is of, and how bad.
fn verdicts(job: &Job) -> Vec<(String, Verdict)> {
    let of = |finding: &Finding| {
        let place = finding.place.as_ref().map(|place| match place {
            Place::UnitSide(index, _) => Place::Unit(*index),
            Place::Controls(index, _) => Place::Controls(*index, ""),
            place => place.clone(),
        });
        (format!("{} {place:?} {:?}", finding.rule, finding.when), finding.verdict)
    };
    check_site(job, Some(&studied(job)), None).iter().map(of).collect()
}

/// The worst of the findings of that name.
fn worst(all: &[(String, Verdict)], name: &str) -> Verdict {
    all.iter().filter(|(known, _)| known == name).map(|(_, verdict)| *verdict).max().unwrap_or(Verdict::Pass)
}

/// Three units, walls, an exhaust and a listener, all drawn at random near each other.
#[derive(Clone, Debug)]
struct Drawn {
    gaps: (f64, f64),
    shift: f64,
    edge: f64,
    turned: f64,
    walls: [(f64, f64, f64); 3],
    exhaust: (f64, f64),
    velocity: f64,
    allowed: f64,
    units: System,
}

fn plans() -> impl Strategy<Value = Drawn> {
    let wall = || (0.0..40.0_f64, 2.0..14.0_f64, prop_oneof![Just(0.0), Just(0.3)]);
    (
        (1.0..14.0_f64, 1.0..14.0_f64),
        -8.0..8.0_f64,
        4.0..40.0_f64,
        prop_oneof![Just(0.0), Just(90.0), -20.0..20.0_f64],
        [wall(), wall(), wall()],
        (60.0..130.0_f64, 30.0..90.0_f64),
        0.5..8.0_f64,
        48.0..70.0_f64,
        prop_oneof![Just(System::Ip), Just(System::Si)],
    )
        .prop_map(|(gaps, shift, edge, turned, walls, exhaust, velocity, allowed, units)| Drawn {
            gaps,
            shift,
            edge,
            turned,
            walls,
            exhaust,
            velocity,
            allowed,
            units,
        })
}

fn drawn(plan: &Drawn) -> Job {
    let mut job = planned(|roof| {
        let first = &mut roof.units[0];
        (first.air_flow_m3_s, first.outlet_m_s) = (Some(18.0), Some(plan.velocity));
        first.weight = Some(Weight::Total { kg: 2000.0, supports: 4 });
        (first.sound, first.controls) = (Some(SoundPower::A(90.0)), Some(Face::East));
        // The wind lifts a unit of 2000 kg from 34 m/s on, and sooner on a frame.
        roof.wind_m_s = Some(26.0 + plan.velocity);
        let second = another(roof, "C2", (plan.shift, 7.5 + plan.gaps.0));
        let mut third = another(roof, "C3", (20.0 + plan.gaps.1, plan.shift));
        third.rotation_deg = plan.turned;
        third.at = third.at.plus(feet(12.0, 0.0));
        roof.units.extend([second, third]);
        roof.outline.iter_mut().filter(|corner| corner.y_m < 1.0).for_each(|c| c.y_m = (45.0 - plan.edge) * FOOT);
        let [south, north, west] = plan.walls;
        let y = 45.0 - plan.edge.min(south.0);
        roof.walls.push(wall("south", (85.0, y), (112.0, y), south.1));
        let y = 62.0 + plan.gaps.0 + 7.5 + north.0;
        roof.walls.push(wall("north", (80.0, y), (130.0, y), north.1));
        roof.walls.push(wall("west", (80.0 - west.0, 40.0), (80.0 - west.0, 70.0), west.1));
        for (wall, (_, _, open)) in roof.walls.iter_mut().zip(plan.walls) {
            wall.open = open;
        }
        roof.heats.push(HeatSource {
            name: "exhaust".to_owned(),
            at: feet(plan.exhaust.0, plan.exhaust.1),
            height_m: 1.0,
            air_flow_m3_s: 3.0,
            temperature_rise_K: 15.0,
            outlet_m_s: Some(5.0),
        });
        roof.listeners.push(Listener {
            name: "window".to_owned(),
            at: feet(100.0, -60.0),
            height_m: 12.0,
            limit_dBA: Some(plan.allowed),
            night_limit_dBA: None,
        });
    });
    job.site.recirculation = kelvins(0.0);
    job.units = plan.units;
    job
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    /// Each remedy, built: the finding is less grave, and none is worse.
    #[test]
    fn what_is_found_holds_when_it_is_built(plan in plans()) {
        let job = drawn(&plan);
        let before = verdicts(&job);
        let names: Vec<String> = before.iter().map(|(name, _)| name.clone()).collect();
        for ((finding, remedies), name) in found(&job).into_iter().zip(&names) {
            for remedy in remedies {
                let now = verdicts(&with(&job, &remedy.changes));
                prop_assert!(worst(&now, name) < finding.verdict, "{name} {remedy:?} {now:?}");
                prop_assert!(remedy.effect.resolves.contains(&finding.rule), "{remedy:?}");
                for (other, verdict) in &now {
                    prop_assert!(*verdict <= worst(&before, other), "{name} {remedy:?} {other} {before:?} {now:?}");
                }
            }
        }
    }
}

/// Twenty-five units close together, each short of room and warmed by the others.
#[test]
fn of_twenty_five_units_the_outer_ones_can_give_way() {
    let job = planned(|roof| {
        (roof.units[0].at, roof.outline) = (feet(20.0, 20.0), Vec::new());
        (roof.units[0].air_flow_m3_s, roof.units[0].outlet_m_s) = (Some(18.0), Some(6.0));
        for number in 1_u8..25 {
            let by = (f64::from(number % 5) * 26.0, f64::from(number / 5) * 13.0);
            roof.units.push(another(roof, &format!("C{}", number + 1), by));
        }
        roof.walls.push(wall("screen", (10.0, 14.0), (160.0, 14.0), 12.0));
    });
    let found = found(&job);
    let short = found.iter().filter(|(finding, _)| finding.rule == "clearance" && finding.verdict == Verdict::Caution);
    assert_eq!(short.count(), 25);
    assert!(found.iter().any(|(_, remedies)| !remedies.is_empty()));
}
