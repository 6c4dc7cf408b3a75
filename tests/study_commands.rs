//! The commands that study a project, run as a person runs them: faults, budget, choose, infer, and what
//! a cut list tells beside its lengths.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use ohmloom::model::{PartKind, Twist};
use ohmloom::{samples, store};
use serde_json::Value;
use tempfile::TempDir;

struct Done {
    code: i32,
    out: String,
    err: String,
}

fn run(args: &[&str]) -> Done {
    let output = Command::new(env!("CARGO_BIN_EXE_ohmloom"))
        .args(args)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    Done {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn sample(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("sample-projects").join(name).with_extension("ohmloom").to_string_lossy().into_owned()
}

fn sample_log() -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("sample-projects/sprayer-log.csv").to_string_lossy().into_owned()
}

/// Compares with a golden file; `UPDATE_GOLDEN=1` writes it anew.
#[track_caller]
fn golden(args: &[&str], file: &str) {
    let done = run(args);
    assert!(done.code < 2 && done.err.is_empty(), "{args:?}: {}", done.err);
    assert_eq!(done.out, run(args).out, "not the same bytes on every run");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(file);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        fs::write(&path, &done.out).unwrap();
    }
    let want = fs::read_to_string(&path).unwrap();
    assert!(want.len() < 20_000, "{file} is too long to be read");
    for (n, (got, want)) in done.out.lines().zip(want.lines()).enumerate() {
        assert_eq!(got, want, "{file}, line {}", n + 1);
    }
    assert_eq!(done.out, want, "{file}");
}

#[test]
fn the_set_up_the_story_and_the_sign_off_are_written() {
    let forwarder = sample("forwarder");
    golden(&["setup", &forwarder], "forwarder-setup.txt");
    golden(&["setup", &forwarder, "--format", "csv"], "forwarder-setup.csv");
    golden(&["setup", &forwarder, "--format", "json"], "forwarder-setup.json");
    let walk = "Gate=HOLD; tap Lever=fore; wait 2 s; Gate=AUTO; switch on";
    golden(&["setup", &forwarder, "--walk", walk], "forwarder-walk.txt");
    let signed = run(&["setup", &forwarder, "--sign-off"]);
    assert_eq!(signed.code, 1, "the bench test is not done");
    for walk in ["Gate=SIDEWAYS", "wait 0 s", "wait long", "Gate=HOLD,Neutral=neutral"] {
        assert_eq!(run(&["setup", &forwarder, "--walk", walk]).code, 2, "{walk}");
    }
    assert_eq!(run(&["setup", &sample("railcar"), "--walk", "switch on"]).code, 2);
}

#[test]
fn tables_lists_and_documents_stay_as_they_are() {
    let (sprayer, forwarder) = (sample("sprayer"), sample("forwarder"));
    golden(&["faults", &sprayer, "--state", "LEFT=on", "--format", "csv"], "sprayer-faults.csv");
    golden(&["faults", &forwarder, "--dangerous"], "forwarder-faults.txt");
    let start = ["--moves", "--state", "CENTRE=on", "--skew", "90", "--bounce", "2"];
    golden(&[&["faults", &sprayer][..], &start].concat(), "sprayer-moves.txt");
    golden(&[&["faults", &sprayer, "--format", "csv"][..], &start].concat(), "sprayer-moves.csv");
    let ends = ["--from", "X1-3", "--to", "X1-4"];
    golden(&[&["permit", &forwarder][..], &ends].concat(), "forwarder-permit.txt");
    golden(
        &[&["permit", &forwarder, "--format", "csv"][..], &ends].concat(),
        "forwarder-permit.csv",
    );
    golden(&["budget", &sprayer], "sprayer-budget.txt");
    golden(&["budget", &sprayer, "--format", "json"], "sprayer-budget.json");
    golden(
        &["choose", &sprayer, "--change", "R1,R2,R3", "--teach", "--format", "csv"],
        "sprayer-choose.csv",
    );
    golden(&["choose", &forwarder, "--change", "R1,R3", "--series", "E48"], "forwarder-choose.txt");
}

