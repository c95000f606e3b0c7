use super::*;
use crate::job::{Face, HeatSource, Plant, Profile, Roof, Running};
use crate::roof::testing::{FOOT, another, feet, planned, studied, wall};
use crate::units::{Pressure, kelvins, watts};

fn with(change: impl FnOnce(&mut Roof)) -> Job {
    let mut job = planned(|roof| {
        roof.units[0].air_flow_m3_s = Some(18.0);
        roof.units[0].outlet_m_s = Some(8.0);
        change(roof);
    });
    job.site.recirculation = kelvins(0.0);
    job
}

fn found(job: &Job) -> Vec<Finding> {
    look(job, &studied(job))
}

#[test]
fn a_fast_outlet_alone_on_the_roof_returns_little() {
    let job = with(|_| {});
    let finding = found(&job).remove(0);
    assert_eq!((finding.verdict, &finding.place), (Verdict::Pass, &Some(Place::Unit(0))));
    assert!(finding.value() > 0.0);
}

#[test]
fn what_the_job_says_counts_to_the_limit_itself() {
    let mut job = with(|roof| roof.units[0].outlet_m_s = Some(4.0));
    let rise = found(&job)[0].value();
    assert!(rise > 1.0, "{rise}");
    let caution = job.limit("recirculation_caution");
    job.site.recirculation = kelvins(rise - caution);
    let at = found(&job).remove(0);
    assert_eq!(at.verdict, Verdict::Pass, "at the limit itself");
    assert!((at.limit() - rise).abs() < 1e-9, "{at:#?}");
    job.site.recirculation = kelvins(rise - caution - 1e-3);
    let over = found(&job).remove(0);
    assert_eq!(over.verdict, Verdict::Caution);
    // What it is held against is what the job says and the limit over that: the warm air less the thousandth.
    assert!((over.limit() - (rise - 1e-3)).abs() < 1e-9, "{over:#?}");
}

#[test]
fn an_outlet_in_a_pit_is_caught() {
    let pit = |roof: &mut Roof| {
        for (from, to) in [((88.0, 40.0), (88.0, 57.5)), ((112.0, 40.0), (112.0, 57.5)), ((88.0, 40.0), (112.0, 40.0))]
        {
            roof.walls.push(wall("court", from, to, 12.0));
        }
        roof.units[0].outlet_m_s = Some(12.0);
    };
    let job = with(pit);
    let study = studied(&job);
    assert!(study.warm_air[0].caught);
    let finding = look(&job, &study).remove(0);
    assert_eq!(finding.verdict, Verdict::Fail, "{}", finding.words());
    assert!(finding.words().contains("is between higher objects"), "{}", finding.words());
    // Where no free area at all counts as open, a solid wall closes as much.
    let mut job = job;
    job.limits.insert("screen_open".to_owned(), 0.0);
    assert!(studied(&job).warm_air[0].caught);
}

/// The unit, its top 7 ft high and 7 ft wide, between walls that far off and that high on so many sides.
fn walled(sides: usize, off: f64, height: f64) -> Job {
    with(|roof| {
        let unit = &mut roof.units[0];
        (unit.width_m, unit.height_m, unit.outlet_m_s) = (7.0 * FOOT, 7.0 * FOOT, Some(9.0));
        let (west, east, south, north) = (90.0 - off, 110.0 + off, 45.0 - off, 52.0 + off);
        let corners = [(west, south), (east, south), (east, north), (west, north), (west, south)];
        for side in 0..sides {
            roof.walls.push(wall(&format!("{side}"), corners[side], corners[side + 1], height));
        }
    })
}

fn rise(job: &Job) -> f64 {
    studied(job).warm_air[0].worst.as_ref().unwrap().rise_K
}

