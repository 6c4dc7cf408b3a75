//! Stories worked by hand, and random ones against a clock that ticks through every single story.

use std::collections::{BTreeMap, BTreeSet};

use super::*;
use crate::edit::{Edit, StoryEdit, apply};
use crate::model::{
    ControlId, Deed, LinkId, ModeId, Observation, ObservationId, Project, SensePinId, State, Story,
    StoryEvent, StoryLink, StoryMode,
};
use crate::random::Random;
use crate::samples;
use crate::sense::Reader;

fn row(project: &mut Project, edit: StoryEdit) -> u32 {
    apply(project, Edit::SetStory(edit)).unwrap().row.unwrap()
}

fn mode(project: &mut Project, name: &str, display: &str) -> ModeId {
    let mode = StoryMode { name: name.into(), display: display.into() };
    ModeId(row(project, StoryEdit::AddMode(mode)))
}

fn control(project: &Project, name: &str) -> ControlId {
    project.controls.iter().find(|(_, c)| c.name == name).unwrap().0
}

fn pin(project: &Project) -> SensePinId {
    project.sense_pins.ids().next().unwrap()
}

fn link(
    project: &mut Project,
    from: &[ModeId],
    event: StoryEvent,
    (after_ms, within_ms): (Option<u32>, Option<u32>),
    to: &[ModeId],
) -> LinkId {
    let set = |modes: &[ModeId]| modes.iter().copied().collect();
    let link = StoryLink { from: set(from), event, after_ms, within_ms, to: set(to) };
    LinkId(row(project, StoryEdit::AddLink(Box::new(link))))
}

fn stands(control: ControlId, positions: &[u8]) -> StoryEvent {
    StoryEvent::Stands { control, positions: positions.iter().copied().collect() }
}

fn reads(pin: SensePinId, actions: &[&str]) -> StoryEvent {
    let actions = actions.iter().map(|action| (*action).to_owned()).collect();
    StoryEvent::Reads { pin, actions }
}

/// The forwarder: the gate alone shows nothing, the first tap does.
fn forwarder() -> Project {
    let mut p = samples::open("forwarder").unwrap();
    p.story = Story::default();
    let (gate, pin) = (control(&p, "Gate"), pin(&p));
    let auto = mode(&mut p, "automatic", "AUTO");
    let waiting = mode(&mut p, "waiting", "AUTO");
    let hold = mode(&mut p, "holding", "HOLD 4");
    let none = (None, None);
    link(&mut p, &[auto], stands(gate, &[1]), none, &[waiting]);
    link(&mut p, &[waiting], reads(pin, &["UP"]), none, &[hold]);
    link(&mut p, &[waiting], reads(pin, &["DOWN"]), none, &[hold]);
    link(&mut p, &[waiting], stands(gate, &[0]), none, &[auto]);
    link(&mut p, &[hold], stands(gate, &[0]), none, &[auto]);
    p
}

fn told(project: &Project, deeds: &[Deed]) -> Vec<String> {
    let reader = Reader::new(project);
    let machine = Machine::new(project, &reader);
    let mut player = Player::switched_on(&machine, &State::rest()).unwrap();
    let mut lines = Vec::new();
    for deed in deeds {
        let before = player.walk.displays();
        player.act(&machine, deed).unwrap();
        let words = display_words(&before, &player.walk.displays());
        lines.push(format!("{}: {words}", deed_words(project, deed)));
    }
    lines
}