#[test]
fn the_bench_test_and_the_diagnosis_stay_as_they_are() {
    let (sprayer, forwarder) = (sample("sprayer"), sample("forwarder"));
    golden(&["bench", &sprayer, "--only", "mirror,ohms,volts"], "sprayer-bench.txt");
    golden(&["bench", &forwarder, "--only", "permit", "--format", "csv"], "forwarder-bench.csv");
    let readings = ["--reading", "LEFT=on:1545", "--reading", "CENTRE=on:1974"];
    golden(&[&["diagnose", &sprayer][..], &readings].concat(), "sprayer-diagnose.txt");
    let open = ["--reading", "Gate=HOLD:OL", "--format", "csv"];
    golden(&[&["diagnose", &forwarder][..], &open].concat(), "forwarder-diagnose.csv");
}

#[test]
fn a_recorded_log_is_told_as_table_list_and_document() {
    let (sprayer, log) = (sample("sprayer"), sample_log());
    golden(&["replay", &sprayer, &log], "sprayer-replay.txt");
    golden(&["replay", &sprayer, &log, "--format", "csv"], "sprayer-replay.csv");
    let done = run(&["replay", &sprayer, &log, "--format", "json"]);
    assert_eq!(done.code, 1, "{}", done.err);
    let document: Value = serde_json::from_str(&done.out).unwrap();
    let kinds: Vec<&str> = document["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|event| event["kind"].as_str().unwrap())
        .collect();
    let want = [
        "supply dip",
        "drift",
        "shorter than the debounce",
        "intermittent contact",
        "wrong action",
        "in a guard",
        "open or short",
    ];
    assert_eq!(kinds, want);
    assert_eq!(document["rows"], 2832);
    let shares: f64 =
        document["bands"].as_array().unwrap().iter().map(|b| b["share"].as_f64().unwrap()).sum();
    assert!((shares - 1.0).abs() < 1e-5);
    // Without the columns of the controls no action is a wrong one.
    let blind = ["--columns", "text=LEFT,text=CENTRE,text=RIGHT", "--format", "csv"];
    let done = run(&[&["replay", &sprayer, &log][..], &blind].concat());
    assert!(!done.out.contains("wrong action") && done.out.contains("in a guard"), "{}", done.out);
}

#[test]
fn a_log_that_cannot_be_read_is_refused_in_words_and_never_written() {
    let folder = TempDir::new().unwrap();
    let put = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_string_lossy().into_owned()
    };
    let sprayer = sample("sprayer");
    let good = put("good.csv", "s,V\n0,4.783\n1,4.783\n2,x\n3,4.783\n");
    let done = run(&["replay", &sprayer, &good]);
    assert_eq!(done.code, 1, "a row is missing");
    assert!(done.out.contains("line 4, column 2 (V): expected a reading"), "{}", done.out);
    let letter = put("letter.csv", "Dear reader,\nnothing.\n");
    let bad = put("bad.csv", "s,V\nx,4.7\ny,4.7\n");
    for (args, words) in [
        (vec!["replay", &sprayer, &letter], "expected rows with a time and a reading"),
        (vec!["replay", &sprayer, &bad], "expected rows with a time and a reading"),
        (vec!["replay", &sprayer, "gone.csv"], "gone.csv"),
        (vec!["replay", &sprayer, &good, "--columns", "time=9"], "from 1 to 2"),
        (vec!["replay", &sprayer, &good, "--columns", "weight=1"], "or a control"),
        (vec!["replay", &sprayer, &good, "--pin", "X9-9"], "expected one of the sense pins"),
        (vec!["replay", &sprayer, &good, "--out", &good], "over the log itself"),
        (vec!["replay", &sample("forwarder"), &good], "the log is in volts"),
    ] {
        let done = run(&args);
        assert_eq!(done.code, 2, "{args:?}: {}", done.out);
        assert!(done.err.contains(words), "{args:?}: {}", done.err);
    }
    assert!(fs::read_to_string(&good).unwrap().ends_with("3,4.783\n"));
}

