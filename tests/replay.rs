//! Logs as a machine would have recorded them: events that were planted are all found and none is
//! invented, every way of writing a log reads alike, broken rows are named and cost nothing else.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use ohmloom::model::{Band, BandRole, Harm, Project, SensePin, SensePinId};
use ohmloom::proving::replay::{
    Event, EventKind, Log, Replay, Why, event_words, load, outline, propose, replay,
};
use ohmloom::random::Random;
use ohmloom::samples;
use ohmloom::sense::Reader;
use ohmloom::tables::Delimiter;
use ohmloom::testing::{Plan, Planted, Recording, Style, expectation, parallel_ladder, recording};

const PLAIN: Style = Style {
    delimiter: Delimiter::Comma,
    decimal: '.',
    in_ms: false,
    other_multiple: false,
    unit_in_cells: false,
    clock: false,
    beside: true,
};

fn loaded(project: &Project, pin: &SensePin, text: &str) -> Log {
    let seen = outline(text.as_bytes(), None).unwrap();
    let matching = propose(&seen, project, pin);
    load(text.as_bytes(), &seen, &matching, &|_| true).unwrap().unwrap()
}

fn replayed(project: &Project, id: SensePinId, log: &Log) -> Replay {
    replay(project, id, log, &|| true).unwrap().unwrap()
}

/// Every pin of every sample.
fn sample_pins() -> Vec<(String, Project, SensePinId)> {
    let mut all = Vec::new();
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        for id in project.sense_pins.ids().collect::<Vec<_>>() {
            all.push((sample.name.to_owned(), project.clone(), id));
        }
    }
    all
}

/// A ladder of a few switches with bands around what it reads; `None` where two readings are too near.
fn ladder(seed: u64) -> Option<(Project, SensePinId)> {
    let mut random = Random::new(seed);
    let ohms: Vec<f64> = (0..1 + random.below(4)).map(|_| random.decades(300.0, 20e3)).collect();
    let (sketch, id) = parallel_ladder(&ohms, random.decades(22e3, 90e3));
    let mut project = sketch.project;
    let controls: Vec<_> = project.controls.ids().collect();
    let table = Reader::new(&project).table(id).unwrap();
    let pin = project.sense_pins.get_mut(id).unwrap();
    pin.debounce_ms = random.maybe(|random| random.between(20.0, 120.0));
    for row in &table.rows {
        let on: Vec<_> = controls.iter().filter(|id| row.state.0.get(id) == Some(&1)).collect();
        let (name, role) = match on.as_slice() {
            [] => ("OFF".to_owned(), BandRole::Idle),
            [one] => (format!("B{one}"), BandRole::Action),
            _ => continue,
        };
        let nominal = row.ohm.nominal;
        let (low, high) = (nominal * 0.96, Some(nominal * 1.04));
        pin.bands.push(Band { name: name.clone(), role, low, high, harm: Harm::Dangerous });
        let stands: Vec<_> =
            controls.iter().map(|id| (*id, row.state.0.get(id).copied().unwrap_or(0))).collect();
        pin.expectations.push(expectation(&stands, &name));
    }
    let edge = |band: &Band| (band.low, band.high.unwrap());
    let apart = pin.bands.iter().enumerate().all(|(n, a)| {
        pin.bands[n + 1..].iter().all(|b| edge(a).1 * 1.02 < b.low || edge(b).1 * 1.02 < a.low)
    });
    apart.then_some((project, id))
}

#[track_caller]
fn assert_found(label: &str, pin: &SensePin, made: &Recording, log: &Log, got: &Replay) {
    let step = log.step_s * 1.6;
    let told = |events: &[Event]| -> Vec<String> {
        let words = |event: &Event| {
            format!("{:?} {:.3}: {}", event.kind, event.from_s, event_words(pin, got, log, event))
        };
        events.iter().map(words).collect()
    };
    let fits = |planted: &Planted, event: &Event| {
        let is_there = (event.from_s - planted.from_s).abs() <= step
            && (event.to_s - planted.to_s).abs() <= step;
        // A centre moves all the time.
        planted.kind == event.kind && (is_there || planted.kind == EventKind::Drift)
    };
    for planted in &made.planted {
        let found = got.events.iter().filter(|event| fits(planted, event)).count();
        assert_eq!(found, 1, "{label}: {planted:?} in {:#?}", told(&got.events));
    }
    assert_eq!(got.events.len(), made.planted.len(), "{label}: {:#?}", told(&got.events));
}

