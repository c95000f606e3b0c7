//! t
#[test]
fn go() {
    for f in std::fs::read_dir("examples").unwrap() {
        let p = f.unwrap().path();
        let t = std::time::Instant::now();
        match roofrun::job::open(&p) {
            Ok(job) => {
                let t1 = t.elapsed();
                match roofrun::survey::survey(&job) {
                    Ok(s) => {
                        println!("{p:?} read {t1:?} all {:?}", t.elapsed());
                        for c in &s.circuits {
                            println!(
                                "  {} {:?} pts {} eff {:.3} der {:?}",
                                c.name,
                                c.unsolved,
                                c.points.len(),
                                c.rated_efficiency,
                                c.derating.as_ref().map(|d| (d.share, d.highest_outdoor_K * 1.8 - 459.67))
                            );
                            for p in &c.points {
                                println!(
                                    "    {:13} Tc {:.1} Q {:.1}t Ddrop {:.2}F Lsub {:?} oil {:?} v {:.0}",
                                    p.name,
                                    p.condensing_K * 1.8 - 459.67,
                                    p.capacity_W / 3516.85,
                                    p.discharge_line.saturation_drop_K * 1.8,
                                    p.liquid_line.runs.last().map(|r| r.out.subcooling_K.unwrap() * 1.8),
                                    p.discharge_line
                                        .runs
                                        .iter()
                                        .filter_map(|r| r.oil_lift.map(|o| o.ratio))
                                        .fold(9e9, f64::min),
                                    p.discharge_line.runs[0].tubes[0].velocity_m_s * 196.85
                                )
                            }
                        }
                        for f in roofrun::rules::check_all(&job, &s) {
                            if f.verdict > roofrun::rules::Verdict::Note {
                                println!(
                                    "  {:?} {} {:?}: {} MEND {:?} [{}]",
                                    f.verdict, f.rule, f.point, f.says, f.mend, f.source
                                )
                            }
                        }
                        println!("rules {:?}", t.elapsed());
                    }
                    Err(e) => println!("{p:?} {e:?}"),
                }
            }
            Err(e) => println!("{p:?} {e}"),
        }
    }
}
