//! The sign-off: which tests were done, what was read, and what is still open.
//!
//! Nothing is passed over: a finding that remains, a step that is stale, failed, skipped or not done,
//! a setting nobody vouches for and an observation no story explains are all open points.

use crate::check::findings;
use crate::model::{BenchRun, BenchRunId, Diagnostic, Project, Provenance, Severity, Subject};
use crate::proving::plan::{Plan, Step, accept_words, plan};
use crate::proving::story::{Machine, Stuck, deed_words, infer, shown_display, story_faults};
use crate::proving::{Standing, Tally, shown_words, standing};
use crate::sense::Reader;
use crate::units::counted;

/// A round of the bench test in figures.
#[derive(Clone, Debug, PartialEq)]
pub struct TestDone {
    /// The round.
    pub id: BenchRunId,
    /// Its name.
    pub name: String,
    /// Day it was begun; empty where nobody wrote it down.
    pub date: String,
    /// Who measured; empty where nobody wrote it down.
    pub initials: String,
    /// The meter; empty where nobody wrote it down.
    pub meter: String,
    /// Temperature in degrees Celsius.
    pub temperature_c: Option<f64>,
    /// Whether it is what the machine is handed over with.
    pub is_hand_over: bool,
    /// What its steps have come to.
    pub tally: Tally,
}

/// One reading of the round that is signed off.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingDone {
    /// What was measured.
    pub title: String,
    /// Between what it must lie; empty where the step cannot be done.
    pub accept: String,
    /// What was read; empty where the step was skipped.
    pub shown: String,
    /// What came of it.
    pub standing: &'static str,
    /// What was noted beside it.
    pub note: String,
}

/// What an open point is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OpenKind {
    /// A finding about the drawing.
    Finding,
    /// A step of the bench test.
    Test,
    /// The arming story, or what was seen of it.
    Story,
    /// A setting of the set-up record.
    Setting,
    /// Something nobody wrote down.
    Blank,
}

impl OpenKind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Finding => "drawing",
            Self::Test => "bench test",
            Self::Story => "arming",
            Self::Setting => "setting",
            Self::Blank => "blank",
        }
    }
}

/// Something that is still open.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenPoint {
    /// What it is about.
    pub kind: OpenKind,
    /// What is open.
    pub what: String,
    /// What to do.
    pub cure: String,
}

/// What is signed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SignOff {
    /// Rounds of the bench test, oldest first.
    pub tests: Vec<TestDone>,
    /// The round whose readings are signed: the latest that is marked as the hand-over, else the
    /// latest of all.
    pub of: Option<BenchRunId>,
    /// Its readings, in the order of the bench test.
    pub readings: Vec<ReadingDone>,
    /// What is still open.
    pub open: Vec<OpenPoint>,
}

impl SignOff {
    /// The round that is signed.
    pub fn round(&self) -> Option<&TestDone> {
        self.tests.iter().find(|test| Some(test.id) == self.of)
    }

    /// Where it stands in one sentence.
    pub fn words(&self) -> String {
        let round = match self.round() {
            None => "No round of the bench test has been done".to_owned(),
            Some(test) => format!("Round \"{}\": {}", test.name, test.tally.words()),
        };
        match self.open.len() {
            0 => format!("{round}. Nothing is open."),
            n => format!("{round}. {} still open.", counted(n, "point")),
        }
    }
}

/// Gathers the sign-off of a project; `None` where `keep_going` said no.
///
/// Same project, same answer. Cost: the findings, the bench test, and a walk through the
/// observations.
pub fn sign_off(project: &Project, keep_going: &dyn Fn() -> bool) -> Option<SignOff> {
    let plan = plan(project, keep_going)?;
    if !keep_going() {
        return None;
    }
    let mut out = SignOff { of: round_to_sign(project), ..SignOff::default() };
    out.open.extend(findings(project).iter().filter_map(|found| finding(project, found)));
    for (id, run) in project.bench_runs.iter() {
        out.tests.push(test_done(&plan, id, run));
    }
    match out.of.and_then(|id| project.bench_runs.get(id)) {
        Some(run) => {
            for step in &plan.steps {
                out.readings.extend(reading_done(project, step, run));
                out.open.extend(open_step(project, step, run));
            }
            out.open.extend(orphans(&plan, run));
            out.open.extend(blanks(run));
        }
        None => out.open.push(OpenPoint {
            kind: OpenKind::Test,
            what: format!(
                "the bench test has {} and none is done",
                counted(plan.steps.len(), "step")
            ),
            cure: "do a round and mark it as the hand-over".into(),
        }),
    }
    out.open.extend(story_points(project, keep_going)?);
    out.open.extend(setting_points(project));
    keep_going().then_some(out)
}

