//! What becomes of a typed reading: taken, refused in words, or asked about. Pure functions.

use crate::model::{BenchReading, MeterProfile, Shown};
use crate::proving::plan::{Outcome, Plan, Step, judge, reads_like};
use crate::proving::{Quantity, Typed, parse_shown, shown_words};

/// What somebody is asked: the reading fits another state than the one that was to be held.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The step.
    pub key: String,
    /// What was read.
    pub shown: Shown,
    /// Other steps it fits, by title.
    pub fits: Vec<String>,
}

/// What becomes of an entry.
#[derive(Clone, Debug, PartialEq)]
pub enum Entered {
    /// Nothing was typed.
    Nothing,
    /// It is no reading of this step, and why.
    Refused(String),
    /// It fits another state; nothing is kept yet.
    Asked(Asked),
    /// The step is left out, for this reason.
    Skipped(String),
    /// It is kept.
    Taken(BenchReading, Outcome),
}

/// Takes what was typed for a step. What was asked about and is typed again is kept.
pub fn enter(
    plan: &Plan,
    step: &Step,
    (text, asked): (&str, Option<&Asked>),
    meter: &MeterProfile,
) -> Entered {
    let text = text.trim();
    if text.is_empty() {
        return Entered::Nothing;
    }
    if let Some(reason) = skip_reason(text) {
        return Entered::Skipped(reason);
    }
    if let Some(why) = &step.blocked {
        return Entered::Refused(format!("this step cannot be done yet: {why}"));
    }
    let typed = match parse_shown(text, step.quantity, meter) {
        Ok(typed) => typed,
        Err(error) => return Entered::Refused(error.to_string()),
    };
    let outcome = judge(step, typed.shown, typed.last_digit);
    match outcome {
        Outcome::Misplaced => return Entered::Refused(misplaced(step.quantity)),
        Outcome::Coarse => {
            let read = shown_words(typed.shown, meter);
            return Entered::Refused(format!(
                "{read} is too coarse to say: type all digits the meter shows"
            ));
        }
        Outcome::Good | Outcome::Low | Outcome::High | Outcome::Open | Outcome::Joined => {}
    }
    let is_asked =
        asked.is_some_and(|asked| asked.key == step.key && is_same(asked.shown, typed.shown));
    let fits: Vec<String> = reads_like(plan, step, typed.shown, typed.last_digit)
        .iter()
        .map(|s| s.title.clone())
        .collect();
    if !fits.is_empty() && !is_asked {
        return Entered::Asked(Asked { key: step.key.clone(), shown: typed.shown, fits });
    }
    let note = match fits.first() {
        Some(fit) => format!("asked about and kept; it is what {fit} reads"),
        None => String::new(),
    };
    Entered::Taken(reading(step, typed, note), outcome)
}

fn reading(step: &Step, typed: Typed, note: String) -> BenchReading {
    let Typed { shown, last_digit } = typed;
    BenchReading { shown: Some(shown), last_digit, note, drawing: step.drawing }
}

/// A step that is left out.
pub fn skipped(step: &Step, note: String) -> BenchReading {
    BenchReading { shown: None, last_digit: 0.0, note, drawing: step.drawing }
}

/// `skip lamp not fitted` gives the reason.
fn skip_reason(text: &str) -> Option<String> {
    let word = text.get(..4).filter(|word| word.eq_ignore_ascii_case("skip"))?;
    let rest = &text[word.len()..];
    rest.chars().next().is_none_or(|c| !c.is_alphanumeric()).then(|| {
        rest.trim_matches(|c: char| c.is_whitespace() || matches!(c, ':' | '-' | ',')).to_owned()
    })
}

/// Whether a space behind the text is the foot key that takes it, and not the gap before a unit: a
/// unit or sign is there already, or the figure is good as it stands, or it is the second space.
pub fn takes_at_space(step: &Step, text: &str, meter: &MeterProfile) -> bool {
    let Some(body) = text.strip_suffix(' ') else { return false };
    if body.trim().is_empty() {
        return true;
    }
    if skip_reason(body.trim()).is_some() {
        return false;
    }
    let Ok(typed) = parse_shown(body, step.quantity, meter) else { return false };
    body.ends_with(' ')
        || body.ends_with(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ','))
        || judge(step, typed.shown, typed.last_digit).is_good()
}

/// Whether this is nothing but a unit: it then belongs to the figure that was taken before it.
pub fn is_bare_unit(text: &str) -> bool {
    matches!(text.trim(), "k" | "K" | "M" | "m" | "kΩ" | "MΩ" | "mV")
}

fn is_same(a: Shown, b: Shown) -> bool {
    a == b
}

