//! What is heard, on plans small enough to work by hand.

use super::*;
use crate::job::{Place, SoundPower};
use crate::physics::sound::OCTAVES_HZ;
use crate::roof::testing::{FOOT, another, feet, planned, wall};
use approx::assert_relative_eq;
use proptest::prelude::*;

/// A listener at a place in feet, at that height over the ground.
fn listener(x: f64, y: f64, height: f64) -> Listener {
    Listener {
        name: "flat across the lane".to_owned(),
        at: feet(x, y),
        height_m: height * FOOT,
        limit_dba: Some(55.0),
        night_limit_dba: Some(45.0),
    }
}

/// The plan with a unit of that sound power and a listener.
fn plan(power: f64, at: Listener, change: impl FnOnce(&mut Roof)) -> Job {
    planned(|roof| {
        roof.units[0].sound = Some(SoundPower::A(power));
        roof.listeners.push(at);
        change(roof);
    })
}

fn only(job: &Job) -> Heard {
    let mut heard = heard(job, job.roof.as_ref().unwrap());
    assert_eq!(heard.len(), 1);
    heard.pop().unwrap()
}

/// Without the roof's edge: in the open.
fn open(roof: &mut Roof) {
    roof.outline.clear();
}

/// What the air takes at 500 Hz at the site, dB/m.
fn air_500(job: &Job) -> f64 {
    let air =
        Air { temperature: Temperature::from_kelvin(AIR_K), humidity: AIR_HUMIDITY, pressure: job.site.atmosphere };
    absorption(exact_octaves()[HZ_500], &air).unwrap()
}

#[test]
fn in_the_open_spreading_and_air_are_all() {
    // The outlet's middle lies at (100 ft, 48.75 ft), 44 ft over the ground; the listener 300 ft south of it, as high.
    let job = plan(94.0, listener(100.0, -251.25, 44.0), open);
    let heard = only(&job);
    let metres = 300.0 * FOOT;
    let expected = 94.0 + 3.0 - 11.0 - 20.0 * metres.log10() - air_500(&job) * metres;
    assert_relative_eq!(heard.day_dBA.unwrap(), expected, epsilon = 1e-9);
    // As by day, since nothing else is known.
    assert_relative_eq!(heard.night_dBA.unwrap(), expected, epsilon = 1e-9);
    let share = &heard.units[0];
    assert_eq!((share.parts, share.octaves, share.night_by), (1, false, Some(NightBy::AsByDay)));
    assert_relative_eq!(share.spread_dB, 8.0 + 20.0 * metres.log10(), epsilon = 1e-9);
    assert_relative_eq!(share.air_dB, air_500(&job) * metres, epsilon = 1e-9);
    assert!(share.screens_dB.abs() < 1e-12 && share.screens.is_empty());
}

#[test]
fn two_alike_are_three_decibels_and_the_night_follows_the_fans() {
    let one = |roof: &mut Roof| {
        open(roof);
        roof.units[0].night_speed = Some(0.5);
    };
    let alone = only(&plan(90.0, listener(100.0, -251.25, 44.0), one));
    // 15.05 dB for half the speed.
    assert_relative_eq!(alone.day_dBA.unwrap() - alone.night_dBA.unwrap(), 50.0 * 2f64.log10(), epsilon = 1e-9);
    let both = only(&plan(90.0, listener(100.0, -251.25, 44.0), |roof| {
        one(roof);
        let twin = another(roof, "C2", (0.0, 0.0));
        roof.units.push(twin);
    }));
    assert_relative_eq!(both.day_dBA.unwrap() - alone.day_dBA.unwrap(), 10.0 * 2f64.log10(), epsilon = 1e-9);
    let given = only(&plan(90.0, listener(100.0, -251.25, 44.0), |roof| {
        open(roof);
        roof.units[0].night_sound = Some(SoundPower::A(81.0));
    }));
    assert_relative_eq!(given.day_dBA.unwrap() - given.night_dBA.unwrap(), 9.0, epsilon = 1e-9);
    assert_eq!(given.units[0].night_by, Some(NightBy::Given));
}

