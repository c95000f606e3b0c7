//! The property functions that the integration and the balances turn on. States move from call to call, as in an integration.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use roofrun::refrigerant::{named, read_afresh};

fn properties(c: &mut Criterion) {
    for name in ["R-410A", "R-448A"] {
        let Some(fluid) = named(name) else { continue };
        let Ok(start) = fluid.vapour_pt(24e5, 350.0) else { continue };
        let Ok(liquid) = fluid.liquid_pt(24e5, 300.0) else { continue };
        let mut group = c.benchmark_group(name);
        let mut k = 0.0;
        let mut next = move || {
            k = (k + 1.0) % 64.0;
            k
        };
        group.bench_function("vapour density", |b| {
            b.iter(|| fluid.vapour_density(black_box(24e5 - 500.0 * next()), black_box(350.0)));
        });
        group.bench_function("T(p, s)", |b| {
            b.iter(|| fluid.temperature_ps(black_box(24e5 - 500.0 * next()), black_box(start.entropy)));
        });
        group.bench_function("T(p, h)", |b| {
            b.iter(|| fluid.temperature_ph(black_box(24e5 - 500.0 * next()), black_box(start.enthalpy)));
        });
        group.bench_function("state(p, s)", |b| {
            b.iter(|| fluid.state_ps(black_box(24e5 - 500.0 * next()), black_box(start.entropy)));
        });
        group.bench_function("flow(p, h) of vapour", |b| {
            b.iter(|| fluid.flow_ph(black_box(24e5 - 500.0 * next()), black_box(start.enthalpy)));
        });
        group.bench_function("flow(p, h) of liquid", |b| {
            b.iter(|| fluid.flow_ph(black_box(24e5 - 500.0 * next()), black_box(liquid.enthalpy)));
        });
        group.bench_function("flow(p, h) of a mixture", |b| {
            b.iter(|| fluid.flow_ph(black_box(12e5 - 500.0 * next()), black_box(300e3)));
        });
        group.bench_function("dew temperature", |b| {
            b.iter(|| fluid.dew_temperature(black_box(24e5 - 500.0 * next())));
        });
        group.bench_function("dew pressure", |b| b.iter(|| fluid.dew_pressure(black_box(310.0 + 0.1 * next()))));
        group.bench_function("reading its file", |b| b.iter(|| read_afresh(black_box(name))));
        group.finish();
    }
}

criterion_group!(benches, properties);
criterion_main!(benches);