#[test]
fn planted_events_are_all_found_and_none_is_invented() {
    let mut n_planted = [0; EventKind::ALL.len()];
    for (name, project, id) in sample_pins() {
        let pin = project.sense_pins.get(id).unwrap();
        // A table of a thousand states takes its time.
        let seeds = if name.starts_with("railcar") { 4 } else { 12 };
        for seed in 0..seeds {
            let names_states = seed % 3 != 0;
            let mut random = Random::new(seed + 100);
            let mut events: Vec<EventKind> = (0..6).map(|_| random.pick(&EventKind::ALL)).collect();
            if seed % 2 == 0 {
                events.push(EventKind::Drift);
            }
            let plan = Plan { stays: 16, events, names_states };
            let Some(made) = recording(&project, id, seed, &plan) else { continue };
            let mut text = made.csv(&project, pin, &PLAIN);
            if !names_states {
                text = text.replacen(",state\n", ",remark\n", 1).replace("\"\n", " so\"\n");
            }
            let log = loaded(&project, pin, &text);
            assert_eq!((log.n_rows(), log.refused.len()), (made.rows.len(), 0));
            let got = replayed(&project, id, &log);
            assert_found(&format!("{name}, seed {seed}"), pin, &made, &log, &got);
            for planted in &made.planted {
                n_planted[planted.kind as usize] += 1;
            }
        }
    }
    for kind in EventKind::ALL {
        assert!(n_planted[kind as usize] >= 4, "{kind:?} was planted too seldom: {n_planted:?}");
    }
}

#[test]
fn a_centre_that_moves_slowly_is_found_and_nothing_else() {
    let mut n_planted = 0;
    for (name, project, id) in sample_pins() {
        if name.starts_with("railcar") {
            continue;
        }
        let pin = project.sense_pins.get(id).unwrap();
        for seed in 0..10 {
            let plan = Plan { stays: 40, events: vec![EventKind::Drift], names_states: true };
            let Some(made) = recording(&project, id, seed, &plan) else { continue };
            let style = Style { beside: seed % 2 == 0, ..PLAIN };
            let log = loaded(&project, pin, &made.csv(&project, pin, &style));
            let got = replayed(&project, id, &log);
            assert_found(&format!("{name}, seed {seed}"), pin, &made, &log, &got);
            n_planted += made.planted.len();
        }
    }
    assert!(n_planted >= 12, "only {n_planted} were planted");
}

#[test]
fn clean_logs_of_random_ladders_and_samples_have_no_events() {
    let mut n_logs = 0;
    let ladders = (0..150).filter_map(|seed| {
        let (project, id) = ladder(seed)?;
        Some((format!("ladder {seed}"), project, id))
    });
    for (n, (name, project, id)) in ladders.chain(sample_pins()).enumerate() {
        let pin = project.sense_pins.get(id).unwrap();
        let plan = Plan { stays: 30, events: Vec::new(), names_states: true };
        let Some(made) = recording(&project, id, n as u64, &plan) else { continue };
        let style = Style { beside: n % 2 == 0, ..PLAIN };
        let log = loaded(&project, pin, &made.csv(&project, pin, &style));
        let got = replayed(&project, id, &log);
        assert_found(&name, pin, &made, &log, &got);
        let stood: f64 = got.summary.bands.iter().map(|band| band.time_s).sum();
        assert!((stood - log.span_s()).abs() < 1e-6, "{name}: every moment is in one band");
        n_logs += 1;
    }
    assert!(n_logs > 60, "only {n_logs} logs were made");
}

#[test]
fn events_of_random_ladders_are_found_too() {
    let mut n_events = 0;
    for seed in 0..80 {
        let Some((project, id)) = ladder(seed) else { continue };
        let pin = project.sense_pins.get(id).unwrap();
        let events = vec![
            EventKind::Brief,
            EventKind::InGuard,
            EventKind::Intermittent,
            EventKind::WrongAction,
            EventKind::Dip,
        ];
        let plan = Plan { stays: 6, events, names_states: true };
        let Some(made) = recording(&project, id, seed, &plan) else { continue };
        let log = loaded(&project, pin, &made.csv(&project, pin, &PLAIN));
        let got = replayed(&project, id, &log);
        assert_found(&format!("ladder {seed}"), pin, &made, &log, &got);
        n_events += made.planted.len();
    }
    assert!(n_events > 100, "only {n_events} events were planted");
}