#[test]
fn the_first_tap_arms_and_the_gate_alone_does_not() {
    let project = forwarder();
    let (gate, lever) = (control(&project, "Gate"), control(&project, "Lever"));
    let names = &project.controls.get(lever).unwrap().positions;
    let fore = names.iter().position(|p| p.name.starts_with("fore")).unwrap() as u8;
    let deeds = [
        Deed::Tapped { control: lever, position: fore },
        Deed::Stands { control: gate, position: 1 },
        Deed::Tapped { control: lever, position: fore },
        Deed::Waited { ms: 60_000 },
        Deed::Stands { control: gate, position: 0 },
        Deed::Stands { control: gate, position: 1 },
        Deed::SwitchedOn,
    ];
    let lines = told(&project, &deeds);
    let short: Vec<&str> = lines.iter().map(|line| line.split(": ").nth(1).unwrap()).collect();
    assert_eq!(
        short,
        [
            "the display still says AUTO",
            "the display still says AUTO",
            "the display says HOLD 4",
            "the display still says HOLD 4",
            "the display says AUTO",
            "the display still says AUTO",
            "the display still says AUTO",
        ]
    );
    assert!(lines[1].starts_with("Gate to HOLD"), "{lines:?}");
    assert!(story_faults(&project).is_empty(), "{:?}", story_faults(&project));
}

#[test]
fn times_count_from_when_the_mode_was_entered() {
    let mut p = samples::open("forwarder").unwrap();
    p.story = Story::default();
    let gate = control(&p, "Gate");
    let idle = mode(&mut p, "idle", "-");
    let open = mode(&mut p, "open", "GO");
    let shut = mode(&mut p, "shut", "NO");
    link(&mut p, &[idle], stands(gate, &[1]), (Some(500), Some(2_000)), &[open]);
    link(&mut p, &[idle], StoryEvent::TimePasses, (Some(2_001), None), &[shut]);
    link(&mut p, &[open], StoryEvent::TimePasses, (Some(1_000), None), &[idle]);
    let gate_to = |position| Deed::Stands { control: gate, position };
    let wait = |ms| Deed::Waited { ms };
    let last = |deeds: &[Deed]| told(&p, deeds).pop().unwrap();
    assert!(last(&[wait(499), gate_to(1)]).ends_with("still says -"));
    assert!(last(&[wait(500), gate_to(1)]).ends_with("says GO"));
    assert!(last(&[wait(2_000), gate_to(1)]).ends_with("says GO"));
    assert!(last(&[wait(2_001)]).ends_with("says NO"), "time alone leads on");
    assert!(last(&[wait(500), gate_to(1), wait(999)]).ends_with("still says GO"));
    assert!(last(&[wait(500), gate_to(1), wait(1_000)]).ends_with("says -"));
    // Back in idle at 1,500 ms; 2,001 ms later it shuts.
    assert!(last(&[wait(500), gate_to(1), wait(3_000)]).ends_with("says -"));
    assert!(last(&[wait(500), gate_to(1), wait(3_001)]).ends_with("says NO"));
}