#[test]
fn octaves_are_weighted_and_each_has_its_own_air() {
    let levels = [95.0, 94.0, 93.0, 92.0, 90.0, 86.0, 81.0, 75.0];
    let job = plan(0.0, listener(100.0, -951.25, 44.0), |roof| {
        open(roof);
        roof.units[0].sound = Some(SoundPower::Octaves(levels));
    });
    let heard = only(&job);
    let metres: f64 = 1000.0 * FOOT;
    let air = Air { temperature: Temperature::from_kelvin(AIR_K), humidity: 0.7, pressure: job.site.atmosphere };
    let mut energy = 0.0;
    for ((level, weight), hz) in levels.iter().zip(A_WEIGHTS).zip(exact_octaves()) {
        let at = level + weight - 8.0 - 20.0 * metres.log10() - metres * absorption(hz, &air).unwrap();
        energy += 10f64.powf(at / 10.0);
    }
    assert_relative_eq!(heard.day_dBA.unwrap(), 10.0 * energy.log10(), epsilon = 1e-9);
    assert!(heard.units[0].octaves);
}

#[test]
fn a_unit_is_divided_until_each_part_is_a_point() {
    let parts = |feet_away: f64| {
        let share = only(&plan(94.0, listener(100.0, 45.0 - feet_away, 44.0), open)).units[0].clone();
        (share.parts, share.day_dBA.unwrap())
    };
    // 20 ft by 7.5 ft: one part beyond 40 ft.
    assert_eq!(parts(40.0).0, 1);
    // 36.25 + 3.75 = 40 ft from the middle is not more than twice 20 ft.
    assert_eq!(parts(36.25).0, 2);
    let (many, near) = parts(3.0);
    assert!(many >= 6, "{many}");
    // Ten feet away a single point would be less exact, and not far off.
    let (_, level) = parts(10.0);
    let single = 94.0 - 8.0 - 20.0 * (13.75 * FOOT).log10();
    assert!((level - single).abs() < 3.0 && near > level, "{level} {single} {near}");
    // At the outlet itself no level can be told.
    let job = plan(94.0, listener(100.0, 48.75, 44.0), open);
    let at_it = only(&job);
    assert_eq!((at_it.day_dBA, at_it.too_near), (None, vec!["C1".to_owned()]));
    assert!(at_it.units.is_empty() && at_it.day_mend.is_none());
}

#[test]
fn a_side_outlet_sounds_from_the_middle_of_its_side() {
    let share = only(&plan(94.0, listener(100.0, -300.0, 41.0), |roof| {
        open(roof);
        roof.units[0].air_out = Some(crate::job::Side::South);
    }))
    .units[0]
        .clone();
    // The south side lies at y = 45 ft, from 2 ft to 8 ft over the roof: its middle 41 ft over the ground.
    assert_relative_eq!(share.distance_m, 345.0 * FOOT, epsilon = 1e-9);
}

