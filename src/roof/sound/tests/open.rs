//! In the open: spreading, air, octaves, the parts of an outlet, units that are left out.

use super::*;

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
    assert!(at_it.units.is_empty());
}

#[test]
fn a_side_outlet_sounds_from_the_middle_of_its_side() {
    let share = only(&plan(94.0, listener(100.0, -300.0, 41.0), |roof| {
        open(roof);
        roof.units[0].air_out = Some(crate::job::Face::South);
    }))
    .units[0]
        .clone();
    // The south side lies at y = 45 ft, from 2 ft to 8 ft over the roof: its middle 41 ft over the ground.
    assert_relative_eq!(share.distance_m, 345.0 * FOOT, epsilon = 1e-9);
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

/// Units and listener 44 ft over the ground: further off than 30 x 88 ft = 2640 ft the ground adds. At 3960 ft q = 1 -
/// 2640 / 3960 = 1/3, so 1 dB.
#[test]
fn far_off_hard_ground_adds() {
    let job = plan(94.0, listener(100.0, 48.75 - 3960.0, 44.0), open);
    let metres: f64 = 3960.0 * FOOT;
    let expected = 94.0 + 3.0 + 1.0 - 11.0 - 20.0 * metres.log10() - air_500(&job) * metres;
    assert_relative_eq!(only(&job).day_dBA.unwrap(), expected, epsilon = 1e-9);
}