#[test]
fn which_place_is_armed_from_follows_from_three_rows() {
    let mut p = forwarder();
    // The gate counts only in one of the modes 2, 3, 4 the lever of another maker may show.
    p.story = Story::default();
    let (gate, up) = (control(&p, "Gate"), control(&p, "Rim UP"));
    let places = ["2", "3", "4"].map(|name| mode(&mut p, name, name));
    let hold = mode(&mut p, "hold", "HOLD");
    let none = (None, None);
    for pair in places.windows(2) {
        link(&mut p, &pair[..1], stands(up, &[1]), none, &pair[1..]);
    }
    link(&mut p, &places, stands(gate, &[1]), none, &[hold]);
    let seen = |deed, display: &str| Observation { deed, display: Some(display.into()) };
    let tap = Deed::Stands { control: up, position: 1 };
    let let_go = Deed::Stands { control: up, position: 0 };
    let gate_to = |position| Deed::Stands { control: gate, position };
    let ask = |p: &Project| {
        let reader = Reader::new(p);
        infer(&Machine::new(p, &reader), &|| true).unwrap()
    };
    let first = ask(&p);
    assert_eq!((first.n_before, first.n_left), (3, 3));
    let next = first.next.expect("one move tells something");
    assert_eq!(next.deeds, [gate_to(1)]);
    assert_eq!(next.outcomes, BTreeMap::from([("2".into(), 2), ("HOLD".into(), 1)]));

    row(&mut p, StoryEdit::AddSeen(seen(gate_to(1), "2")));
    row(&mut p, StoryEdit::AddSeen(Observation { deed: gate_to(0), display: None }));
    row(&mut p, StoryEdit::AddSeen(seen(tap.clone(), "3")));
    row(&mut p, StoryEdit::AddSeen(seen(let_go, "3")));
    assert_eq!(ask(&p).n_left, 2);
    row(&mut p, StoryEdit::AddSeen(seen(gate_to(1), "HOLD")));
    let done = ask(&p);
    assert_eq!(done.n_left, 1);
    assert_eq!(done.fields.len(), 1);
    assert_eq!(done.fields[0].settled(), Some("3"));
    assert!(done.next.is_none() && done.contradiction.is_none());

    let wrong = row(&mut p, StoryEdit::AddSeen(seen(Deed::SwitchedOn, "4")));
    let done = ask(&p);
    assert_eq!(done.n_left, 0);
    let contradiction = done.contradiction.unwrap();
    assert_eq!(contradiction.row, ObservationId(wrong));
    assert_eq!(contradiction.without, [(ObservationId(wrong), 1)]);
    assert_eq!(done.fields[0].settled(), Some("3"), "the row is left out of what follows");
}

#[test]
fn flaws_are_named_with_their_place() {
    let mut p = forwarder();
    p.story = Story::default();
    let (gate, pin) = (control(&p, "Gate"), pin(&p));
    let a = mode(&mut p, "a", "A");
    let b = mode(&mut p, "b", "B");
    let lost = mode(&mut p, "lost", "?");
    let twin = mode(&mut p, "a", "A");
    let none = (None, None);
    link(&mut p, &[a], stands(gate, &[1]), none, &[b]);
    let second = link(&mut p, &[a], stands(gate, &[1]), none, &[twin]);
    let window = link(&mut p, &[a], reads(pin, &["UP"]), (Some(900), Some(800)), &[lost]);
    let nameless = link(&mut p, &[a], reads(pin, &["SIDEWAYS"]), none, &[b]);
    link(&mut p, &[a], StoryEvent::TimePasses, (Some(700), None), &[twin]);
    let late = link(&mut p, &[a], stands(gate, &[0]), (Some(700), None), &[lost]);
    link(&mut p, &[twin], stands(gate, &[0]), none, &[a]);
    let faults = story_faults(&p);
    let has = |place, words: &str| {
        let found = faults.iter().any(|f| f.place == place && f.what.contains(words));
        assert!(found, "{place:?} {words}: {faults:#?}");
    };
    has(StoryPlace::Mode(lost), "no way leads to lost");
    has(StoryPlace::Mode(b), "only by switching off");
    has(StoryPlace::Mode(twin), "two modes are called a");
    has(StoryPlace::Link(second), "takes two links at once");
    has(StoryPlace::Link(window), "no later than before");
    has(StoryPlace::Link(nameless), "no band of that name");
    has(StoryPlace::Link(late), "after 700 ms the mode is left on time alone");
    assert_eq!(faults.len(), 7, "{faults:#?}");
    p.story.start.clear();
    assert!(story_faults(&p)[0].what.contains("switched on"));
    let reader = Reader::new(&p);
    assert_eq!(infer(&Machine::new(&p, &reader), &|| true), Err(Stuck::NoStart));
}

/// One story, run by a clock that ticks every millisecond. Shares no code with the walk.
struct Clock<'a> {
    story: &'a Story,
    start: ModeId,
    /// For each link: from, position or action, to.
    choice: BTreeMap<LinkId, (ModeId, String, ModeId)>,
    mode: ModeId,
    ticks: u32,
}