#[test]
fn every_way_of_writing_a_log_reads_alike() {
    let ways = [
        Style { delimiter: Delimiter::Semicolon, decimal: ',', ..PLAIN },
        Style { delimiter: Delimiter::Tab, decimal: ',', in_ms: true, ..PLAIN },
        Style { delimiter: Delimiter::Bar, other_multiple: true, ..PLAIN },
        Style { delimiter: Delimiter::Semicolon, unit_in_cells: true, decimal: ',', ..PLAIN },
        Style { unit_in_cells: true, other_multiple: true, ..PLAIN },
        Style { clock: true, ..PLAIN },
        Style { clock: true, delimiter: Delimiter::Semicolon, decimal: ',', ..PLAIN },
        Style { beside: false, in_ms: true, ..PLAIN },
        Style { beside: false, delimiter: Delimiter::Semicolon, decimal: ',', ..PLAIN },
    ];
    for (name, project, id) in sample_pins() {
        let pin = project.sense_pins.get(id).unwrap();
        let plan = Plan { stays: 8, events: vec![EventKind::Brief], names_states: false };
        let Some(made) = recording(&project, id, 3, &plan) else { continue };
        for style in ways {
            let text = made.csv(&project, pin, &style);
            for text in [text.clone(), text.replace('\n', "\r\n"), format!("\u{feff}{text}")] {
                let log = loaded(&project, pin, &text);
                assert!(log.refused.is_empty() && log.notes.is_empty(), "{name} {style:?}");
                assert_eq!(log.scale, Some(pin.scale));
                assert_eq!(log.n_rows(), made.rows.len(), "{name} {style:?}");
                for (row, sample) in made.rows.iter().enumerate() {
                    assert!((log.time_s[row] - sample.s).abs() < 2e-6, "{name} {style:?} {row}");
                    let is_same = log.value[row] == sample.value
                        || (log.value[row] - sample.value).abs() < 1e-6;
                    assert!(is_same, "{name} {style:?}: {} {}", log.value[row], sample.value);
                }
                assert_eq!(log.clock_s.is_some(), style.clock);
                assert_eq!(log.supply_volt.is_empty(), !style.beside);
            }
        }
    }
}

/// Damages rows in ways whose place is known, and looks whether those and only those are named.
#[test]
fn broken_rows_are_named_by_line_and_column_and_the_rest_is_kept() {
    let project = samples::open("sprayer").unwrap();
    let (id, pin) = project.sense_pins.iter().next().unwrap();
    let plan = Plan { stays: 10, events: Vec::new(), names_states: true };
    for seed in 0..40 {
        let mut random = Random::new(seed);
        let made = recording(&project, id, seed, &plan).unwrap();
        let text = made.csv(&project, pin, &PLAIN);
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let mut want: Vec<(u32, u16, Why)> = Vec::new();
        for n in (20..lines.len() - 2).step_by(97) {
            let cells: Vec<&str> = lines[n].splitn(4, ',').collect();
            let [time, value, supply, state] = cells[..] else { panic!("four cells") };
            let (line, column, why) = match random.below(8) {
                0 => (format!("{time},,{supply},{state}"), 2, Why::Reading),
                1 => (format!("{time},4.4.2,{supply},{state}"), 2, Why::Reading),
                2 => (format!("soon,{value},{supply},{state}"), 1, Why::Time),
                3 => (format!("{time},{value},flat,{state}"), 3, Why::Supply),
                4 => (time.to_owned(), 0, Why::Cells { expected: 4, found: 1 }),
                5 => (
                    format!("{time},{value},{supply},{state},,7"),
                    0,
                    Why::Cells { expected: 4, found: 6 },
                ),
                6 => (format!("{time},{value},{supply},\"LEFT on"), 0, Why::Quotes),
                _ => (format!("{time},1405 ohm,{supply},{state}"), 2, Why::OtherUnit),
            };
            lines[n] = line;
            want.push((u32::try_from(n + 1).unwrap(), column, why));
        }
        let broken = lines.join("\n");
        let log = loaded(&project, pin, &broken);
        let got: Vec<_> = log.refused.iter().map(|r| (r.line, r.column, r.why)).collect();
        assert_eq!(got, want, "seed {seed}");
        assert_eq!(log.n_rows() + want.len(), made.rows.len());
        let kept = log.line.iter().zip(&log.value);
        for (line, value) in kept {
            let sample = &made.rows[*line as usize - 2];
            assert!((value - sample.value).abs() < 1e-6, "line {line}");
        }
        assert!(log.refused.iter().all(|r| r.words().contains(&format!("line {}", r.line))));
    }
}