/// Worked step by step. The unit's outlet lies 8 ft over a roof of 36 ft; a wall 12 ft high runs east to west 28.75 ft south of its
/// middle; the listener stands 271.25 ft further south, 44 ft over the ground, as high as the outlet. Nothing else screens.
#[test]
fn one_wall_by_hand() {
    let job = plan(94.0, listener(100.0, -251.25, 44.0), |roof| {
        open(roof);
        // So long that nothing comes round its ends: 20 km each way.
        roof.walls.push(wall("screen", (-66_000.0, 20.0), (66_000.0, 20.0), 12.0));
    });
    // 28.75 ft = 8.7630 m and 271.25 ft = 82.6770 m on the plan; the edge 4 ft = 1.2192 m above the straight line.
    let d_ss = (8.7630_f64.powi(2) + 1.2192_f64.powi(2)).sqrt(); // 8.8474 m
    let d_sr = (82.6770_f64.powi(2) + 1.2192_f64.powi(2)).sqrt(); // 82.6860 m
    let z = d_ss + d_sr - 91.44; // 0.0934 m
    assert!(
        (d_ss - 8.8474).abs() < 5e-5 && (d_sr - 82.6860).abs() < 5e-5 && (z - 0.0934).abs() < 5e-5,
        "{d_ss} {d_sr} {z}"
    );
    let k_met = (-(d_ss * d_sr * 91.44 / (2.0 * z)).sqrt() / 2000.0).exp(); // exp(-0.2992) = 0.7414
    assert!((k_met - 0.7414).abs() < 1e-4, "{k_met}");
    // 500 Hz: lambda = 340 / 500 = 0.68 m.
    let d_z = 10.0 * (3.0 + 20.0 / 0.68 * z * k_met).log10(); // 10 lg 5.037 = 7.02 dB
    assert!((d_z - 7.02).abs() < 0.005, "{d_z}");
    let heard = only(&job);
    let share = &heard.units[0];
    assert_relative_eq!(share.screens_dB, d_z, epsilon = 1e-3);
    assert_eq!(share.screens, ["the wall screen"]);
    let expected = 94.0 - 8.0 - 20.0 * 91.44_f64.log10() - air_500(&job) * 91.44 - d_z;
    assert_relative_eq!(heard.day_dBA.unwrap(), expected, epsilon = 1e-3);
}

/// Two walls, worked step by step: the second edge of a band drawn tight over both.
#[test]
fn two_walls_by_hand() {
    let job = plan(94.0, listener(100.0, -251.25, 44.0), |roof| {
        open(roof);
        roof.walls.push(wall("near", (-66_000.0, 28.75), (66_000.0, 28.75), 13.0));
        roof.walls.push(wall("far", (-66_000.0, 8.75), (66_000.0, 8.75), 13.0));
        // Under the band: it counts for nothing.
        roof.walls.push(wall("low", (-66_000.0, 18.75), (66_000.0, 18.75), 12.0));
    });
    // 20 ft = 6.096 m to the first, e = 20 ft = 6.096 m, 260 ft = 79.248 m on; both edges 5 ft = 1.524 m above the line.
    let d_ss = (6.096_f64.powi(2) + 1.524_f64.powi(2)).sqrt(); // 6.2836 m
    let d_sr = (79.248_f64.powi(2) + 1.524_f64.powi(2)).sqrt(); // 79.2627 m
    let e = 6.096;
    let z = d_ss + e + d_sr - 91.44; // 0.2023 m
    let k_met = (-(d_ss * d_sr * 91.44 / (2.0 * z)).sqrt() / 2000.0).exp(); // 0.8448 = exp(-0.1687)
    let q = (5.0 * 0.68 / e) * (5.0 * 0.68 / e); // 0.3111
    let c_3 = (1.0 + q) / (1.0 / 3.0 + q); // 2.0346
    let d_z = 10.0 * (3.0 + 20.0 / 0.68 * c_3 * z * k_met).log10(); // 10 lg 13.23 = 11.21 dB
    assert!((z - 0.2023).abs() < 1e-4 && (c_3 - 2.0345).abs() < 5e-4 && (d_z - 11.2).abs() < 0.05, "{z} {c_3} {d_z}");
    let share = only(&job).units[0].clone();
    assert_relative_eq!(share.screens_dB, d_z, epsilon = 1e-3);
    assert_eq!(share.screens, ["the wall near", "the wall far"]);
}