impl Clock<'_> {
    fn notice(&mut self, control: Option<ControlId>, pin: Option<SensePinId>, value: &str) {
        for (id, link) in self.story.links.iter() {
            let (from, on, to) = &self.choice[&id];
            let same = match &link.event {
                StoryEvent::Stands { control: c, .. } => Some(*c) == control,
                StoryEvent::Reads { pin: p, .. } => Some(*p) == pin,
                StoryEvent::TimePasses => false,
            };
            let early = link.after_ms.is_some_and(|ms| self.ticks < ms);
            let late = link.within_ms.is_some_and(|ms| self.ticks > ms);
            if same && on == value && *from == self.mode && !early && !late {
                (self.mode, self.ticks) = (*to, 0);
                return;
            }
        }
    }

    fn tick(&mut self) {
        self.ticks += 1;
        for (id, link) in self.story.links.iter() {
            let (from, _, to) = &self.choice[&id];
            let is_time = link.event == StoryEvent::TimePasses;
            if is_time && *from == self.mode && link.after_ms == Some(self.ticks) {
                (self.mode, self.ticks) = (*to, 0);
                return;
            }
        }
    }
}

/// Every single story of a story with candidates.
fn every_story(story: &Story) -> Vec<Clock<'_>> {
    let mut choices: Vec<BTreeMap<LinkId, (ModeId, String, ModeId)>> = vec![BTreeMap::new()];
    for (id, link) in story.links.iter() {
        let values: Vec<String> = match &link.event {
            StoryEvent::Stands { positions, .. } => positions.iter().map(u8::to_string).collect(),
            StoryEvent::Reads { actions, .. } => actions.iter().cloned().collect(),
            StoryEvent::TimePasses => vec![String::new()],
        };
        let mut more = Vec::new();
        for choice in &choices {
            for from in &link.from {
                for value in &values {
                    for to in &link.to {
                        let mut choice = choice.clone();
                        choice.insert(id, (*from, value.clone(), *to));
                        more.push(choice);
                    }
                }
            }
        }
        choices = more;
    }
    let clock = |start: &ModeId, choice: &BTreeMap<_, _>| Clock {
        story,
        start: *start,
        choice: choice.clone(),
        mode: *start,
        ticks: 0,
    };
    story.start.iter().flat_map(|s| choices.iter().map(move |c| clock(s, c))).collect()
}

/// What the machine notices of each row, worked out from the drawing: `None` is a tick.
type Noticed = (Option<ControlId>, Option<SensePinId>, String);

fn noticed(project: &Project, reader: &Reader, deeds: &[Deed]) -> Vec<Vec<Option<Noticed>>> {
    let pin = pin(project);
    let band = |state: &State| {
        let row = reader.row(pin, state).unwrap();
        row.band.map(|idx| project.sense_pins.get(pin).unwrap().bands[idx].name.clone())
    };
    let mut state = State::rest();
    let mut read: Option<String> = None;
    let mut out = Vec::new();
    let all = std::iter::once(&Deed::SwitchedOn).chain(deeds);
    for deed in all {
        let mut events = Vec::new();
        let mut put = |state: &mut State, read: &mut Option<String>, control, position: u8| {
            let row = project.controls.get(control).unwrap();
            if state.position(control, row) == position {
                return;
            }
            state.0.insert(control, position);
            events.push(Some((Some(control), None, position.to_string())));
            let now = band(state);
            if now.is_some() && now != *read {
                events.push(Some((None, Some(pin), now.clone().unwrap())));
            }
            *read = now;
        };
        match deed {
            Deed::SwitchedOn => {
                for (id, row) in project.controls.iter() {
                    let position = state.position(id, row).to_string();
                    events.push(Some((Some(id), None, position)));
                }
                read = band(&state);
                events.extend(read.clone().map(|name| Some((None, Some(pin), name))));
            }
            Deed::Stands { control, position } => {
                put(&mut state, &mut read, *control, *position);
            }
            Deed::Tapped { control, position } => {
                put(&mut state, &mut read, *control, *position);
                put(&mut state, &mut read, *control, 0);
            }
            Deed::Reads { pin, action } => {
                if read.as_ref() != Some(action) {
                    events.push(Some((None, Some(*pin), action.clone())));
                }
                read = Some(action.clone());
            }
            Deed::Waited { ms } => events.extend((0..*ms).map(|_| None)),
        }
        out.push(events);
    }
    out
}