fn round_to_sign(project: &Project) -> Option<BenchRunId> {
    let runs = || project.bench_runs.iter().rev();
    let hand_over = runs().find(|(_, run)| run.is_hand_over);
    hand_over.or_else(|| runs().next()).map(|(id, _)| id)
}

fn test_done(plan: &Plan, id: BenchRunId, run: &BenchRun) -> TestDone {
    TestDone {
        id,
        name: run.name.clone(),
        date: run.date.clone(),
        initials: run.initials.clone(),
        meter: run.meter.clone(),
        temperature_c: run.temperature_c,
        is_hand_over: run.is_hand_over,
        tally: Tally::of(plan, run),
    }
}

fn reading_done(project: &Project, step: &Step, run: &BenchRun) -> Option<ReadingDone> {
    let reading = run.readings.get(&step.key)?;
    let shown = reading.shown.map(|shown| shown_words(shown, &project.settings.meter));
    let limits = step.limits.as_ref();
    Some(ReadingDone {
        title: step.title.clone(),
        accept: limits.map_or_else(String::new, |limits| accept_words(step.quantity, limits)),
        shown: shown.unwrap_or_default(),
        standing: standing(step, Some(reading)).words(),
        note: reading.note.clone(),
    })
}

fn finding(project: &Project, found: &Diagnostic) -> Option<OpenPoint> {
    let at = match found.subject {
        Subject::Project => None,
        Subject::Part(id) => project.parts.get(id).map(|row| row.name.as_str()),
        Subject::Wire(id) => project.wires.get(id).map(|row| row.name.as_str()),
        Subject::Frame(id) => project.frames.get(id).map(|row| row.name.as_str()),
        Subject::Control(id) => project.controls.get(id).map(|row| row.name.as_str()),
        Subject::SensePin(id) => project.sense_pins.get(id).map(|row| row.name.as_str()),
        Subject::Place(id) => project.places.get(id).map(|row| row.name.as_str()),
        Subject::Run(id) => project.runs.get(id).map(|row| row.name.as_str()),
    };
    let what = match at {
        Some(name) if !found.what.contains(name) => format!("{name}: {}", found.what),
        Some(_) | None => found.what.clone(),
    };
    match found.severity {
        Severity::Error | Severity::Warning => {
            Some(OpenPoint { kind: OpenKind::Finding, what, cure: found.cure.clone() })
        }
        Severity::Note => None,
    }
}

fn open_step(project: &Project, step: &Step, run: &BenchRun) -> Option<OpenPoint> {
    let reading = run.readings.get(&step.key);
    let point = |what: String, cure: &str| {
        Some(OpenPoint { kind: OpenKind::Test, what, cure: cure.to_owned() })
    };
    let title = &step.title;
    match standing(step, reading) {
        Standing::Read(outcome) if outcome.is_good() => None,
        Standing::Read(outcome) => {
            let shown = reading.and_then(|reading| reading.shown);
            let shown = shown.map(|shown| shown_words(shown, &project.settings.meter));
            let what = format!("{title}: {}, {}", shown.unwrap_or_default(), outcome.words());
            point(what, "find the cause, mend it and read again")
        }
        Standing::Skipped => {
            let note = reading.map_or("", |reading| reading.note.trim());
            let why = if note.is_empty() { "nobody said why" } else { note };
            point(format!("{title}: skipped, {why}"), "do it, or sign that it is left out")
        }
        Standing::Stale => {
            point(format!("{title}: read before the drawing was changed"), "read it again")
        }
        Standing::Open => point(format!("{title}: not done"), "do it"),
        Standing::Blocked => {
            let why = step.blocked.as_deref().unwrap_or("it cannot be done yet");
            point(format!("{title}: not done"), why)
        }
    }
}

/// Readings whose steps the bench test no longer has.
fn orphans(plan: &Plan, run: &BenchRun) -> Option<OpenPoint> {
    let n = Tally::of(plan, run).orphans;
    (n > 0).then(|| OpenPoint {
        kind: OpenKind::Test,
        what: format!(
            "round \"{}\" has {} of steps the bench test no longer has",
            run.name,
            counted(n, "reading")
        ),
        cure: "see what was changed since, and do the steps there are now".into(),
    })
}