#[test]
fn the_bench_test_and_the_diagnosis_speak_to_scripts_and_refuse_in_words() {
    let done = run(&["bench", &sample("sprayer"), "--format", "json"]);
    assert_eq!(done.code, 0, "{}", done.err);
    let document: Value = serde_json::from_str(&done.out).unwrap();
    let left = document["steps"]
        .as_array()
        .unwrap()
        .iter()
        .find(|step| step["kind"] == "ohms by state" && step["controls"]["LEFT"] == "on")
        .unwrap();
    assert_eq!(left["unit"], "ohm");
    assert!(left["low"].as_f64().unwrap() < left["usual"].as_f64().unwrap());
    // The forwarder's pull is not known, so its volts cannot be tested yet, and the step says why.
    let done = run(&["bench", &sample("forwarder"), "--only", "volts"]);
    assert_eq!(done.code, 1);
    assert!(done.out.contains("the pull resistor is not known"), "{}", done.out);
    let done = run(&["bench", &sample("forwarder"), "--only", "nothing"]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("expected one of tape measure"), "{}", done.err);

    let within = run(&["diagnose", &sample("sprayer"), "--reading", "LEFT=on:1405"]);
    assert_eq!(within.code, 0, "{}", within.out);
    assert!(within.out.contains("Every reading lies within its limits"), "{}", within.out);
    let high =
        run(&["diagnose", &sample("sprayer"), "--reading", "LEFT=on:3.4V", "--format", "json"]);
    assert_eq!(high.code, 1);
    let document: Value = serde_json::from_str(&high.out).unwrap();
    assert_eq!(document["readings"][0]["within"], false);
    assert!(document["ranked"].as_array().unwrap().len() >= 2);
    for (reading, words) in [
        ("LEFT=on", "expected a reading such as"),
        ("LEFT=on:soon", "expected a reading such as 2.88k"),
        ("MIDDLE=on:5", "expected one of the controls"),
    ] {
        let done = run(&["diagnose", &sample("sprayer"), "--reading", reading]);
        assert_eq!(done.code, 2, "{reading}");
        assert!(done.err.contains(words), "{reading}: {}", done.err);
    }
}

#[test]
fn faults_as_a_document_have_the_fields_a_script_expects() {
    let done = run(&["faults", &sample("forwarder"), "--format", "json"]);
    // Actions of this sample are marked dangerous, and some fault makes one.
    assert_eq!(done.code, 1);
    let rows: Value = serde_json::from_str(&done.out).unwrap();
    let rows = rows.as_array().unwrap();
    assert!(rows.len() > 100);
    let row = rows.iter().find(|row| row["fault"] == "S1 stuck closed").unwrap();
    assert_eq!(row["kind"], "stuck contact");
    assert_eq!(row["worst"], "wrong action");
    assert_eq!(row["harm"], "dangerous");
    assert_eq!(row["where"][0], "contact S1");
    assert_eq!(row["twins"][0], "S1-2 shorted to G1");
    let states = row["states"].as_array().unwrap();
    assert_eq!(states.len(), 16);
    let rest = &states[0];
    assert_eq!(rest["controls"]["Gate"], "AUTO");
    // 6.81 kΩ alone, by the drawing.
    assert_eq!(rest["ohm"], 6810.0);
    assert_eq!((&rest["band"], &rest["verdict"]), (&"HOLD".into(), &"wrong action".into()));
    assert!(rest["volt"].is_null(), "its pull is not known");
    let dangerous = run(&["faults", &sample("forwarder"), "--dangerous", "--format", "json"]);
    let fewer: Value = serde_json::from_str(&dangerous.out).unwrap();
    assert!(fewer.as_array().unwrap().iter().all(|row| row["harm"] == "dangerous"));
}