/// Round both ends and over the top, by energy.
#[test]
fn round_the_ends_by_hand() {
    let job = plan(94.0, listener(100.0, -251.25, 44.0), |roof| {
        open(roof);
        roof.walls.push(wall("screen", (90.0, 20.0), (120.0, 20.0), 12.0));
    });
    // Over the top as in `one_wall_by_hand`: 7.02 dB. Round the west end, 10 ft = 3.048 m off, and the east end, 20 ft = 6.096 m.
    let round = |off: f64| {
        let z = 8.7630_f64.hypot(off) + 82.6770_f64.hypot(off) - 91.44;
        10.0 * (3.0 + 20.0 / 0.68 * z).log10()
    };
    // 12.9 dB and 17.9 dB
    let (west, east) = (round(3.048), round(6.096));
    let d_ss = 8.7630_f64.hypot(1.2192);
    let d_sr = 82.6770_f64.hypot(1.2192);
    let z = d_ss + d_sr - 91.44;
    let top = 10.0 * (3.0 + 20.0 / 0.68 * z * (-(d_ss * d_sr * 91.44 / (2.0 * z)).sqrt() / 2000.0).exp()).log10();
    let ways = [top, west, east].map(|takes| 10f64.powf(-takes / 10.0));
    let expected = -10.0 * ways.iter().sum::<f64>().log10();
    assert_relative_eq!(only(&job).units[0].screens_dB, expected, epsilon = 1e-6);
    assert!(expected < top && expected > top - 2.0, "{expected} {top}");
}

/// A wall at an angle: the part of the way that runs along it.
#[test]
fn a_slanting_wall_by_hand() {
    let job = plan(94.0, listener(100.0, -251.25, 44.0), |roof| {
        open(roof);
        // At 45 degrees through (100 ft, 20 ft).
        roof.walls.push(wall("screen", (-30_000.0, -30_080.0), (30_000.0, 29_920.0), 12.0));
    });
    let root = 0.5_f64.sqrt();
    let d_ss = (8.7630 * root).hypot(1.2192);
    let d_sr = (82.6770 * root).hypot(1.2192);
    let z = (d_ss + d_sr).hypot(91.44 * root) - 91.44;
    let d_z = 10.0 * (3.0 + 20.0 / 0.68 * z * (-(d_ss * d_sr * 91.44 / (2.0 * z)).sqrt() / 2000.0).exp()).log10();
    assert_relative_eq!(only(&job).units[0].screens_dB, d_z, epsilon = 1e-3);
}

#[test]
fn an_open_wall_screens_nothing_and_a_joined_one_lets_nothing_round_its_joint() {
    let takes = |change: fn(&mut Roof)| {
        let job = plan(94.0, listener(100.0, -251.25, 44.0), |roof| {
            open(roof);
            change(roof);
        });
        only(&job).units[0].screens_dB
    };
    let front = |roof: &mut Roof| roof.walls.push(wall("front", (85.0, 38.0), (115.0, 38.0), 12.0));
    let u = |roof: &mut Roof| {
        roof.walls.push(wall("front", (85.0, 38.0), (115.0, 38.0), 12.0));
        roof.walls.push(wall("west", (85.0, 38.0), (85.0, 60.0), 12.0));
        roof.walls.push(wall("east", (115.0, 38.0), (115.0, 60.0), 12.0));
    };
    let ring = |roof: &mut Roof| {
        roof.walls.push(wall("front", (85.0, 38.0), (115.0, 38.0), 12.0));
        roof.walls.push(wall("west", (85.0, 38.0), (85.0, 60.0), 12.0));
        roof.walls.push(wall("east", (115.0, 38.0), (115.0, 60.0), 12.0));
        roof.walls.push(wall("back", (85.0, 60.0), (115.0, 60.0), 12.0));
    };
    let open_front = |roof: &mut Roof| {
        roof.walls.push(wall("front", (85.0, 38.0), (115.0, 38.0), 12.0));
        roof.walls[0].open = 0.1;
    };
    let long = |roof: &mut Roof| roof.walls.push(wall("front", (-66_000.0, 38.0), (66_000.0, 38.0), 12.0));
    assert!(takes(open_front).abs() < 1e-12);
    let (front, u, ring, long) = (takes(front), takes(u), takes(ring), takes(long));
    assert!(front > 2.0 && front < u && u < ring, "{front} {u} {ring}");
    // Over the top of the closed ring alone.
    assert_relative_eq!(ring, long, epsilon = 1e-3);
}