#[test]
fn walls_a_little_nearer_or_higher_make_a_little_more_of_it() {
    // From twice the width in to half of it, and from below the top to 8 ft over it, a tenth of a foot at a time.
    let swept = |of: &dyn Fn(f64) -> Job, tenths: &mut dyn Iterator<Item = i32>| {
        let rises: Vec<f64> = tenths.map(|tenth| rise(&of(f64::from(tenth) / 10.0))).collect();
        let (first, last) = (rises[0], rises[rises.len() - 1]);
        for pair in rises.windows(2) {
            // It takes 4 ft of height, or once the width, from nothing to all of it.
            assert!(pair[1] >= pair[0] - 1e-9 && pair[1] - pair[0] < (last - first) / 35.0, "{pair:?} of {rises:?}");
        }
        (first, last)
    };
    for (first, last) in [
        swept(&|off| walled(4, off, 15.0), &mut (35..150).rev()),
        swept(&|off| walled(3, off, 15.0), &mut (35..150).rev()),
        swept(&|height| walled(4, 6.0, height), &mut (65..150)),
        swept(&|height| walled(3, 6.0, height), &mut (65..150)),
    ] {
        assert!(first < 1.0 && last > 3.0, "{first} {last}");
    }
    // Level with the top two inches of wall are next to nothing.
    let [below, over, high] = [6.9, 7.1, 15.0].map(|height| rise(&walled(4, 6.0, height)));
    assert!(over - below < (high - below) / 35.0, "{below} {over} {high}");
}

#[test]
fn three_walls_or_four_are_a_pit_and_a_corner_is_none() {
    for sides in [3, 4] {
        let job = walled(sides, 6.9, 15.0);
        let finding = found(&job).remove(0);
        assert_eq!(finding.verdict, Verdict::Fail, "{sides}: {}", finding.words());
    }
    for sides in [1, 2] {
        assert_eq!(found(&walled(sides, 7.0, 18.0)).remove(0).verdict, Verdict::Pass, "{sides}");
    }
    // The walls of a pit twice the width away leave it alone; a foot or two over the top are to be allowed for.
    assert_eq!(found(&walled(4, 14.0, 15.0)).remove(0).verdict, Verdict::Pass);
    assert_eq!(found(&walled(4, 7.0, 9.0)).remove(0).verdict, Verdict::Caution);
}

#[test]
fn a_lone_unit_never_fails_for_a_velocity_that_nobody_gave() {
    for flow in [4.0, 9.0, 18.0, 27.0] {
        let job = with(|roof| (roof.units[0].air_flow_m3_s, roof.units[0].outlet_m_s) = (Some(flow), None));
        let finding = found(&job).remove(0);
        assert!(finding.verdict < Verdict::Fail, "{flow}: {}", finding.words());
        let told = finding.words().contains("Give outlet_velocity.");
        assert_eq!(told, finding.verdict == Verdict::Caution, "{flow}: {}", finding.words());
    }
    let given = with(|roof| (roof.units[0].air_flow_m3_s, roof.units[0].outlet_m_s) = (Some(2.0), Some(0.5)));
    assert_eq!(found(&given).remove(0).verdict, Verdict::Fail);
}

#[test]
fn a_source_counts_only_from_upwind() {
    let with_exhaust = with(|roof| {
        roof.heats.push(HeatSource {
            name: "kitchen exhaust".to_owned(),
            at: feet(70.0, 48.0),
            height_m: 4.0 * FOOT,
            air_flow_m3_s: 6.0,
            temperature_rise_K: 20.0,
            outlet_m_s: None,
        });
    });
    let study = studied(&with_exhaust);
    let worst = study.warm_air[0].worst.as_ref().unwrap();
    assert_eq!(worst.other.as_deref(), Some("kitchen exhaust"));
    // It stands to the west.
    assert!((225.0..=315.0).contains(&worst.wind_from_deg.unwrap()), "{worst:?}");
    assert!(worst.rise_K > studied(&with(|_| {})).warm_air[0].worst.as_ref().unwrap().rise_K);
}

