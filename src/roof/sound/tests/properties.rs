//! What every plan keeps.

use super::*;
use crate::roof::testing::{mirrored, turned};
use proptest::prelude::*;

/// A plan with two units, a bent screen, a wall and a parapet, everything off the middle.
fn crowded(roof: &mut Roof) {
    roof.parapet_m = 3.0 * FOOT;
    roof.units[0].sound = Some(SoundPower::Octaves([95.0, 94.0, 93.0, 92.0, 90.0, 86.0, 81.0, 75.0]));
    let mut twin = another(roof, "C2", (26.0, 15.0));
    twin.rotation_deg = 20.0;
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
        let by = Xy::new(x, y);
        let mut there = at.clone();
        there.at = at.at.turned(degrees).plus(by);
        let turned = planned(|roof| {
            crowded(roof);
            turned(roof, degrees, by);
        });
        prop_assert!((level(&turned, &there) - before).abs() < 1e-6);
        there.at = Xy::new(-at.at.x_m, at.at.y_m);
        let mirrored = planned(|roof| {
            crowded(roof);
            mirrored(roof);
        });
        prop_assert!((level(&mirrored, &there) - before).abs() < 1e-6);
    }

    /// No screen that is raised makes it louder, at any octave.
    #[test]
    fn a_higher_screen_is_not_louder(
        to_x in -100.0..300.0, down in 20.0_f64..300.0, high in 0.0..60.0, which in 0_usize..4, more in 0.0..12.0, far in 5.0..13.0,
    ) {
        let raised = |by: f64| planned(|roof| {
            crowded(roof);
            roof.walls[2].height_m = far * FOOT;
            match roof.walls.get_mut(which) {
                Some(wall) => wall.height_m += by * FOOT,
                None => roof.parapet_m += by * FOOT,
            }
        });
        let at = listener(to_x, -down, high);
        let (before, after) = (raised(0.0), raised(more));
        prop_assert!(level(&after, &at) <= level(&before, &at) + 0.05);
        let taken = |job: &Job| {
            let roof = job.roof.as_ref().unwrap();
            let from = Spot { place: feet(100.0, 48.75), height_m: 44.0 * FOOT };
            let to = Spot { place: at.at, height_m: at.height_m };
            Screens::of(roof, roof.height_m.unwrap()).taken(&from, &to)
        };
        for ((before, _), (after, _)) in taken(&before).iter().zip(&taken(&after)) {
            prop_assert!(*after >= before - 0.05, "{before} {after}");
        }
    }

    /// Screens take the same from the sound whichever way it goes, something between nothing and 25 dB, and no wall
    /// makes it louder.
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
        for (((there, _), (back, _)), (bare, _)) in there.iter().zip(&back).zip(&bare) {
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