#[test]
fn the_way_round_a_u_runs_round_its_free_end() {
    let job = plan(94.0, listener(100.0, -251.25, 44.0), |roof| {
        open(roof);
        roof.walls.push(wall("front", (85.0, 38.0), (66_000.0, 38.0), 60.0));
        roof.walls.push(wall("west", (85.0, 38.0), (85.0, 60.0), 60.0));
    });
    // From (100, 48.75) back to (85, 60), along the west wall to (85, 38), on to the listener.
    let (first, along, last) = (15.0_f64.hypot(11.25) * FOOT, 22.0 * FOOT, 15.0_f64.hypot(38.0 + 251.25) * FOOT);
    let detour = crate::physics::barrier::Detour {
        to_edge_m: first,
        from_edge_m: last,
        between_m: along,
        along_m: 0.0,
        straight_m: 300.0 * FOOT,
        clear: false,
    };
    let end = detour.screening(0.68, crate::physics::barrier::Past::End);
    // Over the top as much as one edge can take, and little more than round the end.
    let takes = only(&job).units[0].screens_dB;
    let together = -sum([-20.0, -end]);
    assert!(end > 20.0, "{end}");
    assert_relative_eq!(takes, together, epsilon = 1e-3);
}

#[test]
fn the_edge_of_the_roof_screens_those_below() {
    let below = |change: fn(&mut Roof)| only(&plan(94.0, listener(100.0, -40.0, 5.0), change)).units[0].clone();
    let edge = below(|_| {});
    assert_eq!(edge.screens, ["the edge of the roof"]);
    assert!(edge.screens_dB > 5.0, "{edge:?}");
    let parapet = below(|roof| roof.parapet_m = 4.0 * FOOT);
    assert_eq!(parapet.screens, ["the parapet"]);
    assert!(parapet.screens_dB > edge.screens_dB);
    let none = below(open);
    assert!(none.screens.is_empty() && none.screens_dB.abs() < 1e-12);
}

#[test]
fn what_is_narrower_than_the_wave_is_no_screen_for_it() {
    let takes = |hz: usize| {
        let mut levels = [f64::NEG_INFINITY; 8];
        levels[hz] = 90.0;
        let job = plan(0.0, listener(100.0, -251.25, 44.0), |roof| {
            open(roof);
            roof.units[0].sound = Some(SoundPower::Octaves(levels));
            // 10 ft = 3.05 m: the waves of 63 Hz are 5.4 m long, those of 125 Hz 2.7 m.
            roof.walls.push(wall("stair head", (95.0, 38.0), (105.0, 38.0), 14.0));
        });
        only(&job).units[0].screens_dB
    };
    assert!(takes(0).abs() < 1e-9 && takes(1) > 0.5, "{} {}", takes(0), takes(1));
    assert!((OCTAVES_HZ[0] - 63.0).abs() < 1e-12);
}

#[test]
fn a_unit_of_unknown_sound_is_named_and_left_out() {
    let job = plan(94.0, listener(100.0, -251.25, 44.0), |roof| {
        let mut twin = another(roof, "C2", (0.0, 20.0));
        twin.sound = None;
        twin.night_sound = Some(SoundPower::A(80.0));
        roof.units.push(twin);
    });
    let heard = only(&job);
    assert_eq!((&heard.without_day[..], &heard.without_night[..]), (&["C2".to_owned()][..], &[][..]));
    assert_eq!(heard.units.len(), 2);
    assert!(heard.units[1].day_dBA.is_none() && heard.units[1].night_dBA.is_some());
    let none = only(&planned(|roof| roof.listeners.push(listener(100.0, -251.25, 44.0))));
    assert_eq!((none.day_dBA, none.night_dBA, none.without_day.len()), (None, None, 1));
}

