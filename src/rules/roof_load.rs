//! `roof-load`: what does each unit put on its supports?

use super::limit::title;
use super::{Finding, Look, Rule, Verdict};
use crate::job::Job;
use crate::roof::{Load, RoofStudy};
use std::fmt::Write as _;

/// The rule.
pub const RULE: Rule = Rule {
    id: "roof-load",
    question: "What does each unit put on its supports, and may it?",
    explanation: "\
The unit's own weight and the refrigerant in its coils at the operating point that fills them most, flooding in the cold counted, on \
each support. A total is shared alike, which a unit whose weight lies to one side does not do: where the maker gives the weight on each \
support, write those. Snow, people, the frame and the pipework are not in it.

What a support may carry is the structural engineer's figure (allowed). Over it is a fail; without it the numbers are told and the \
engineer decides. The wind is a note: q = 0.613 V2 at the design speed, without factors for exposure, height and direction, times 1.9 \
and the larger face, and what each support on the lee side takes more when it pushes there, half of them being \
on that side; where that is over what is allowed, or lifts the support opposite, it is told. Suction on the top is not counted.

The mend is the number of supports that would do if they shared alike.",
    limits: &[],
    look: Look::Roof(look),
};

/// Who decides.
const DECIDES: &str = "The structural engineer decides.";

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    study.loads.iter().flat_map(|load| [Some(judge(job, load)), wind(job, load)]).flatten().collect()
}

/// A note where the wind puts more on a support than it may carry, or lifts the one opposite.
fn wind(job: &Job, load: &Load) -> Option<Finding> {
    let show = job.units;
    let (wind, greatest) = (load.wind?, load.greatest_kg()?);
    let with_it = greatest + wind.lee_kg;
    let [is_over, lifts] = load.in_the_wind();
    if !is_over && !lifts {
        return None;
    }
    let over = load.allowed_kg.filter(|_| is_over);
    let mut says = format!(
        "In the design wind of {} a support of {} on the lee side takes {} more, {} in all",
        show.wind(wind.speed_m_s),
        load.name,
        show.mass(wind.lee_kg),
        show.mass(with_it)
    );
    if let Some(allowed) = over {
        let _ = write!(says, ", over the {} that it may carry", show.mass(allowed));
    }
    if lifts {
        says += "; the one opposite lifts: the unit must be held down";
    }
    let finding = Finding::new(RULE.id, Verdict::Note, None).place(format!("unit {}, wind", load.name));
    Some(finding.found(with_it, over, "kg").says(format!("{says}. {DECIDES}")).by(title("common-practice")))
}

fn judge(job: &Job, load: &Load) -> Finding {
    let show = job.units;
    let finding = |verdict| Finding::new(RULE.id, verdict, None).place(format!("unit {}", load.name));
    let (Some(dry), Some(greatest)) = (load.dry_kg, load.greatest_kg()) else {
        let says =
            format!("The weight of {} is not given (weight or weights), so nothing was counted. {DECIDES}", load.name);
        return finding(Verdict::Note).says(says).by("the job file ([[roof.unit]] weight)");
    };
    let most = if load.shared_alike { "each support takes" } else { "the heaviest support takes" };
    let mut says = format!(
        "{} weighs {} with {} of refrigerant in its coils; {most} {}",
        load.name,
        show.mass(dry + load.refrigerant_kg),
        show.mass(load.refrigerant_kg),
        show.mass(greatest)
    );
    let Some(allowed) = load.allowed_kg else {
        let _ = write!(says, "; what it may carry (allowed) is not given.{} {DECIDES}", uncounted(load));
        return finding(Verdict::Note).found(greatest, None, "kg").says(says).by(title("common-practice"));
    };
    let verdict = if greatest > allowed { Verdict::Fail } else { Verdict::Pass };
    let _ = write!(says, " and may carry {}.{} {DECIDES}", show.mass(allowed), uncounted(load));
    let mut found =
        finding(verdict).found(greatest, allowed, "kg").says(says).by("the job file ([[roof.unit]] allowed)");
    if verdict == Verdict::Fail {
        found.mend = Some(match load.supports_needed {
            Some(needed) if usize::try_from(needed).is_ok_and(|needed| needed <= load.each_kg.len()) => {
                let each = show.mass((dry + load.refrigerant_kg) / f64::from(needed));
                format!("Shared alike by {needed} supports it would do: {each} each.")
            }
            Some(needed) => format!(
                "{needed} supports that share it alike would do: {} each.",
                show.mass((dry + load.refrigerant_kg) / f64::from(needed))
            ),
            None => "No number of supports that could be built would do.".to_owned(),
        });
    }
    found
}