fn blanks(run: &BenchRun) -> Vec<OpenPoint> {
    let fields = [("date", &run.date), ("initials", &run.initials), ("meter", &run.meter)];
    let missing = fields.into_iter().filter(|(_, text)| text.trim().is_empty());
    let mut out: Vec<OpenPoint> = missing
        .map(|(name, _)| OpenPoint {
            kind: OpenKind::Blank,
            what: format!("round \"{}\" has no {name}", run.name),
            cure: "write it down".into(),
        })
        .collect();
    if !run.is_hand_over {
        out.push(OpenPoint {
            kind: OpenKind::Blank,
            what: format!("round \"{}\" is not marked as the hand-over", run.name),
            cure: "mark the round the machine is handed over with".into(),
        });
    }
    out
}

/// `None` where `keep_going` said no.
fn story_points(project: &Project, keep_going: &dyn Fn() -> bool) -> Option<Vec<OpenPoint>> {
    let point =
        |what: String, cure: &str| OpenPoint { kind: OpenKind::Story, what, cure: cure.to_owned() };
    if project.story.is_empty() {
        return Some(Vec::new());
    }
    let faults = story_faults(project).into_iter();
    let mut out: Vec<OpenPoint> = faults.map(|fault| point(fault.what, "mend the story")).collect();
    let reader = Reader::new(project);
    let told = match infer(&Machine::new(project, &reader), keep_going) {
        Ok(told) => told,
        Err(Stuck::Stopped) => return None,
        // Named among the faults of the story.
        Err(Stuck::NoStart) => return Some(out),
        Err(stuck @ (Stuck::TooMany | Stuck::Endless)) => {
            let what = format!("the arming story cannot be held against what was seen: {stuck}");
            out.push(point(what, "mend the story"));
            return Some(out);
        }
    };
    for row in told.rows.iter().filter(|row| row.is_contradiction) {
        let Some(seen) = project.story.seen.get(row.id) else { continue };
        let what = format!(
            "{}: the display said {}, and no story explains that",
            deed_words(project, &seen.deed),
            shown_display(seen.display.as_deref().unwrap_or_default())
        );
        out.push(point(what, "look again, or change the story"));
    }
    if told.n_left > 1 {
        let n = told.fields.iter().filter(|field| field.settled().is_none()).count();
        let what = format!("{} of the arming story not known for sure", counted(n, "thing"));
        let cure = "secure the machine, then try what the observation page asks for; local rules \
                    and licensed practice go first";
        out.push(point(what, cure));
    }
    Some(out)
}