#[test]
fn each_mend_holds_when_computed_again() {
    let loud = |roof: &mut Roof| {
        roof.parapet_m = 2.0 * FOOT;
        roof.units[0].night_speed = Some(0.9);
        let mut twin = another(roof, "C2", (26.0, 0.0));
        (twin.sound, twin.night_speed) = (Some(SoundPower::A(92.0)), None);
        roof.units.push(twin);
        roof.walls.push(wall("screen", (60.0, 25.0), (170.0, 25.0), 9.0));
    };
    let at = listener(100.0, -110.0, 30.0);
    let job = plan(96.0, at.clone(), loud);
    let before = only(&job);
    assert!(before.night_dBA.unwrap() > 45.0, "{before:#?}");
    let mend = before.night_mend.clone().unwrap();
    let again = |change: &dyn Fn(&mut Roof)| {
        let job = plan(96.0, at.clone(), |roof| {
            loud(roof);
            change(roof);
        });
        hear(&job, job.roof.as_ref().unwrap(), &at).unwrap().night_dBA.unwrap()
    };
    // Of what each has now: one has 90 % of its full speed, the other all.
    let slower = mend.slower.unwrap();
    assert!(!slower.of_full);
    let slow = |share: f64| {
        move |roof: &mut Roof| {
            roof.units.iter_mut().for_each(|unit| unit.night_speed = Some(share * unit.night_speed.unwrap_or(1.0)));
        }
    };
    let reaches = again(&slow(slower.share));
    assert_relative_eq!(reaches, slower.reaches_dBA, epsilon = 1e-9);
    assert!(reaches <= 42.0 && again(&slow(slower.share + 0.01)) > 42.0, "{reaches}");
    let most = mend.power_dBA.unwrap();
    let quiet = |most: f64| {
        move |roof: &mut Roof| {
            for unit in &mut roof.units {
                let now = sum(spectrum(unit, Time::Night).unwrap());
                (unit.night_sound, unit.night_speed) = (Some(SoundPower::A(now.min(most))), None);
            }
        }
    };
    let reaches = again(&quiet(most));
    assert_relative_eq!(reaches, mend.power_reaches_dBA.unwrap(), epsilon = 1e-9);
    assert!(reaches <= 42.0 && again(&quiet(most + 1.0)) > 42.0, "{reaches}");
    let raised = mend.raised.unwrap();
    assert_eq!(raised.name, "the wall screen");
    let high = |height: f64| move |roof: &mut Roof| roof.walls[0].height_m = height;
    let reaches = again(&high(raised.height_m));
    assert_relative_eq!(reaches, raised.reaches_dBA, epsilon = 1e-9);
    let most = if reaches <= 42.0 { 42.0 } else { 45.0 };
    assert!(again(&high(raised.height_m - 0.5 * FOOT)) > most, "{reaches}");
    let screen = mend.screen.unwrap();
    let build = |height: f64| {
        let (from, to) = (screen.from, screen.to);
        move |roof: &mut Roof| {
            roof.walls.push(crate::job::Wall { name: String::new(), from, to, height_m: height, open: 0.0 });
        }
    };
    let reaches = again(&build(screen.height_m));
    assert_relative_eq!(reaches, screen.reaches_dBA, epsilon = 1e-9);
    let most = if reaches <= 42.0 { 42.0 } else { 45.0 };
    assert!(reaches <= most && again(&build(screen.height_m - 0.5 * FOOT)) > most, "{screen:?}");
}

/// A plan with two units, a bent screen, a wall and a parapet, everything off the middle.
fn crowded(roof: &mut Roof) {
    roof.parapet_m = 3.0 * FOOT;
    roof.units[0].sound = Some(SoundPower::Octaves([95.0, 94.0, 93.0, 92.0, 90.0, 86.0, 81.0, 75.0]));
    let mut twin = another(roof, "C2", (26.0, 15.0));
    twin.turned_deg = 20.0;
    roof.units.push(twin);
    roof.walls.push(wall("front", (80.0, 30.0), (125.0, 32.0), 11.0));
    roof.walls.push(wall("side", (125.0, 32.0), (127.0, 47.0), 11.0));
    roof.walls.push(wall("far", (60.0, 12.0), (118.0, 9.0), 12.0));
}