/// By hand on the sprayer: from CENTRE to LEFT with LEFT first both are on until the second hand
/// follows, 90 ms; the debounce is 80 ms.
#[test]
fn moves_as_a_document_hold_stretches_and_stays() {
    let start = ["--state", "CENTRE=on", "--skew", "90 ms", "--bounce", "2"];
    let sprayer = sample("sprayer");
    let done = run(&[&["faults", &sprayer, "--moves", "--format", "json"][..], &start].concat());
    assert_eq!((done.code, done.err.as_str()), (0, ""), "no action of this sample is dangerous");
    let rows: Value = serde_json::from_str(&done.out).unwrap();
    let rows = rows.as_array().unwrap();
    // Three toggles alone, three pairs in two orders.
    assert_eq!(rows.len(), 9);
    let wanted = "LEFT off to on, then CENTRE on to off";
    let row = rows.iter().find(|row| row["move"] == wanted).unwrap();
    assert_eq!((&row["start"]["CENTRE"], &row["end"]["LEFT"]), (&"on".into(), &"on".into()));
    let stretches = row["stretches"].as_array().unwrap();
    assert_eq!(stretches.len(), 2);
    assert_eq!(stretches[0]["may_show"].as_array().unwrap().len(), 2, "it bounces");
    assert_eq!((&stretches[1]["from_ms"], &stretches[1]["to_ms"]), (&2.0.into(), &90.0.into()));
    let stay = &row["stays"][0];
    assert_eq!(stay["band"], "LEFT+CENTRE");
    assert_eq!((&stay["at_most_ms"], &stay["counts"]), (&90.0.into(), &true.into()));
    assert_eq!(stay["does"], "on the way");
}

/// By hand on the railcar: the front desk key grounds its own line, by one contact.
#[test]
fn a_permit_loop_as_a_document_has_its_table_and_its_mistakes() {
    let railcar = sample("railcar");
    let args = ["permit", &railcar, "--from", "x1-9", "--to", "G3", "--format", "json"];
    let done = run(&args);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let found: Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(found["rule"], "closed only while Key front is in");
    let states: Vec<(&Value, &Value)> = found["states"]
        .as_array()
        .unwrap()
        .iter()
        .map(|state| (&state["controls"]["Key front"], &state["closed"]))
        .collect();
    assert_eq!(states, [(&"out".into(), &false.into()), (&"in".into(), &true.into())]);
    let mistakes = found["mistakes"].as_array().unwrap();
    let bridged = mistakes.iter().find(|row| row["mistake"] == "S9 bridged or welded").unwrap();
    assert_eq!(bridged["does"], "permits wrongly");
    assert_eq!(bridged["permits"][0]["Key front"], "out");
    let broken = mistakes.iter().find(|row| row["mistake"] == "wire C7 broken").unwrap();
    assert_eq!((&broken["does"], &broken["where"]), (&"blocks".into(), &"wire C7".into()));
    assert!(found["cautions"].as_array().unwrap().len() > 4);
    // From one key to the other the loop goes through ground: that is said, and is a problem.
    let through = run(&["permit", &railcar, "--from", "X1-9", "--to", "X1-10"]);
    assert_eq!(through.code, 1);
    assert!(through.out.contains("! The loop is also wired to G3"), "{}", through.out);
}

#[test]
fn one_state_is_asked_for_by_name() {
    let state = "Gate=HOLD,Lever=fore";
    let done = run(&["faults", &sample("forwarder"), "--state", state, "--format", "json"]);
    let rows: Value = serde_json::from_str(&done.out).unwrap();
    for row in rows.as_array().unwrap() {
        let states = row["states"].as_array().unwrap();
        assert_eq!(states.len(), 1);
        assert_eq!(states[0]["controls"]["Lever"], "fore (UP)");
    }
}