fn random_story(project: &mut Project, r: &mut Random) {
    project.story = Story::default();
    let modes: Vec<ModeId> = (0..2 + r.below(3))
        .map(|n| mode(project, &format!("m{n}"), r.pick(&["A", "B", "C"])))
        .collect();
    let some = |r: &mut Random, most: usize| -> Vec<ModeId> {
        (0..1 + r.below(most)).map(|_| r.pick(&modes)).collect()
    };
    let start = some(r, 2).into_iter().collect();
    apply(project, Edit::SetStory(StoryEdit::Start(start))).unwrap();
    let controls: Vec<ControlId> = project.controls.ids().collect();
    let pin = pin(project);
    let bands: Vec<String> =
        project.sense_pins.get(pin).unwrap().bands.iter().map(|b| b.name.clone()).collect();
    for _ in 0..2 + r.below(4) {
        let event = match r.below(3) {
            0 => stands(r.pick(&controls), r.pick(&[&[0][..], &[1], &[0, 1]])),
            1 => {
                let names: BTreeSet<String> =
                    (0..1 + r.below(2)).map(|_| bands[r.below(bands.len())].clone()).collect();
                StoryEvent::Reads { pin, actions: names }
            }
            _ => StoryEvent::TimePasses,
        };
        let is_time = event == StoryEvent::TimePasses;
        let ms = |r: &mut Random| 1 + r.below(5) as u32;
        let after = (is_time || r.once_in(4)).then(|| ms(r));
        let within = (!is_time && r.once_in(4)).then(|| ms(r));
        let (from, to) = (some(r, 2), some(r, 2));
        link(project, &from, event, (after, within), &to);
    }
}

fn random_deed(project: &Project, r: &mut Random) -> Deed {
    let controls: Vec<ControlId> = project.controls.ids().collect();
    let (control, pin) = (r.pick(&controls), pin(project));
    match r.below(8) {
        0 => Deed::SwitchedOn,
        1..=3 => Deed::Stands { control, position: r.below(2) as u8 },
        4 => Deed::Tapped { control, position: 1 },
        5 => {
            let bands = &project.sense_pins.get(pin).unwrap().bands;
            Deed::Reads { pin, action: bands[r.below(bands.len())].name.clone() }
        }
        _ => Deed::Waited { ms: 1 + r.below(7) as u32 },
    }
}

