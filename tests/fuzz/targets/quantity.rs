//! A text as a quantity of some kind: finite, and shown it is read as what it shows.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::units::{Kind, System, quantity};

const ATMOSPHERE: f64 = 101_325.0;

fuzz_target!(|input: (u8, bool, &str)| {
    let (kind, si, text) = input;
    let kind = Kind::ALL[usize::from(kind) % Kind::ALL.len()];
    let system = if si { System::Si } else { System::Ip };
    match quantity(text, kind, system, ATMOSPHERE) {
        Ok(value) => {
            assert!(value.is_finite(), "{text:?} is {value}");
            let shown = kind.show(system, value, ATMOSPHERE);
            // A value far beyond what any key allows is shown with an exponent, which is no text of a quantity.
            if let Ok(again) = quantity(&shown, kind, system, ATMOSPHERE) {
                assert_eq!(kind.show(system, again, ATMOSPHERE), shown, "{text:?} as {kind:?}");
            }
        }
        Err(misread) => assert!(!misread.says.is_empty() && !misread.says.ends_with('.')),
    }
});