#[test]
fn choices_come_with_values_and_proof() {
    let args =
        ["choose", &sample("sprayer"), "--change", "R1,R2,R3", "--teach", "--format", "json"];
    let done = run(&args);
    assert_eq!(done.code, 0);
    let found: Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!((&found["proven"], &found["unit"]), (&true.into(), &"V".into()));
    let best = &found["best"][0];
    let values: Vec<f64> =
        best["values"].as_array().unwrap().iter().map(|v| v["ohm"].as_f64().unwrap()).collect();
    assert_eq!(values, [1500.0, 2000.0, 3300.0]);
    assert_eq!(found["best"].as_array().unwrap().len(), 10);
}

#[test]
fn a_drawer_is_read_from_a_file() {
    let home = TempDir::new().unwrap();
    let list = home.path().join("drawer.txt");
    fs::write(&list, "1k5 x2, 2k x1\n3k3, 4k7 5% x4").unwrap();
    let list = list.to_string_lossy().into_owned();
    let sprayer = sample("sprayer");
    let args = ["choose", &sprayer, "--change", "R1,R2,R3", "--teach", "--drawer", &list];
    let done = run(&args);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    assert!(done.out.contains("1.500 kΩ  2.000 kΩ  3.300 kΩ"), "{}", done.out);
    fs::write(home.path().join("drawer.txt"), "1k5 of them").unwrap();
    let refused = run(&args);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("found \"of\""), "{}", refused.err);
}

