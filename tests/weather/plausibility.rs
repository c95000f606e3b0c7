//! What of a weather file is hardly true, though it is read.

use crate::built::{REAL, TMY3, built, good, parts, with};
use roofrun::units::System::Si;
use roofrun::weather::{Implausible, read};

fn doubts(text: &str) -> Vec<String> {
    good(text).doubts().iter().map(|doubt| doubt.says(Si)).collect()
}

/// The real file with some hours changed.
fn changed(change: impl Fn(usize, &str) -> String) -> String {
    let (head, hours) = parts();
    let hours: Vec<String> = hours.iter().enumerate().map(|(index, hour)| change(index, hour)).collect();
    built(&head, &hours)
}

#[test]
fn both_real_files_are_likely() {
    assert_eq!(doubts(REAL), Vec::<String>::new());
    assert_eq!(read("hall.csv", TMY3).unwrap().doubts(), Vec::new());
}

/// July is hours 4344 to 5087 of a common year. Six hours may lack in a month, seven not.
#[test]
fn months_that_lack_hours_are_named() {
    let (head, hours) = parts();
    let without = |from: usize, to: usize| {
        let kept: Vec<&str> = hours[..from].iter().chain(&hours[to..]).copied().collect();
        built(&head, &kept)
    };
    let rest = "The design temperatures and every count of hours are those of the rest.";
    let july = format!("The weather file does not tell the whole year: July is not in it. {rest}");
    assert_eq!(doubts(&without(4344, 5088)), [july]);
    assert_eq!(doubts(&without(4344, 4350)), Vec::<String>::new());
    let seven = format!("The weather file does not tell the whole year: July lacks 7 hours of its 744. {rest}");
    assert_eq!(doubts(&without(4344, 4351)), [seven]);
    assert_eq!(good(&without(4330, 4351)).gaps(), [(6, 14.0, 720.0), (7, 7.0, 744.0)]);
    // 29 February is said to be there, and is not.
    assert_eq!(good(&REAL.replace("SAVING,No", "SAVING,Yes")).gaps(), [(2, 24.0, 696.0)]);
    let missing = changed(|index, hour| if (0..7).contains(&index) { with(hour, 7, "99.9") } else { hour.to_owned() });
    assert_eq!(good(&missing).gaps(), [(1, 7.0, 744.0)]);
}

/// 30 January has 5.94, 5.93 and 5.74 C at 3 to 6 h; 65 in the middle is 59.06 K above the first and 59.26 above the last.
#[test]
fn jumps_of_the_dry_bulb() {
    let hot = changed(|index, hour| if index == 700 { with(hour, 7, "65") } else { hour.to_owned() });
    let [Implausible::Jump { times: 2, maximum_K, at: (1, 30, 5) }] = good(&hot).doubts()[..] else {
        panic!("{:?}", doubts(&hot))
    };
    assert!((maximum_K - 59.26).abs() < 1e-9);
    let expected = "The dry-bulb jumps by 59.3 K to that of 30 January, 5 to 6 h, and by more than 25 K in one hour more: the \
                    value before or after it is hardly true.";
    assert_eq!(doubts(&hot), [expected]);
    // 5.93 + 25 is 30.93: beside 5.94 just below the bound, beside 5.74 over it.
    let just = changed(|index, hour| if index == 700 { with(hour, 7, "30.93") } else { hour.to_owned() });
    assert!(matches!(good(&just).doubts()[..], [Implausible::Jump { times: 1, .. }]));
}

/// Hours 4000 to 4049 stand at 55 C: from 16 June, 16 to 17 h on, 28.41 C before and 27.72 C after.
#[test]
fn a_dry_bulb_that_stands_still() {
    let stuck = |from: usize, to: usize| {
        changed(move |index, hour| if (from..to).contains(&index) { with(hour, 7, "29") } else { hour.to_owned() })
    };
    let expected =
        "The dry-bulb is at 29 \u{b0}C for 50 hours from 16 June, 16 to 17 h on, as where an instrument sticks.";
    assert_eq!(doubts(&stuck(4000, 4050)), [expected]);
    assert_eq!(doubts(&stuck(4000, 4024)), Vec::<String>::new());
    assert!(matches!(good(&stuck(4000, 4025)).doubts()[..], [Implausible::Still { stretches: 1, .. }]));
    let year = good(&stuck(0, 8760)).doubts();
    assert!(matches!(year[..], [Implausible::Still { hours: 8760.0, from: (1, 1, 0), .. }]), "{year:?}");
}

/// A dew point 1.5 K above the dry-bulb in one hour is cautioned against, in 25 it is refused; half a degree is rounding.
#[test]
fn a_dew_point_above_the_dry_bulb() {
    let above = |kelvin: f64, count: usize| {
        changed(move |index, hour| {
            let dry: f64 = hour.split(',').nth(6).unwrap().parse().unwrap();
            if index < count { with(hour, 8, &format!("{:.2}", dry + kelvin)) } else { hour.to_owned() }
        })
    };
    let expected = |hours: &str| {
        format!(
            "The dew point lies more than 1 K above the dry-bulb in {hours}, first on 1 January, 0 to 1 h: no air has that."
        )
    };
    assert_eq!(doubts(&above(1.5, 1)), [expected("1 hour")]);
    assert_eq!(doubts(&above(1.5, 24)), [expected("24 hours")]);
    assert_eq!(doubts(&above(0.5, 8760)), Vec::<String>::new());
    let said = read("hall.epw", &above(1.5, 25)).unwrap_err().to_string();
    let refused = "hall.epw has a dew point more than 1 K above the dry-bulb in 25 hours, first at 1 January, hour 1: no air has \
                   that; the two columns may have changed places";
    assert_eq!(said, refused);
}