/// Two units of the one circuit, which is drawn twice, so far apart.
fn pair(far: f64, change: impl FnOnce(&mut Roof)) -> Job {
    let mut job = with(|roof| {
        roof.units.push(another(roof, "C2", (0.0, far)));
        change(roof);
    });
    job.circuits.truncate(1);
    job.circuits[0].copies = 2;
    job.circuits[0].module = job.circuits[0].name.clone();
    job
}

fn loaded(job: &mut Job, load: f64) {
    job.plant = Some(Plant { load: watts(load), spare: 0, profile: Profile::Constant, running: Running::Few });
}

#[test]
fn a_unit_gets_no_more_of_anothers_air_than_that_blows() {
    // 1 m3/s blown slowly beside an intake that draws 18 m3/s: no more than 1/18 of it, where the formula alone gives
    // more.
    let job = pair(10.0, |roof| (roof.units[1].air_flow_m3_s, roof.units[1].outlet_m_s) = (Some(1.0), Some(0.1)));
    let study = studied(&job);
    let worst = study.warm_air[0].worst.as_ref().unwrap();
    assert_eq!(worst.other.as_deref(), Some("C2"));
    // C2 itself draws hardly anything but warm air, and counts with 60 K.
    assert!(study.warm_air[1].worst.is_none());
    let maximum = (study.warm_air[1].leaves_warmer_K.unwrap() + 60.0) / 18.0;
    assert!((worst.other_K.unwrap() - maximum).abs() < 1e-6, "{worst:?} {maximum}");
}

#[test]
fn a_unit_without_a_circuit_has_no_heat_and_warms_none() {
    let job = with(|roof| {
        roof.units.push(another(roof, "C2", (0.0, 10.0)));
        roof.units[1].circuits.clear();
    });
    let study = studied(&job);
    assert_eq!(look(&job, &study)[1].verdict, Verdict::NotJudged);
    assert!(study.warm_air[0].worst.as_ref().unwrap().other.is_none());
}

#[test]
fn a_unit_that_stops_counts_for_nothing_and_the_other_of_its_circuit_by_its_own_air() {
    // C1 blows what little air it has so slowly that it draws it again; C2 stands far off.
    let mut job = pair(40.0, |roof| (roof.units[0].air_flow_m3_s, roof.units[0].outlet_m_s) = (Some(2.0), Some(0.5)));
    loaded(&mut job, 1.0);
    let study = studied(&job);
    assert!(study.warm_air[0].worst.is_none() && study.warm_air[1].worst.is_some());
    let fed = &study.fed_back;
    assert_eq!(fed.iter().map(|fed| (fed.unit.as_str(), fed.trips)).collect::<Vec<_>>(), [("C1", true), ("C2", false)]);
    let then = study.plant_then.unwrap();
    // Two chillers as the job says, one of them with the estimates.
    assert!((then.carries_W - 2.0 * fed[1].capacity_W.unwrap()).abs() < 1e-6);
    assert!((then.carries_then_W - fed[1].capacity_then_W.unwrap()).abs() < 1e-6);
    let findings = look(&job, &study);
    assert_eq!((findings[0].verdict, findings[1].verdict), (Verdict::Fail, Verdict::Caution), "{findings:#?}");
    assert!(!findings[1].words().contains("cut-out"), "{}", findings[1].words());
    loaded(&mut job, 1.2 * then.carries_then_W);
    let last = found(&job).pop().unwrap();
    assert_eq!(last.verdict, Verdict::Fail);
    assert!(last.words().contains("C1 trips and does not count."), "{}", last.words());
}