#[test]
fn the_words_for_a_broken_row_say_what_was_expected_and_found() {
    let project = samples::open("sprayer").unwrap();
    let (_, pin) = project.sense_pins.iter().next().unwrap();
    let text = "s,V\n0,4.4\n1,high\n2\n3,4.4\n0.5,4.4\n4,4.4\n";
    let log = loaded(&project, pin, text);
    let words: Vec<String> =
        log.refused.iter().map(ohmloom::proving::replay::Refused::words).collect();
    assert_eq!(
        words,
        [
            "line 3, column 2 (V): expected a reading, found \"high\"",
            "line 4: expected 2 cells, found 1",
            "line 6: expected a time not before that of the row above, found \"0.500 s\"",
        ]
    );
    assert_eq!(log.time_s, [0.0, 3.0, 4.0]);
}

/// Nothing that a disk or a cable can do to a file makes the program fall over or lose a row unseen.
#[test]
fn damaged_files_are_read_as_far_as_they_can_be() {
    let project = samples::open("sprayer").unwrap();
    let (id, pin) = project.sense_pins.iter().next().unwrap();
    let plan = Plan { stays: 2, events: vec![EventKind::Brief], names_states: true };
    let made = recording(&project, id, 5, &plan).unwrap();
    let text = made.csv(&project, pin, &PLAIN);
    let mut random = Random::new(9);
    for _ in 0..400 {
        let mut bytes = text.clone().into_bytes();
        for _ in 0..1 + random.below(30) {
            let at = random.below(bytes.len());
            match random.below(4) {
                0 => bytes[at] = (random.bits() & 0xff) as u8,
                1 => bytes.truncate(at.max(1)),
                2 => drop(bytes.drain(at..(at + random.below(40)).min(bytes.len()))),
                _ => bytes.insert(at, b",;\"\n\0\xff"[random.below(6)]),
            }
            if bytes.is_empty() {
                bytes.push(b'x');
            }
        }
        let Ok(seen) = outline(&bytes, None) else { continue };
        let matching = propose(&seen, &project, pin);
        let Ok(Some(log)) = load(&bytes, &seen, &matching, &|_| true) else { continue };
        let after = &bytes[seen.data_at.0..];
        let n_lines = after
            .split(|byte| *byte == b'\n')
            .filter(|line| !line.iter().all(u8::is_ascii_whitespace))
            .count();
        assert_eq!(log.n_rows() + log.refused.len(), n_lines, "every row is kept or named");
        assert!(log.time_s.windows(2).all(|pair| pair[0] <= pair[1]));
        let got = replay(&project, id, &log, &|| true);
        assert!(got.is_err() || got.is_ok_and(|got| got.unwrap().scaled.len() == log.n_rows()));
    }
}

#[test]
fn a_recorder_that_began_anew_and_midnight_are_understood() {
    let project = samples::open("sprayer").unwrap();
    let (_, pin) = project.sense_pins.iter().next().unwrap();
    let log = loaded(&project, pin, "s,V\n0,4.4\n1,4.4\n2,4.4\n0,4.4\n1,4.4\n");
    assert_eq!(log.time_s, [0.0, 1.0, 2.0, 3.0, 4.0]);
    assert!(log.notes[0].contains("line 5: the time begins anew"), "{:?}", log.notes);
    let log = loaded(&project, pin, "time,V\n23:59:59,4.4\n00:00:00,4.4\n00:00:01,4.4\n");
    assert_eq!(log.time_s, [0.0, 1.0, 2.0]);
    assert_eq!(log.time_words(1.5), "00:00:00.500");
    assert!(log.refused.is_empty());
}

#[test]
fn long_work_can_be_stopped() {
    let project = samples::open("sprayer").unwrap();
    let (id, pin) = project.sense_pins.iter().next().unwrap();
    let text: String = (0..40_000).map(|n| format!("{n} ms,4.4 V\n")).collect();
    let seen = outline(text.as_bytes(), None).unwrap();
    let matching = propose(&seen, &project, pin);
    assert_eq!(load(text.as_bytes(), &seen, &matching, &|_| false), Ok(None));
    let log = load(text.as_bytes(), &seen, &matching, &|share| share < 2.0).unwrap().unwrap();
    assert_eq!(log.n_rows(), 40_000);
    assert!(replay(&project, id, &log, &|| false).unwrap().is_none());
}