#[test]
fn measured_figures_tell_pull_and_reference() {
    let pull = run(&["infer", "pull", "--ohm", "2k2", "--volt", "3.4375", "--reference", "5"]);
    assert_eq!((pull.code, pull.out.as_str()), (0, "The pull is 1.000 kΩ.\n"));
    let home = TempDir::new().unwrap();
    let file = home.path().join("measured.txt");
    // 5 V over 1 kΩ: 5 × R / (R + 1000), to the millivolt.
    fs::write(&file, "R V\n470 1,599\n1k5 3,000\n4k7 4,123\n").unwrap();
    let file = file.to_string_lossy().into_owned();
    let done = run(&["infer", "table", &file, "--format", "json"]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let found: Value = serde_json::from_str(&done.out).unwrap();
    assert!((found["pull_ohm"].as_f64().unwrap() / 1000.0 - 1.0).abs() < 2e-3);
    assert!((found["reference_volt"].as_f64().unwrap() / 5.0 - 1.0).abs() < 2e-3);
    let presses =
        run(&["infer", "presses", "--one", "6k81", "--other", "3k48", "--both", "2.303k"]);
    assert!(presses.out.contains("side by side"), "{}", presses.out);
}

#[test]
fn what_cannot_be_done_is_said_in_one_sentence() {
    let sprayer = sample("sprayer");
    for (args, part) in [
        (&["faults", &sprayer, "--state", "LEFT=up"][..], "off, on"),
        (&["faults", &sprayer, "--state", "left"], "such as"),
        (&["faults", &sprayer, "--moves", "--skew", "soon"], "milliseconds such as 30"),
        (&["faults", &sprayer, "--moves", "--bounce=-1"], "milliseconds from 0"),
        (&["permit", &sprayer, "--from", "X9-1", "--to", "X1-5"], "X9-1"),
        (&["permit", &sprayer, "--from", "X1-5", "--to", "x1-5"], "X1-5 twice"),
        (&["budget", &sprayer, "--state", "Gate=on"], "LEFT, CENTRE, RIGHT"),
        (&["choose", &sprayer, "--change", "R9"], "R1, R2, R3, R4"),
        (&["choose", &sprayer, "--change", "R1,r1"], "twice"),
        (&["choose", &sprayer, "--change", "R1", "--series", "E7"], "E24"),
        (&["choose", &sprayer, "--change", "R1", "--decades", "10k..1k"], "100..100k"),
        (&["choose", &sprayer, "--change", "R1", "--pin", "X9-9"], "X1-5"),
        (&["infer", "pull", "--ohm", "2k2", "--volt", "6", "--reference", "5"], "between 0 and"),
        (&["infer", "table", "no-such-file.txt"], "no such file"),
    ] {
        let done = run(args);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{args:?}");
        assert!(done.err.contains(part) && done.err.trim().lines().count() == 1, "{}", done.err);
    }
}

/// The sprayer with two rounds: all at rest has 400 Ω more after four years, everything else as it
/// was read at the hand-over.
fn two_rounds(folder: &std::path::Path) -> String {
    use ohmloom::edit::{Edit, apply};
    use ohmloom::model::{BenchReading, BenchRun, Shown};
    use ohmloom::proving::plan::{Limits, StepKind, plan};
    let mut project = ohmloom::samples::open("sprayer").unwrap();
    let steps = plan(&project, &|| true).unwrap().steps;
    for (name, date, more) in [("hand-over", "2027-03-14", 0.0), ("fourth year", "2031-03-14", 1.0)]
    {
        let mut run = BenchRun { name: name.into(), date: date.into(), ..BenchRun::default() };
        run.is_hand_over = more == 0.0;
        for step in steps.iter().filter(|step| step.kind == StepKind::Ohms) {
            let Some(Limits::Figure { usual, .. }) = step.limits else { continue };
            // 140 Ω in series with everything.
            let shown = Some(Shown::Ohm(usual + 140.0 * more));
            let (note, drawing) = (String::new(), step.drawing);
            let reading = BenchReading { shown, last_digit: 0.0, note, drawing };
            run.readings.insert(step.key.clone(), reading);
        }
        apply(&mut project, Edit::AddBenchRun(Box::new(run))).unwrap();
    }
    let path = folder.join("worn.ohmloom");
    std::fs::write(&path, ohmloom::store::write(&project)).unwrap();
    path.display().to_string()
}

#[test]
fn two_rounds_are_compared_by_command() {
    let folder = tempfile::TempDir::new().unwrap();
    let worn = two_rounds(folder.path());
    let done = run(&["bench", &worn, "--wear"]);
    assert_eq!(done.code, 1, "{}", done.err);
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = flat(&done.out);
    assert!(words.contains("hand-over (2027-03-14) against fourth year (2031-03-14)"), "{words}");
    assert!(words.contains("has 140.0 Ω more than then"), "{words}");
    let done = run(&["bench", &worn, "--wear", "--format", "json"]);
    let document: Value = serde_json::from_str(&done.out).unwrap();
    let pin = &document["pins"][0];
    assert_eq!((pin["aged"].as_bool(), pin["readings"].as_array().unwrap().len()), (Some(true), 8));
    assert!((pin["places"][0]["more_ohm"].as_f64().unwrap() - 140.0).abs() < 1.0);
    let done = run(&["bench", &worn, "--wear", "--format", "csv"]);
    assert_eq!(done.out.lines().count(), 9);
    // The other way round nothing has more ohms than then.
    let done = run(&["bench", &worn, "--wear", "--rounds", "fourth year,hand-over"]);
    let words = flat(&done.out);
    assert!(words.contains("no contact, joint or wire would change them so"), "{words}");
    let done = run(&["bench", &worn, "--wear", "--rounds", "one,other"]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("expected one of hand-over, fourth year"), "{}", done.err);
    // Which of two of the same name is meant is not guessed.
    let text = std::fs::read_to_string(&worn).unwrap();
    std::fs::write(&worn, text.replace("fourth year", "hand-over")).unwrap();
    let done = run(&["bench", &worn, "--wear", "--rounds", "hand-over,hand-over"]);
    assert_eq!((done.code, done.out.as_str()), (2, ""));
    assert!(done.err.contains("2 rounds are named \"hand-over\""), "{}", done.err);
    assert!(done.err.contains("hand-over (2031-03-14)"), "{}", done.err);
    let done = run(&["bench", &sample("sprayer"), "--wear"]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("marked as the hand-over"), "{}", done.err);
}

#[test]
fn another_version_is_compared_with() {
    let home = TempDir::new().unwrap();
    let mut built = samples::open("sprayer").unwrap();
    let (id, _) = built.wires.iter().find(|(_, wire)| wire.name == "A7").unwrap();
    built.wires.get_mut(id).unwrap().typed_length_mm = Some(1000.0);
    let path = home.path().join("built.ohmloom");
    fs::write(&path, store::write(&built)).unwrap();
    let against = |other: &str, format: &str| {
        run(&["cut", &sample("sprayer"), "--against", other, "--format", format])
    };
    let same = against(&sample("sprayer"), "table");
    assert_eq!(same.code, 0);
    assert!(same.out.contains("8 stay, 0 change, 0 new, 0 go"));
    let other = path.display().to_string();
    let table = against(&other, "table");
    assert_eq!(table.code, 1);
    assert!(table.out.contains("cut anew"), "{}", table.out);
    let document = json(&against(&other, "json").out);
    let a7 = &document["wires"][6];
    assert_eq!((a7["wire"].as_str(), a7["fate"].as_str()), (Some("A7"), Some("changes")));
    // 1000 x 1.03 + 30 + 80, rounded up to 10.
    assert_eq!(a7["different"][0]["before"], "1140 mm");
    assert_eq!(a7["different"][0]["now"], "2150 mm");
    assert!(against(&other, "csv").out.starts_with("wire,fate,to_do,different,markers_to_redo"));
    assert_eq!(against("no such file", "table").code, 2);
    // A resistor that differs is told; what else differs at parts is said not to be.
    let mut other_value = samples::open("sprayer").unwrap();
    let ohm = other_value.parts.iter().find_map(|(id, part)| match &part.kind {
        PartKind::Resistor(_) => Some((id, part.name.clone())),
        _ => None,
    });
    let (id, name) = ohm.unwrap();
    let PartKind::Resistor(resistor) = &mut other_value.parts.get_mut(id).unwrap().kind else {
        panic!("{name}")
    };
    resistor.ohm = 1234.0;
    fs::write(&path, store::write(&other_value)).unwrap();
    let told = against(&other, "table");
    assert_eq!(told.code, 1);
    let line = format!("resistor {name} changes: 1.234 kΩ 1 % 0.25 W → ");
    assert!(told.out.contains(&line) && told.out.contains("swap it"), "{}", told.out);
    let document = json(&against(&other, "json").out);
    let resistors = document["resistors"].as_array().unwrap();
    assert_eq!(resistors.len(), 1, "only that one differs");
    assert_eq!(
        (resistors[0]["resistor"].as_str(), resistors[0]["before_ohm"].as_f64()),
        (Some(&*name), Some(1234.0))
    );
    assert_eq!(resistors[0]["to_do"], "swap it");
    let csv = against(&other, "csv").out;
    let row = csv.lines().find(|line| line.ends_with(&format!(",{name}"))).unwrap();
    assert!(row.starts_with(",changes,swap it,1.234 kΩ 1 % 0.25 W → "), "{row}");
    assert!(told.out.contains("no other part is"), "{}", told.out);
    // A name that stands twice cannot be told apart, and that is not nothing.
    let is_other = |part: &ohmloom::model::Part| matches!(part.kind, PartKind::Resistor(_));
    let mut parts = built.parts.iter();
    let twin = parts.find(|(_, part)| is_other(part) && part.name != name).unwrap().0;
    other_value.parts.get_mut(twin).unwrap().name = name.clone();
    fs::write(&path, store::write(&other_value)).unwrap();
    let told = against(&other, "table");
    let words = format!("{name} stands for several resistors: compare by hand");
    assert!(told.code == 1 && told.out.contains(&words), "{}", told.out);
    let document = json(&against(&other, "json").out);
    assert_eq!(document["resistors_to_compare_by_hand"][0], *name);
    let csv = against(&other, "csv").out;
    assert!(csv.contains(",not known,compare by hand,"), "{csv}");
}

/// A twisted pair of 1.9 mm wires with a turn every 40 mm takes sqrt(1 + (π 1.9 / 40)²) of its way.
#[test]
fn a_cut_list_tells_how_its_lengths_come_about() {
    let plain = run(&["cut", &sample("sprayer")]);
    let rule = "Cut = routed × 1.03 + allowance (both ends and loops), rounded up to 10 mm.";
    assert!(plain.out.contains(rule), "{}", plain.out);
    assert!(!plain.out.contains("twist"));
    let home = TempDir::new().unwrap();
    let mut project = samples::open("sprayer").unwrap();
    for name in ["A1", "A2"] {
        let (id, _) = project.wires.iter().find(|(_, wire)| wire.name == name).unwrap();
        let pair = "P1".to_owned();
        project.wires.get_mut(id).unwrap().make.twist = Some(Twist { pair, lay_mm: 40.0 });
    }
    let path = home.path().join("twisted.ohmloom");
    fs::write(&path, store::write(&project)).unwrap();
    let file = path.display().to_string();
    let factor = (std::f64::consts::PI * 1.9 / 40.0).hypot(1.0);
    let cut_mm = ((3230.0 * 1.03 * factor + 160.0) / 10.0).ceil() * 10.0;
    let table = run(&["cut", &file]).out;
    let row = table.lines().find(|line| line.starts_with("A1 ")).unwrap();
    assert!(
        row.contains(&format!("× {factor:.4}")) && row.ends_with(&format!("{cut_mm}")),
        "{row}"
    );
    assert!(table.contains("Cut = routed × 1.03 × twist + allowance"), "{table}");
    let document = json(&run(&["cut", &file, "--format", "json"]).out);
    let told = document["wires"][0]["twist_factor"].as_f64().unwrap();
    assert!((told - factor).abs() < 1e-7, "{told}");
    assert_eq!(document["wires"][2]["twist_factor"].as_f64(), Some(1.0));
    assert_eq!(
        (document["length_factor"].as_f64(), document["rounded_up_to_mm"].as_f64()),
        (Some(1.03), Some(10.0))
    );
    let csv = run(&["cut", &file, "--format", "csv"]).out;
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let at = reader.headers().unwrap().iter().position(|head| head == "twist_factor").unwrap();
    let first = reader.records().next().unwrap().unwrap();
    assert_eq!(&first[at], format!("{factor:.5}"));
}

/// What slides on before which end is crimped is told in every form.
#[test]
fn a_cut_list_tells_the_build_order() {
    let table = run(&["cut", &sample("sprayer")]).out;
    let text: String = table.split_whitespace().collect::<Vec<_>>().join(" ");
    let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words}: {text}"));
    assert!(at("Build order - A1: cut to 3490 mm") < at("X3-1: slide on marker \"A1 X3-1/X2P-3\""));
    assert!(at("X3-1: slide on marker") < at("X3-1: crimp"));
    let document = json(&run(&["cut", &sample("sprayer"), "--format", "json"]).out);
    let steps = document["wires"][0]["build_order"].as_array().unwrap();
    assert!(steps.len() > 6 && steps[0].as_str().unwrap().starts_with("cut to 3490 mm"));
    let csv = run(&["cut", &sample("sprayer"), "--format", "csv"]).out;
    assert!(csv.lines().nth(1).unwrap().contains("cut to 3490 mm"), "{csv}");
}