#[test]
fn a_switch_that_opens_under_the_limit_is_a_fail_and_of_that_unit_alone() {
    let mut job = pair(40.0, |roof| roof.units[0].outlet_m_s = Some(4.0));
    let study = studied(&job);
    let fed = &study.fed_back;
    let (first, second) = (fed[0].discharge_then_Pa.unwrap(), fed[1].discharge_then_Pa.unwrap());
    assert!(first > second + 1e4 && fed[0].estimate_K.unwrap() < job.limit("recirculation"), "{fed:?}");
    job.circuits[0].condenser.cutout = Some(Pressure::from_pascals(f64::midpoint(first, second)));
    let findings = found(&job);
    assert_eq!(findings[0].verdict, Verdict::Fail);
    assert!(findings[0].words().contains("at summer full, and its cut-out trips."), "{}", findings[0].words());
    assert!(
        findings[0].source == Source::Job("[circuit.condenser] cutout")
            && findings[0].limit() < job.limit("recirculation")
    );
    assert!(findings[1].verdict < Verdict::Fail && !findings[1].words().contains("cut-out"), "{}", findings[1].words());
    job.circuits[0].condenser.cutout = Some(Pressure::from_pascals(first + 1.0));
    assert!(found(&job).iter().all(|finding| finding.verdict < Verdict::Fail));
}

#[test]
fn its_own_outlet_alone_is_the_same_in_every_wind() {
    let job = with(|_| {});
    let study = studied(&job);
    let (warm, finding) = (&study.warm_air[0], look(&job, &study).remove(0));
    let worst = warm.worst.as_ref().unwrap();
    // By hand: Q = 18 m3/s = 38 140 cfm, 0.09 sqrt(Q) = 17.577 ft; the rim lies 3 ft over the middle of each intake
    // side: 3/17.577 = 0.1707; U = 8 m/s = 1574.8 fpm, U/400 = 3.9370; DF = 4.1077^2 = 16.873. Of its own air it
    // draws 1/(1 + DF), so that it is warmer by what it adds over DF.
    assert!((worst.rise_K - warm.leaves_warmer_K.unwrap() / 16.873).abs() < 1e-3, "{worst:?}");
    assert!(worst.wind_from_deg.is_none() && !worst.at_least);
    assert!(finding.words().starts_with("In every wind the air on C1 is "), "{}", finding.words());
}

#[test]
fn the_parts_of_a_rise_add_up() {
    let exhaust = |name: &str, x: f64, flow: f64| HeatSource {
        name: name.to_owned(),
        at: feet(x, 48.0),
        height_m: 4.0 * FOOT,
        air_flow_m3_s: flow,
        temperature_rise_K: 20.0,
        outlet_m_s: None,
    };
    let job = with(|roof| roof.heats.extend([exhaust("kitchen", 70.0, 6.0), exhaust("wash", 72.0, 3.0)]));
    let study = studied(&job);
    let worst = study.warm_air[0].worst.as_ref().unwrap();
    assert!((worst.own_K + worst.other_K.unwrap() + worst.rest_K - worst.rise_K).abs() < 1e-9 && worst.rest_K > 0.1);
    let says = look(&job, &study).remove(0).words();
    assert!(says.contains("from the others"), "{says}");
    // As they are shown: the number before each ` F` of the first sentence.
    let shown = says.split(" F").map(|part| part.rsplit([' ', '(']).next().unwrap().parse::<f64>().unwrap_or(f64::NAN));
    let shown: Vec<f64> = shown.take(4).collect();
    assert!((shown[0] - shown[1] - shown[2] - shown[3]).abs() < 1e-9, "{says}");
}

/// C1 blows to the north, at the intake of C2, which takes air at that side alone.
fn blown_at() -> Job {
    pair(37.5, |roof| {
        let [first, second] = &mut roof.units[..] else { unreachable!() };
        (first.air_in, first.air_out, first.outlet_m_s) = (vec![Face::South], Some(Face::North), Some(1.0));
        second.air_in = vec![Face::South];
    })
}