/// A log of the sprayer by hand: the pin reads 4.782 V at rest, 2.921 V with LEFT and 4.99 V open
/// (`tests/data/sprayer_readings.csv`). `parts` are rows at one step: how many, reading, supply, LEFT.
fn by_hand(stamp: &dyn Fn(usize) -> String, parts: &[(usize, f64, f64, &str)]) -> String {
    let mut text = "time (s);signal (V);battery (V);LEFT;CENTRE;RIGHT\n".to_owned();
    let rows = parts.iter().flat_map(|part| std::iter::repeat_n(part, part.0));
    for (n, (_, value, supply, left)) in rows.enumerate() {
        // A few millivolts of noise.
        let value = value + 0.002 * ((n * 7 % 5) as f64 - 2.0) / 2.0;
        text += &format!("{};{value:.4};{supply:.2};{left};off;off\n", stamp(n));
    }
    text
}

fn fine(n: usize) -> String {
    format!("{:.3}", n as f64 * 0.02)
}

/// An event: its kind, begin and end in seconds, how often, and words.
type Told = (EventKind, f64, f64, usize, String);

/// The log of a text, what became of it, and its events.
fn told(text: &str) -> (Log, Replay, Vec<Told>) {
    told_of(&samples::open("sprayer").unwrap(), text)
}

fn told_of(project: &Project, text: &str) -> (Log, Replay, Vec<Told>) {
    let (id, pin) = project.sense_pins.iter().next().unwrap();
    let log = loaded(project, pin, text);
    let got = replayed(project, id, &log);
    let rounded = |s: f64| (s * 1e3).round() / 1e3;
    let one = |event: &Event| {
        let words = event_words(pin, &got, &log, event);
        (event.kind, rounded(event.from_s), rounded(event.to_s), event.times, words)
    };
    let events = got.events.iter().map(one).collect();
    (log, got, events)
}

const REST: f64 = 4.7826;
const LEFT: f64 = 2.921;
const OPEN: f64 = 4.99;

#[test]
fn a_dip_hides_no_event_that_outlasts_it() {
    let short = [
        (250, REST, 13.8, "off"),
        (500, LEFT, 13.8, "off"),
        (3, 2.0, 8.5, "off"),
        (500, LEFT, 13.8, "off"),
        (250, REST, 13.8, "off"),
    ];
    let (.., events) = told(&by_hand(&fine, &short));
    let seen: Vec<_> = events.iter().map(|one| (one.0, one.1, one.2)).collect();
    assert_eq!(
        seen,
        [(EventKind::WrongAction, 5.0, 25.06), (EventKind::Dip, 15.0, 15.06)],
        "{events:#?}"
    );
    // A dip that itself stands as long as the debounce, with slopes.
    let long = [
        (250, REST, 13.8, "off"),
        (500, LEFT, 13.8, "off"),
        (3, LEFT, 11.0, "off"),
        (10, 2.0, 8.5, "off"),
        (3, LEFT, 11.0, "off"),
        (500, LEFT, 13.8, "off"),
        (250, REST, 13.8, "off"),
    ];
    let (.., events) = told(&by_hand(&fine, &long));
    let seen: Vec<_> = events.iter().map(|one| (one.0, one.1, one.2)).collect();
    assert_eq!(
        seen,
        [
            (EventKind::WrongAction, 5.0, 15.06),
            (EventKind::Dip, 15.0, 15.32),
            (EventKind::WrongAction, 15.26, 25.32)
        ],
        "{events:#?}"
    );
}

#[test]
fn chatter_at_either_end_and_through_the_whole_log_is_found() {
    let chatter: Vec<_> =
        (0..75).flat_map(|_| [(1, OPEN, 13.8, "on"), (1, LEFT, 13.8, "on")]).collect();
    let good = [(250, LEFT, 13.8, "on")];
    let at_end: Vec<_> = good.iter().chain(&chatter).copied().collect();
    let at_begin: Vec<_> = chatter.iter().chain(&good).copied().collect();
    for (name, parts, from_s, to_s) in [
        ("at the end", &at_end, 5.0, 7.98),
        ("at the beginning", &at_begin, 0.0, 2.98),
        ("throughout", &chatter, 0.0, 2.98),
    ] {
        let (.., events) = told(&by_hand(&fine, parts));
        assert_eq!(events.len(), 1, "{name}: {events:#?}");
        let (kind, from, to, times, _) = &events[0];
        assert_eq!(
            (*kind, *from, *to, *times),
            (EventKind::Intermittent, from_s, to_s, 75),
            "{name}"
        );
    }
    // A hand that moves while the recorder starts or stops is no event.
    let moving = [
        (2, REST, 13.8, "off"),
        (2, 3.9, 13.8, "on"),
        (200, LEFT, 13.8, "on"),
        (2, 3.9, 13.8, "on"),
        (2, REST, 13.8, "off"),
    ];
    let (.., events) = told(&by_hand(&fine, &moving));
    assert!(events.is_empty(), "{events:#?}");
}