/// The circuits whose refrigerant is not in it.
fn uncounted(load: &Load) -> String {
    if load.not_counted.is_empty() {
        return String::new();
    }
    let names = super::case::list(load.not_counted.iter().cloned());
    format!(" The coil of {names} is not counted: its volume is not given, or it has no solution.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Weight;
    use crate::roof::testing::{planned, studied};

    fn found(weight: Option<Weight>, allowed: Option<f64>) -> Finding {
        let job = planned(|roof| {
            roof.units[0].weight = weight;
            roof.units[0].allowed_kg = allowed;
        });
        look(&job, &studied(&job)).remove(0)
    }

    /// Refrigerant in the coil of the plan's unit, kg.
    fn charge() -> f64 {
        let job = planned(|_| {});
        studied(&job).loads[0].refrigerant_kg
    }

    fn total(kg: f64) -> Weight {
        Weight::Total { kg, supports: 4 }
    }

    #[test]
    fn the_allowed_load_itself_may_stand_there_and_a_hair_more_may_not() {
        let charge = charge();
        assert!(charge > 1.0, "{charge}");
        assert_eq!(found(Some(total(4000.0 - charge)), Some(1000.0)).verdict, Verdict::Pass);
        let over = found(Some(total(4001.0 - charge)), Some(1000.0));
        assert_eq!((over.verdict, over.r#where.as_deref()), (Verdict::Fail, Some("unit C1")));
        assert!(over.mend.unwrap().starts_with("5 supports that share it alike would do: "));
        assert!(over.says.ends_with(DECIDES), "{}", over.says);
    }

    #[test]
    fn each_support_takes_its_own_and_its_share_of_the_refrigerant() {
        let finding = found(Some(Weight::Each(vec![900.0, 1100.0])), Some(1100.0));
        assert_eq!(finding.verdict, Verdict::Fail);
        assert!((finding.value.unwrap() - 1100.0 - charge() / 2.0).abs() < 1e-9);
    }

    #[test]
    fn without_an_allowed_load_or_a_weight_there_is_a_note() {
        let open = found(Some(total(2000.0)), None);
        assert_eq!((open.verdict, open.limit), (Verdict::Note, None));
        assert_eq!(found(None, Some(900.0)).verdict, Verdict::Note);
    }

    #[test]
    fn the_wind_is_told_beside_it() {
        let job = planned(|roof| {
            roof.wind_m_s = Some(40.0);
            roof.units[0].weight = Some(total(2000.0));
        });
        let wind = studied(&job).loads[0].wind.unwrap();
        // By hand: q = 0.613 x 40^2 = 980.8 Pa; face 20 ft x 6 ft = 11.148 m2; F = 980.8 x 1.9 x 11.148 = 20 775 N; arm 5 ft;
        // width 7.5 ft: 20 775 x 5/7.5 / 9.80665 = 1412 kg, on two of the four supports 706 kg each, more than the 500 kg and the
        // refrigerant that they carry.
        assert!((wind.pressure_Pa - 980.8).abs() < 0.05);
        assert!((wind.force_N - 20_775.0).abs() < 1.0, "{}", wind.force_N);
        assert!((wind.lee_kg - 706.15).abs() < 0.1 && wind.lifts, "{}", wind.lee_kg);
        // It is told as a note, and with a load that the engineer allows what is over that.
        let told = |speed: f64, kg: f64, allowed: Option<f64>| {
            let job = planned(|roof| {
                roof.wind_m_s = Some(speed);
                (roof.units[0].weight, roof.units[0].allowed_kg) = (Some(total(kg)), allowed);
            });
            let findings = look(&job, &studied(&job));
            findings.get(1).map(|found| (found.verdict, found.says.clone()))
        };
        let (verdict, says) = told(40.0, 2000.0, None).unwrap();
        assert_eq!(verdict, Verdict::Note);
        assert!(says.contains("takes 1557 lb more") && says.contains("the unit must be held down"), "{says}");
        let (_, says) = told(40.0, 4000.0, Some(1500.0)).unwrap();
        assert!(says.contains("over the 3307 lb that it may carry") && !says.contains("held down"), "{says}");
        assert!(told(40.0, 4000.0, Some(2000.0)).is_none() && told(5.0, 2000.0, Some(2000.0)).is_none());
    }
}