#[test]
fn an_outlet_that_blows_at_an_intake_counts_against_it() {
    let job = blown_at();
    let study = studied(&job);
    let [first, second] = &study.warm_air[..] else { panic!() };
    let worst = second.worst.as_ref().unwrap();
    // By hand: 30 ft / 17.577 ft = 1.7068 less U = 1 m/s = 196.85 fpm over 400 = 0.4921: DF = 1.2147^2 = 1.4754,
    // 1/DF = 0.6778; its own outlet 1/16.873 = 0.0593: C1 gives 0.6778/1.7371 = 0.3902. C1 itself lies in the formula's
    // lee: 7.5 ft / 17.577 ft + 0.4921 = 0.9188, DF below 1 taken as 1, so that its outlet is warmer by twice what it
    // adds.
    let gives = 0.3902 * 2.0 * first.leaves_warmer_K.unwrap();
    assert!((worst.other_K.unwrap() - gives).abs() < 2e-3, "{worst:?} {gives}");
    assert!(first.worst.as_ref().unwrap().at_least && !worst.at_least);
    assert!(worst.rise_K > job.limit("recirculation"), "{second:?}");
    let findings = look(&job, &study);
    assert!(
        findings[0].words().contains("is a minimum of ") && findings[0].words().contains(BEYOND),
        "{}",
        findings[0].words()
    );
    assert!(!findings[0].words().contains("half and twice") && findings[1].words().contains(WORTH), "{findings:#?}");
}

#[test]
fn an_outlet_under_an_intake_blows_at_it() {
    let below = |y: f64, flow: f64, temperature_rise_K: f64| {
        let job = with(|roof| {
            let name = "exhaust".to_owned();
            let (at, outlet_m_s) = (feet(100.0, y), Some(8.0));
            roof.heats.push(HeatSource {
                name,
                at,
                height_m: 0.0,
                air_flow_m3_s: flow,
                temperature_rise_K,
                outlet_m_s,
            });
        });
        (studied(&job).warm_air[0].worst.clone().unwrap(), found(&job).remove(0))
    };
    // 5 ft below the intake and 1 ft before it: straight at it. 6 ft before it: past it.
    let (at_it, finding) = below(44.0, 12.0, 1.0);
    assert!(at_it.at_least && !below(39.0, 12.0, 1.0).0.at_least);
    // Of a minimum nobody knows how much it is: never a pass.
    assert!(at_it.rise_K < 1.0 && finding.verdict == Verdict::Caution, "{finding:?}");
    // All of 0.5 m3/s in the 18 that are drawn, 20 K warmer, is no minimum.
    let (all, _) = below(44.0, 0.5, 20.0);
    assert!((all.other_K.unwrap() - 20.0 * 0.5 / 18.0).abs() < 1e-6 && !all.at_least, "{all:?}");
}

#[test]
fn without_an_air_flow_it_is_not_judged() {
    let mut job = with(|roof| roof.units[0].air_flow_m3_s = None);
    job.circuits[0].condenser.air_flow = None;
    let finding = found(&job).remove(0);
    assert_eq!(finding.verdict, Verdict::NotJudged);
    assert!(finding.words().contains("its air flow is not known"), "{}", finding.words());
}

#[test]
fn a_plant_that_no_longer_carries_its_load_fails() {
    let mut job = with(|roof| roof.units[0].outlet_m_s = Some(2.0));
    loaded(&mut job, 1.0);
    let then = studied(&job).plant_then.unwrap();
    assert!(then.carries_then_W < then.carries_W);
    loaded(&mut job, f64::midpoint(then.carries_then_W, then.carries_W));
    let last = found(&job).pop().unwrap();
    assert_eq!((last.verdict, last.point()), (Verdict::Fail, Some(PointId::SummerFull)));
    loaded(&mut job, then.carries_then_W);
    assert_eq!(found(&job).pop().unwrap().verdict, Verdict::Pass, "exactly the load");
}

#[test]
fn the_hours_in_which_it_is_downwind_are_a_share_of_the_season() {
    let mut job = with(|roof| roof.units.push(another(roof, "C2", (0.0, 20.0))));
    let file = std::path::Path::new("tests/data/weather/typical_year_45N_8E.epw");
    job.weather = Some(std::sync::Arc::new(crate::weather::open(file).unwrap()));
    let shares: Vec<f64> = studied(&job).warm_air.iter().map(|warm| warm.downwind_share.unwrap()).collect();
    assert!(shares.iter().all(|share| *share > 0.0 && *share < 1.0), "{shares:?}");
}