fn misplaced(quantity: Quantity) -> String {
    let wanted = match quantity {
        Quantity::Ohm => "ohms",
        Quantity::Volt => "volts",
        Quantity::Length => "a length",
        Quantity::Sign => "yes or no",
    };
    format!("this step wants {wanted}")
}

/// The question in words.
pub fn question(asked: &Asked, step: &Step, meter: &MeterProfile) -> String {
    let more = match asked.fits.len() {
        0 | 1 => String::new(),
        n => format!(" (and {} more)", n - 1),
    };
    let why = match step.quantity {
        Quantity::Length => "Was another branch measured?",
        Quantity::Ohm | Quantity::Volt | Quantity::Sign => "Was another control moved?",
    };
    format!(
        "{} is what {}{more} reads, not {}. {why}",
        shown_words(asked.shown, meter),
        asked.fits.first().map_or("another state", String::as_str),
        step.title
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Project;
    use crate::proving::plan::{StepKind, plan};
    use crate::samples;

    fn sprayer() -> (Project, Plan) {
        let project = samples::open("sprayer").unwrap();
        let plan = plan(&project, &|| true).unwrap();
        (project, plan)
    }

    fn step<'a>(plan: &'a Plan, ending: &str) -> &'a Step {
        let ohms = plan.steps.iter().filter(|step| step.kind == StepKind::Ohms);
        ohms.into_iter().find(|step| step.title.ends_with(ending)).unwrap()
    }

    /// The sprayer's papers: LEFT alone reads 1404.9 Ω, CENTRE alone 1833.9 Ω.
    #[test]
    fn what_fits_another_state_is_asked_about_and_kept_when_it_is_typed_again() {
        let (project, plan) = sprayer();
        let meter = &project.settings.meter;
        let left = step(&plan, ": LEFT on");
        let good = enter(&plan, left, ("1.405k", None), meter);
        assert!(matches!(good, Entered::Taken(_, Outcome::Good)), "{good:?}");
        let Entered::Asked(asked) = enter(&plan, left, ("1,834 k", None), meter) else {
            panic!("it fits CENTRE")
        };
        assert!(asked.fits[0].ends_with("CENTRE on"), "{asked:?}");
        assert!(question(&asked, left, meter).contains("is what X1-5: CENTRE on reads"));
        let again = enter(&plan, left, ("1.834k", Some(&asked)), meter);
        let Entered::Taken(kept, Outcome::High) = again else { panic!("{again:?}") };
        assert!(kept.note.contains("CENTRE"), "{kept:?}");
        assert_eq!(kept.drawing, left.drawing);
        let other = enter(&plan, left, ("1.835k", Some(&asked)), meter);
        assert!(matches!(other, Entered::Asked(_)), "another figure is another question");
        let odd = enter(&plan, left, ("47k", None), meter);
        assert!(matches!(odd, Entered::Taken(_, Outcome::High)), "it fits nothing: {odd:?}");
    }

    #[test]
    fn what_is_no_reading_is_refused_and_a_step_is_skipped_by_a_word() {
        let (project, plan) = sprayer();
        let meter = &project.settings.meter;
        let left = step(&plan, ": LEFT on");
        let refused = |text| match enter(&plan, left, (text, None), meter) {
            Entered::Refused(why) => why,
            other => panic!("{other:?}"),
        };
        assert!(refused("soon").contains("2.88k"));
        assert_eq!(refused("3.1V"), "this step wants ohms");
        assert!(refused("1k").contains("too coarse"));
        assert_eq!(enter(&plan, left, ("  ", None), meter), Entered::Nothing);
        let skip = |text| enter(&plan, left, (text, None), meter);
        assert_eq!(skip("skip: plug out of reach"), Entered::Skipped("plug out of reach".into()));
        assert_eq!(skip("Skip"), Entered::Skipped(String::new()));
        assert!(refused("skipped").contains("skipped"));
    }

    #[test]
    fn a_space_takes_a_figure_unless_a_unit_may_follow() {
        let (project, plan) = sprayer();
        let meter = &project.settings.meter;
        let left = step(&plan, ": LEFT on");
        for (text, takes) in [
            ("1.405k ", true),
            ("OL ", true),
            ("1405 ", true),
            ("1,405 ", false),
            ("1,405  ", true),
            ("1,405 k", false),
            ("1,405 k ", true),
            ("what ", false),
            ("skip ", false),
            (" ", true),
            ("", false),
        ] {
            assert_eq!(takes_at_space(left, text, meter), takes, "{text:?}");
        }
        assert!(is_bare_unit("k") && !is_bare_unit("4k") && !is_bare_unit(""));
    }
}
