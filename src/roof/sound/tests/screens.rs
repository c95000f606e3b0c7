//! What screens take, worked by hand.

use super::*;

/// Worked step by step. The unit's outlet lies 8 ft over a roof of 36 ft; a wall 12 ft high runs east to west 28.75 ft
/// south of its middle; the listener stands 271.25 ft further south, 44 ft over the ground, as high as the outlet.
/// Nothing else screens.
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
    // 20 ft = 6.096 m to the first, e = 20 ft = 6.096 m, 260 ft = 79.248 m on; both edges 5 ft = 1.524 m above the
    // line.
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
    // Over the top as in `one_wall_by_hand`: 7.02 dB. Round the west end, 10 ft = 3.048 m off, and the east end, 20 ft
    // = 6.096 m.
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
}

/// A parapet of 3 ft, 48.75 ft south of the outlet and 5 ft = 1.524 m under the straight line: z = -0.0933 m, which is
/// more than a tenth of the wave of 500 Hz (0.068 m) and less than that of 63 Hz (0.54 m).
#[test]
fn a_screen_is_named_only_where_it_takes_something_that_is_heard() {
    let of = |sound: SoundPower| {
        let job = plan(0.0, listener(100.0, -251.25, 44.0), |roof| {
            roof.units[0].sound = Some(sound);
            roof.parapet_m = 3.0 * FOOT;
        });
        only(&job).units[0].clone()
    };
    let at_500 = of(SoundPower::A(94.0));
    assert!(at_500.screens_dB.abs() < 1e-12 && at_500.screens.is_empty(), "{at_500:?}");
    let mut low = [f64::NEG_INFINITY; 8];
    low[0] = 94.0;
    let at_63 = of(SoundPower::Octaves(low));
    // 10 lg (3 - 20 / 5.397 x 0.0933) = 10 lg 2.654 = 4.24 dB
    assert!((at_63.screens_dB - 4.24).abs() < 0.01, "{at_63:?}");
    assert_eq!(at_63.screens, ["the parapet"]);
    // With so little of it that less than 0.05 dB is taken of all, it is not named.
    low[3] = 94.0;
    let both = of(SoundPower::Octaves(low));
    assert!(both.screens_dB < 0.05 && both.screens.is_empty(), "{both:?}");
}