fn level(job: &Job, at: &Listener) -> f64 {
    hear(job, job.roof.as_ref().unwrap(), at).unwrap().day_dBA.unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// The whole plan turned, shifted or mirrored sounds the same.
    #[test]
    fn a_turn_of_the_whole_plan_changes_no_level(
        degrees in -180.0..180.0, x in -90.0..90.0, y in -90.0..90.0, to_x in -100.0..300.0, down in 20.0_f64..200.0, high in 2.0..60.0,
    ) {
        let at = listener(to_x, -down, high);
        let before = level(&planned(crowded), &at);
        let moved = |place: &mut Place| *place = place.turned(degrees).plus(Place::new(x, y));
        let mut there = at.clone();
        moved(&mut there.at);
        let turned = planned(|roof| {
            crowded(roof);
            roof.outline.iter_mut().for_each(moved);
            roof.walls.iter_mut().flat_map(|wall| [&mut wall.from, &mut wall.to]).for_each(moved);
            for unit in &mut roof.units {
                moved(&mut unit.at);
                unit.turned_deg += degrees;
            }
        });
        prop_assert!((level(&turned, &there) - before).abs() < 1e-6);
        let mirrored = |place: &mut Place| place.x_m = -place.x_m;
        let mut there = at.clone();
        mirrored(&mut there.at);
        let mirrored = planned(|roof| {
            crowded(roof);
            roof.outline.iter_mut().for_each(mirrored);
            roof.walls.iter_mut().flat_map(|wall| [&mut wall.from, &mut wall.to]).for_each(mirrored);
            for unit in &mut roof.units {
                let [_, right, ..] = unit.corners();
                unit.at = Place::new(-right.x_m, right.y_m);
                unit.turned_deg = -unit.turned_deg;
            }
        });
        prop_assert!((level(&mirrored, &there) - before).abs() < 1e-6);
    }

    /// Screens take the same from the sound whichever way it goes, something between nothing and 25 dB, and no wall makes it louder.
    #[test]
    fn screens_take_alike_both_ways(
        x in 82.0..115.0, y in 38.0..60.0, up in 37.0..46.0, to_x in -100.0..300.0, down in 20.0_f64..200.0, high in 2.0..60.0,
    ) {
        let job = planned(crowded);
        let roof = job.roof.unwrap();
        let from = Spot { place: feet(x, y), height_m: up * FOOT };
        let to = Spot { place: feet(to_x, -down), height_m: high * FOOT };
        let screens = Screens::of(&roof, roof.height_m.unwrap());
        let (there, back) = (screens.taken(&from, &to), screens.taken(&to, &from));
        let bare = Screens::of(&Roof { walls: Vec::new(), ..roof.clone() }, roof.height_m.unwrap()).taken(&from, &to);
        for ((there, back), bare) in there.octaves.iter().zip(back.octaves).zip(bare.octaves) {
            prop_assert!((there - back).abs() < 1e-6, "{there} {back}");
            prop_assert!((0.0..=25.0).contains(there) && *there >= bare - 1e-9, "{there} {bare}");
        }
    }

    /// In the open, further away is quieter.
    #[test]
    fn further_is_quieter(away in 5.0_f64..500.0, more in 1.0..100.0, high in 0.0..80.0) {
        let job = planned(|roof| {
            crowded(roof);
            roof.walls.clear();
            open(roof);
        });
        let near = level(&job, &listener(100.0, -away, high));
        let far = level(&job, &listener(100.0, -away - more, high));
        prop_assert!(far < near);
    }
}