#[test]
fn a_clock_of_whole_seconds_hides_nothing() {
    let whole = |n: usize| (n / 20).to_string();
    let parts = [(207, REST, 13.8, "off"), (100, LEFT, 13.8, "off"), (193, REST, 13.8, "off")];
    let (log, got, events) = told(&by_hand(&whole, &parts));
    assert!((log.step_s - 0.05).abs() < 1e-9 && log.is_regular);
    assert!(log.notes.iter().any(|note| note.contains("evenly apart")), "{:?}", log.notes);
    let seen: Vec<_> = events.iter().map(|one| (one.0, one.1, one.2)).collect();
    assert_eq!(seen, [(EventKind::WrongAction, 10.35, 15.35)]);
    assert!((got.summary.span_s - 25.0).abs() < 1e-6);
    // Begun and ended between two ticks.
    let late = |n: usize| ((n + 13) / 20).to_string();
    let (log, _, events) = told(&by_hand(&late, &parts));
    assert!(log.time_s.windows(2).all(|pair| (pair[1] - pair[0] - 0.05).abs() < 1e-9));
    assert_eq!((events.len(), events[0].1, events[0].2), (1, 10.35, 15.35));
    let (log, ..) = told(&by_hand(&|_| "7".to_owned(), &parts));
    assert!(log.notes.iter().any(|note| note.contains("all rows have one time")));
}

#[test]
fn what_may_have_counted_is_not_called_harmless() {
    let coarse = |n: usize| format!("{:.1}", n as f64 * 0.2);
    let parts = [(50, REST, 13.8, "off"), (1, LEFT, 13.8, "off"), (50, REST, 13.8, "off")];
    let mut project = samples::open("sprayer").unwrap();
    let id = project.sense_pins.ids().next().unwrap();
    let harm =
        |project: &Project, got: &Replay| got.events[0].harm(project.sense_pins.get(id).unwrap());
    let (_, got, events) = told(&by_hand(&coarse, &parts));
    assert_eq!((events.len(), events[0].0), (1, EventKind::Brief));
    assert!(events[0].4.contains("a single row: it may have stood the 80 ms that count"));
    assert_eq!(harm(&project, &got), Harm::Nuisance);
    let (_, got, events) = told(&by_hand(&fine, &parts));
    assert!(events[0].4.ends_with("the controller takes no notice"), "{events:#?}");
    assert_eq!(harm(&project, &got), Harm::Harmless);
    project.sense_pins.get_mut(id).unwrap().debounce_ms = None;
    let (_, got, events) = told_of(&project, &by_hand(&fine, &parts));
    assert!(events[0].4.contains("shorter than 50 ms"), "{events:#?}");
    assert!(events[0].4.ends_with("if that is the debounce, which is not known"), "{events:#?}");
    assert_eq!(harm(&project, &got), Harm::Nuisance);
}

#[test]
fn a_time_without_unit_is_in_seconds() {
    let ten = |n: usize| (n * 10).to_string();
    let parts = [(40, REST, 13.8, "off"), (1, LEFT, 13.8, "off"), (40, REST, 13.8, "off")];
    let text = by_hand(&ten, &parts).replacen("time (s)", "time", 1);
    let (log, _, events) = told(&text);
    assert_eq!(log.step_s, 10.0);
    assert_eq!(log.notes, ["unit of the time not given: taken as s"]);
    assert_eq!((events.len(), events[0].1, events[0].2), (1, 400.0, 410.0));
    assert!(events[0].4.contains("away from ALL OFF for 10.00 s, a single row"), "{events:#?}");
}

#[test]
fn a_centre_that_stands_off_is_not_told_as_moving() {
    let (.., events) = told(&by_hand(&fine, &[(3000, 2.985, 13.8, "on")]));
    assert_eq!((events.len(), events[0].0), (1, EventKind::Drift), "{events:#?}");
    let words = &events[0].4;
    assert!(words.contains("stands at 2.985 V; the drawing gives 2.92"), "{words}");
    assert!(!words.contains("went from") && !words.contains("at that rate"), "{words}");
}