fn setting_points(project: &Project) -> Vec<OpenPoint> {
    let mut out = Vec::new();
    for (_, row) in project.set_up.iter() {
        let what = if row.value.trim().is_empty() {
            format!("{}: no value", row.name)
        } else if row.provenance.is_none() {
            format!("{}: {}, nobody said where that comes from", row.name, row.value_words())
        } else if row.provenance == Some(Provenance::Hearsay) {
            format!("{}: {}, known by hearsay only", row.name, row.value_words())
        } else {
            continue;
        };
        let cure = "look it up at the machine and write it down".into();
        out.push(OpenPoint { kind: OpenKind::Setting, what, cure });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{
        BenchReading, Deed, LinkId, ModeId, Observation, ObservationId, SetupId, SetupRow, Shown,
        Story, StoryEvent, StoryLink, StoryMode,
    };
    use crate::proving::plan::Limits;
    use crate::samples;

    fn points(sign: &SignOff, kind: OpenKind) -> Vec<&str> {
        let of_kind = sign.open.iter().filter(|point| point.kind == kind);
        of_kind.map(|point| point.what.as_str()).collect()
    }

    fn setting(name: &str, value: &str, provenance: Option<Provenance>) -> SetupRow {
        let (name, value) = (name.into(), value.into());
        SetupRow { name, value, provenance, ..SetupRow::default() }
    }

    #[test]
    fn everything_that_is_not_good_is_an_open_point() {
        let mut project = samples::open("sprayer").unwrap();
        let none = sign_off(&project, &|| true).unwrap();
        assert!(none.of.is_none() && none.readings.is_empty());
        assert!(points(&none, OpenKind::Test)[0].contains("none is done"));

        let steps = plan(&project, &|| true).unwrap().steps;
        let mut run =
            BenchRun { name: "first".into(), date: "2027-03-14".into(), ..BenchRun::default() };
        for step in &steps {
            let shown = match step.limits {
                Some(Limits::Figure { usual, .. }) => match step.quantity {
                    crate::proving::Quantity::Ohm => Some(Shown::Ohm(usual)),
                    crate::proving::Quantity::Volt => Some(Shown::Volt(usual)),
                    crate::proving::Quantity::Length => Some(Shown::Millimetre(usual)),
                    crate::proving::Quantity::Sign => Some(Shown::Yes),
                },
                Some(Limits::Open { .. }) => Some(Shown::OverRange),
                None => continue,
            };
            let reading =
                BenchReading { shown, last_digit: 0.0, note: String::new(), drawing: step.drawing };
            run.readings.insert(step.key.clone(), reading);
        }
        let n_blocked = steps.iter().filter(|step| step.limits.is_none()).count();
        let figures: Vec<String> = steps
            .iter()
            .filter(|step| matches!(step.limits, Some(Limits::Figure { .. })))
            .filter(|step| step.quantity == crate::proving::Quantity::Ohm)
            .map(|step| step.key.clone())
            .collect();
        run.readings.get_mut(&figures[0]).unwrap().drawing ^= 1;
        run.readings.get_mut(&figures[1]).unwrap().shown = Some(Shown::OverRange);
        run.readings.get_mut(&figures[2]).unwrap().shown = None;
        let gone = run.readings.remove(&figures[3]).unwrap();
        run.readings.insert("a step of an older drawing".into(), gone);
        project.bench_runs.put(BenchRunId(9001), run);
        project.set_up.put(SetupId(9002), setting("tap time", "60", Some(Provenance::Sheet)));
        project.set_up.put(SetupId(9003), setting("hold time", "", None));
        project.set_up.put(SetupId(9004), setting("fan", "2", None));
        project.set_up.put(SetupId(9006), setting("dip", "off", Some(Provenance::Hearsay)));

        let sign = sign_off(&project, &|| true).unwrap();
        assert_eq!(sign.of, Some(BenchRunId(9001)));
        assert_eq!(sign.readings.len(), steps.len() - n_blocked - 1);
        let tests = points(&sign, OpenKind::Test);
        assert_eq!(tests.len(), 5 + n_blocked, "{tests:#?}");
        for word in [
            "read before",
            "open, but a figure",
            "skipped, nobody said why",
            "not done",
            "has 1 reading of steps",
        ] {
            assert!(tests.iter().any(|point| point.contains(word)), "{word}: {tests:#?}");
        }
        assert_eq!(
            points(&sign, OpenKind::Blank),
            [
                "round \"first\" has no initials",
                "round \"first\" has no meter",
                "round \"first\" is not marked as the hand-over"
            ]
        );
        assert_eq!(
            points(&sign, OpenKind::Setting),
            [
                "hold time: no value",
                "fan: 2, nobody said where that comes from",
                "dip: off, known by hearsay only"
            ]
        );
        assert!(sign_off(&project, &|| false).is_none());

        let later = BenchRun { name: "later".into(), ..BenchRun::default() };
        project.bench_runs.get_mut(BenchRunId(9001)).unwrap().is_hand_over = true;
        project.bench_runs.put(BenchRunId(9005), later);
        let sign = sign_off(&project, &|| true).unwrap();
        assert_eq!(sign.of, Some(BenchRunId(9001)), "the hand-over goes before a later round");
        assert_eq!(sign.tests.len(), 2);
    }

    /// Ten modes and six links of which nothing is known: more boxes than are walked.
    fn unknown_story(project: &mut Project) {
        project.story = Story::default();
        let modes: std::collections::BTreeSet<ModeId> = (9001..9011).map(ModeId).collect();
        for id in &modes {
            let (name, display) = (format!("m{}", id.0), format!("D{}", id.0));
            project.story.modes.put(*id, StoryMode { name, display });
        }
        project.story.start.clone_from(&modes);
        let control = project.controls.ids().next().unwrap();
        for (id, position) in (9021..9027).zip([0, 1].into_iter().cycle()) {
            let event = StoryEvent::Stands { control, positions: [position].into() };
            let (from, to) = (modes.clone(), modes.clone());
            let link = StoryLink { from, event, after_ms: None, within_ms: None, to };
            project.story.links.put(LinkId(id), link);
        }
        let rows = (9031..).zip([1, 0, 1, 0, 1]);
        for (id, position) in rows {
            let deed = Deed::Stands { control, position };
            project.story.seen.put(ObservationId(id), Observation { deed, display: None });
        }
    }

    #[test]
    fn a_story_that_cannot_be_walked_is_an_open_point() {
        let mut project = samples::open("forwarder").unwrap();
        unknown_story(&mut project);
        let open = story_points(&project, &|| true).unwrap();
        let is_named = |point: &OpenPoint| {
            point.kind == OpenKind::Story && point.what.contains("would have to be told apart")
        };
        assert_eq!(open.iter().filter(|point| is_named(point)).count(), 1, "{open:#?}");
        assert!(story_points(&project, &|| false).is_none());
        project.story.start.clear();
        let open = story_points(&project, &|| true).unwrap();
        let start =
            open.iter().filter(|point| point.what.contains("nobody has said in which mode"));
        assert_eq!(start.count(), 1, "named once: {open:#?}");
    }
}