/// Enumerating every story and ticking through it, against splitting boxes as answers come.
#[test]
fn what_remains_is_what_a_clock_finds_by_trying_every_story() {
    let mut project = samples::open("sprayer").unwrap();
    let reader = Reader::new(&project);
    assert!(project.controls.iter().all(|(_, c)| c.rest == 0 && c.positions.len() == 2));
    let (mut n_settled, mut n_contradicted, mut n_many) = (0, 0, 0);
    for seed in 0..400 {
        let r = &mut Random::new(seed);
        random_story(&mut project, r);
        if n_stories(&project.story) > 3_000 {
            continue;
        }
        let deeds: Vec<Deed> = (0..1 + r.below(8)).map(|_| random_deed(&project, r)).collect();
        let events = noticed(&project, &reader, &deeds);
        let story = project.story.clone();
        let mut clocks = every_story(&story);
        assert_eq!(clocks.len() as u128, n_stories(&story), "seed {seed}");
        // One of them is true; now and then somebody writes down what was not there.
        let truth = r.below(clocks.len());
        let mut is_left = vec![true; clocks.len()];
        let mut could = Vec::new();
        let mut counts = Vec::new();
        let mut seen_rows: Vec<Option<String>> = Vec::new();
        for (n, row) in events.iter().enumerate() {
            for clock in &mut clocks {
                // Row 0 is the first switching on; later ones go back to the start as well.
                if n == 0 || deeds[n - 1] == Deed::SwitchedOn {
                    (clock.mode, clock.ticks) = (clock.start, 0);
                }
                for event in row {
                    match event {
                        None => clock.tick(),
                        Some((control, pin, value)) => clock.notice(*control, *pin, value),
                    }
                }
            }
            if n == 0 {
                continue;
            }
            let says = |clock: &Clock<'_>| story.modes.get(clock.mode).unwrap().display.clone();
            let mut display = says(&clocks[truth]);
            if r.once_in(9) {
                display = r.pick(&["A", "B", "C"]).into();
            }
            let shown = (!r.once_in(4)).then_some(display);
            let all = clocks.iter().zip(&is_left).filter(|(_, left)| **left);
            could.push(all.map(|(clock, _)| says(clock)).collect::<BTreeSet<_>>());
            if let Some(shown) = &shown {
                let fits: Vec<bool> = clocks.iter().map(|c| says(c) == *shown).collect();
                if fits.iter().zip(&is_left).any(|(fits, left)| *fits && *left) {
                    is_left.iter_mut().zip(fits).for_each(|(left, fits)| *left &= fits);
                }
            }
            counts.push(is_left.iter().filter(|left| **left).count() as u128);
            seen_rows.push(shown);
        }
        for (deed, display) in deeds.iter().zip(&seen_rows) {
            let seen = Observation { deed: deed.clone(), display: display.clone() };
            row(&mut project, StoryEdit::AddSeen(seen));
        }
        let found = infer(&Machine::new(&project, &reader), &|| true).unwrap();
        let found_counts: Vec<u128> = found.rows.iter().map(|row| row.n_left).collect();
        let found_could: Vec<_> = found.rows.iter().map(|row| row.could_say.clone()).collect();
        assert_eq!(found_could, could, "seed {seed}");
        assert_eq!(found_counts, counts, "seed {seed}");
        let is_contradicted = found.rows.iter().any(|row| row.is_contradiction);
        assert_eq!(is_contradicted, found.contradiction.is_some());
        let wanted =
            seen_rows.iter().zip(&could).any(|(s, c)| s.as_ref().is_some_and(|s| !c.contains(s)));
        assert_eq!(is_contradicted, wanted, "seed {seed}");
        check_fields(&story, &found, &clocks, &is_left, seed);
        n_contradicted += usize::from(is_contradicted);
        n_settled += usize::from(found.n_left == 1);
        n_many += usize::from(found.n_left > 1);
    }
    assert!(
        n_settled > 10 && n_contradicted > 10 && n_many > 50,
        "{n_settled} {n_contradicted} {n_many}"
    );
}

