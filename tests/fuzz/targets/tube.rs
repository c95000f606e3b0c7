//! A text as a tube size: what is meant by it is known by its own name.
#![no_main]

use libfuzzer_sys::fuzz_target;
use roofrun::refdata;

fuzz_target!(|name: &str| {
    for tube in refdata::tube(name).into_iter().chain(refdata::metric_tubes(name)) {
        assert!(tube.bore().value > 0.0);
        let known = refdata::tube(&tube.name).or_else(|| refdata::metric_tubes(&tube.name).first().copied());
        assert_eq!(known.map(|known| &known.name), Some(&tube.name));
    }
});