fn check_fields(
    story: &Story,
    found: &Inference,
    clocks: &[Clock<'_>],
    is_left: &[bool],
    seed: u64,
) {
    let left = || clocks.iter().zip(is_left).filter(|(_, left)| **left).map(|(clock, _)| clock);
    for field in &found.fields {
        let names: BTreeSet<String> = match field.field {
            StoryField::Start => left().map(|c| story.mode_name(c.start).to_owned()).collect(),
            StoryField::From(id) => {
                left().map(|c| story.mode_name(c.choice[&id].0).to_owned()).collect()
            }
            StoryField::To(id) => {
                left().map(|c| story.mode_name(c.choice[&id].2).to_owned()).collect()
            }
            StoryField::On(id) => {
                if matches!(story.links.get(id).unwrap().event, StoryEvent::Stands { .. }) {
                    let n = left().map(|c| c.choice[&id].1.clone()).collect::<BTreeSet<_>>().len();
                    let n_left = field.candidates.iter().filter(|(_, left)| *left).count();
                    assert_eq!(n, n_left, "seed {seed} {:?}", field.field);
                    continue;
                }
                left().map(|c| c.choice[&id].1.clone()).collect()
            }
        };
        let kept: BTreeSet<String> = field
            .candidates
            .iter()
            .filter(|(_, left)| *left)
            .map(|(name, _)| name.clone())
            .collect();
        assert_eq!(kept, names, "seed {seed} {:?}", field.field);
    }
}

#[test]
fn turns_are_counted_over_all_boxes_of_a_wait() {
    let mut p = samples::open("forwarder").unwrap();
    p.story = Story::default();
    let ids = ["a", "b", "c", "d"].map(|name| mode(&mut p, name, name));
    for (n, from) in ids.iter().enumerate() {
        let to = ids[(n + 1) % ids.len()];
        link(&mut p, &[*from], StoryEvent::TimePasses, (Some(1), None), &[to]);
    }
    let wait = |p: &Project, ms: u32, is_hurried: bool| {
        let reader = Reader::new(p);
        let machine = Machine::new(p, &reader);
        let player = Player::switched_on(&machine, &State::rest()).unwrap();
        let mut player = if is_hurried { player.in_a_hurry() } else { player };
        player.act(&machine, &Deed::Waited { ms })
    };
    apply(&mut p, Edit::SetStory(StoryEdit::Start(ids.into()))).unwrap();
    // Four boxes, each of which takes a link every millisecond.
    assert_eq!(wait(&p, 2_000, true), Ok(()));
    assert_eq!(wait(&p, 3_000, true), Err(Stuck::Endless));
    assert_eq!(wait(&p, 3_000, false), Ok(()));
    apply(&mut p, Edit::SetStory(StoryEdit::Start([ids[0]].into()))).unwrap();
    assert_eq!(wait(&p, 3_000, true), Ok(()), "one box takes a fourth of the turns");
}

#[test]
fn the_inference_stops_wherever_nobody_wants_it_any_more() {
    let mut p = forwarder();
    let (gate, hold) = (control(&p, "Gate"), p.story.modes.ids().next_back().unwrap());
    let auto = p.story.modes.ids().next().unwrap();
    let none = (None, None);
    link(&mut p, &[auto, hold], stands(gate, &[0, 1]), none, &[auto, hold]);
    for (position, display) in [(1, "AUTO"), (0, "ELSE"), (1, "AUTO")] {
        let deed = Deed::Stands { control: gate, position };
        row(&mut p, StoryEdit::AddSeen(Observation { deed, display: Some(display.into()) }));
    }
    let reader = Reader::new(&p);
    let machine = Machine::new(&p, &reader);
    let n_asked = std::cell::Cell::new(0);
    let up_to = |most: usize| {
        n_asked.set(0);
        infer(&machine, &|| {
            n_asked.set(n_asked.get() + 1);
            n_asked.get() <= most
        })
    };
    assert!(up_to(usize::MAX).unwrap().contradiction.is_some());
    let n_all = n_asked.get();
    // Once a row, and once a row for each row that is left out by way of trial.
    assert_eq!(n_all, 3 + 3 * 3);
    for most in 0..n_all {
        assert_eq!(up_to(most), Err(Stuck::Stopped), "{most} of {n_all}");
    }
    let ids: Vec<ObservationId> = p.story.seen.ids().collect();
    for id in ids {
        apply(&mut p, Edit::SetStory(StoryEdit::RemoveSeen(id))).unwrap();
    }
    let reader = Reader::new(&p);
    let machine = Machine::new(&p, &reader);
    assert_eq!(infer(&machine, &|| false), Err(Stuck::Stopped), "while the next look is sought");
}
