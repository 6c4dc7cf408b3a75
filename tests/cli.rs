//! The program itself, run as a person or a script runs it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use ohmloom::samples;
use ohmloom::store;
use serde_json::Value;
use tempfile::TempDir;

struct Done {
    code: i32,
    out: String,
    err: String,
}

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ohmloom"));
    command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").stdin(Stdio::null());
    command
}

fn run(args: &[&str]) -> Done {
    done(program().args(args))
}

fn done(command: &mut Command) -> Done {
    let output = command.output().unwrap();
    Done {
        code: output.status.code().expect("the program ended by itself"),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn sample(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("sample-projects").join(name).with_extension("ohmloom").to_string_lossy().into_owned()
}

/// Names of everything in a folder, to see that nothing was added.
fn listing(folder: &Path) -> Vec<PathBuf> {
    let mut names: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    names
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn without_a_display_the_demonstration_is_told_in_text() {
    for args in [&[][..], &["demo"], &["demo", "forwarder"], &[&sample("forwarder")]] {
        let done = run(args);
        assert_eq!((done.code, done.err.as_str()), (0, ""), "{args:?}");
        for part in
            ["X1-11", "1.027 kΩ", "verdict", "Cut list of", "cut mm", "Cautions", "no display"]
        {
            assert!(done.out.contains(part), "{args:?} lacks {part}:\n{}", done.out);
        }
    }
}

#[test]
fn samples_are_listed_and_written_whole() {
    let list = run(&["demo", "--list"]);
    assert_eq!(list.code, 0);
    for sample in samples::LIST {
        assert!(list.out.contains(sample.name) && list.out.contains(sample.title));
    }
    let home = TempDir::new().unwrap();
    let folder = home.path().join("new folder");
    let write =
        |name: Option<&str>| done(program().arg("demo").args(name).arg("--write").arg(&folder));
    assert_eq!(write(Some("sprayer")).code, 0);
    assert_eq!(listing(&folder).len(), 1);
    assert_eq!(write(None).code, 0);
    for sample in samples::LIST {
        let path = folder.join(sample.name).with_extension("ohmloom");
        assert_eq!(fs::read_to_string(&path).unwrap(), sample.text);
    }
    let own = folder.join("railcar.ohmloom");
    fs::write(&own, "my own work").unwrap();
    let refused = write(None);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("other content"), "{}", refused.err);
    assert_eq!(fs::read_to_string(&own).unwrap(), "my own work");
    assert_eq!(listing(&folder).len(), samples::LIST.len());
}

#[test]
fn exit_codes_tell_fine_from_problems() {
    for (command, name, code) in [
        ("check", "forwarder", 0),
        ("check", "sprayer", 0),
        ("check", "railcar-first-attempt", 1),
        ("states", "sprayer", 0),
        ("states", "railcar-first-attempt", 1),
        ("cut", "forwarder", 0),
        ("cut", "rescue-boat", 0),
        ("route", "sprayer", 0),
        ("route", "rescue-boat", 0),
    ] {
        for format in ["table", "csv", "json"] {
            let done = run(&[command, &sample(name), "--format", format]);
            assert_eq!((done.code, done.err.as_str()), (code, ""), "{command} {name} {format}");
            assert!(done.out.ends_with('\n'));
        }
    }
}

#[test]
fn a_wire_without_length_is_a_problem_that_stays_in_the_list() {
    let home = TempDir::new().unwrap();
    let mut project = samples::open("sprayer").unwrap();
    let last = project.runs.ids().next_back().unwrap();
    project.runs.remove(last);
    let path = home.path().join("short of a run.ohmloom");
    fs::write(&path, store::write(&project)).unwrap();
    let done = done(program().arg("cut").arg(&path).args(["--format", "json"]));
    assert_eq!(done.code, 1);
    let wires = json(&done.out)["wires"].as_array().unwrap().clone();
    assert_eq!(wires.len(), 8);
    let a3 = wires.iter().find(|wire| wire["wire"] == "A3").unwrap();
    assert!(a3["cut_mm"].is_null());
    assert!(a3["note"].as_str().unwrap().contains("no run leads from"), "{a3}");
}

/// The sprayer's figures are worked out by hand in `tests/data/machines/sprayer.json`.
#[test]
fn pieces_on_hand_are_allotted_and_the_rest_is_to_buy() {
    let file = sample("sprayer");
    let table = run(&["cut", &file, "--pieces"]);
    assert_eq!((table.code, table.err.as_str()), (0, ""));
    for words in ["Cut from pieces: optimal", "rejected: measures 1.30 times", "new wire", "4.25"] {
        assert!(table.out.contains(words), "{words}: {}", table.out);
    }
    assert!(table.out.lines().all(|line| line.chars().count() <= 120));
    let document = json(&run(&["cut", &file, "--pieces", "--format", "json"]).out);
    assert_eq!(document["proof"], "optimal");
    assert_eq!(document["new_mm"], 4250.0);
    let sa3 = &document["pieces"][2];
    assert_eq!((sa3["piece"].as_str(), sa3["left_mm"].as_f64()), (Some("SA3"), Some(360.0)));
    assert_eq!(sa3["cuts"][1]["starts_mm"], 4250.0);
    let csv = run(&["cut", &file, "--pieces", "--format", "csv"]).out;
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let count = |list: &str| rows.iter().filter(|row| &row[0] == list).count();
    assert_eq!((count("piece"), count("rejected"), count("cut")), (4, 2, 8));
}

/// Our own worked example: gate in HOLD, lever fore: 6.81 k beside 1.21 k is 1.0274 k.
#[test]
fn states_in_json_have_the_promised_shape() {
    let done = run(&["states", &sample("forwarder"), "--format", "json"]);
    let document = json(&done.out);
    assert!(document["project"].is_string());
    let pin = &document["pins"][0];
    assert_eq!(pin["pin"], "X1-11");
    let states = pin["states"].as_array().unwrap();
    let find = |gate: &str, lever: &str| {
        let at = |row: &&Value, control: &str, start: &str| {
            row["controls"][control].as_str().unwrap().starts_with(start)
        };
        states
            .iter()
            .find(|row| {
                at(row, "Gate", gate)
                    && at(row, "Lever", lever)
                    && at(row, "Rim UP", "off")
                    && at(row, "Rim DOWN", "off")
            })
            .unwrap()
    };
    let up = find("HOLD", "fore");
    let ohm = up["ohm"]["nominal"].as_f64().unwrap();
    assert!((ohm - 6810.0 * 1210.0 / 8020.0).abs() < 1.0, "{ohm}");
    assert_eq!(
        (&up["band"], &up["expect"], &up["verdict"]),
        (&"UP".into(), &"UP".into(), &"ok".into())
    );
    assert_eq!(up["margin"]["unit"], "Ω");
    let (least, most) = (up["ohm"]["low"].as_f64().unwrap(), up["ohm"]["high"].as_f64().unwrap());
    let margin = (least - 930.0).min(1120.0 - most);
    assert!((up["margin"]["value"].as_f64().unwrap() - margin).abs() < 1e-4);
    assert!(up["volt"].is_null() && up["count"].is_null(), "nobody knows the pull: {up}");
    let open = find("AUTO", "centre");
    assert!(open["ohm"]["nominal"].is_null(), "open has no number: {open}");
    let controls: Vec<&String> = open["controls"].as_object().unwrap().keys().collect();
    assert_eq!(controls.len(), 4, "the neutral switch does not matter to this pin: {controls:?}");

    let sprayer = run(&["states", &sample("sprayer"), "--format", "json"]);
    let row = &json(&sprayer.out)["pins"][0]["states"][0];
    for field in ["low", "nominal", "high"] {
        assert!(row["volt"][field].is_f64() && row["count"][field].is_u64(), "{row}");
    }
}

#[test]
fn answers_go_into_files_whole_or_not_at_all() {
    let home = TempDir::new().unwrap();
    let out = home.path().join("cut.csv");
    let file = sample("sprayer");
    let cut =
        |out: &Path| done(program().args(["cut", &file, "--format", "csv", "--out"]).arg(out));
    let written = cut(&out);
    assert_eq!((written.code, written.out.as_str()), (0, ""));
    let text = fs::read_to_string(&out).unwrap();
    assert_eq!(text, run(&["cut", &file, "--format", "csv"]).out);
    let nowhere = cut(&home.path().join("no such folder").join("cut.csv"));
    assert_eq!((nowhere.code, nowhere.err.lines().count()), (2, 1), "{}", nowhere.err);
    let folder = cut(home.path());
    assert_eq!(folder.code, 2);
    assert_eq!(listing(home.path()), std::slice::from_ref(&out));

    let own = home.path().join("own.ohmloom");
    fs::copy(&file, &own).unwrap();
    let over =
        done(program().arg("cut").arg(&own).arg("--out").arg(home.path().join("./own.ohmloom")));
    assert_eq!(over.code, 2);
    assert!(over.err.contains("project file itself"), "{}", over.err);
    assert_eq!(fs::read(&own).unwrap(), fs::read(&file).unwrap());
}

#[test]
fn what_cannot_be_read_is_one_sentence_and_nothing_written() {
    let home = TempDir::new().unwrap();
    let good = fs::read_to_string(sample("forwarder")).unwrap();
    let newer = good.replacen("\"version\": 1", "\"version\": 7", 1);
    assert_ne!(good, newer);
    let half = &good.as_bytes()[..good.len() / 2];
    for (name, bytes) in [
        ("empty", &b""[..]),
        ("half", half),
        ("binary", &[0x7f, b'E', b'L', b'F', 0, 0xff, 0xfe]),
        ("newer", newer.as_bytes()),
        ("prose", b"dear reader"),
        ("other", b"{\"format\": \"something else\"}"),
    ] {
        let path = home.path().join(name).with_extension("ohmloom");
        fs::write(&path, bytes).unwrap();
        let before = listing(home.path());
        let out = home.path().join("answer.csv");
        for command in ["check", "states", "cut", "route"] {
            let done = done(program().arg(command).arg(&path).arg("--out").arg(&out));
            assert_eq!((done.code, done.out.as_str()), (2, ""), "{command} {name}");
            assert_eq!(done.err.trim_end().lines().count(), 1, "{command} {name}: {}", done.err);
            assert!(done.err.contains(name), "names the file: {}", done.err);
        }
        let window = done(program().arg(&path));
        assert_eq!((window.code, window.out.as_str()), (2, ""), "{name}");
        assert_eq!(listing(home.path()), before, "{name}");
        assert_eq!(fs::read(&path).unwrap(), bytes, "{name}");
    }
    for missing in ["no such file.ohmloom", "."] {
        let done = run(&["check", missing]);
        assert_eq!((done.code, done.err.lines().count()), (2, 1), "{}", done.err);
    }
}

#[test]
fn bad_usage_is_refused_and_help_is_not() {
    for args in [
        &["check"][..],
        &["cut", "a", "--format", "pdf"],
        &["demo", "no-such-sample"],
        &["--loud"],
        &["a.ohmloom", "b.ohmloom"],
    ] {
        let done = run(args);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{args:?}");
        assert!(!done.err.is_empty());
    }
    for args in [
        &["--help"][..],
        &["check", "--help"],
        &["states", "-h"],
        &["cut", "--help"],
        &["route", "--help"],
        &["demo", "--help"],
    ] {
        let done = run(args);
        assert_eq!(done.code, 0, "{args:?}");
        assert!(done.out.contains("Examples:") && done.out.contains("Usage:"), "{}", done.out);
    }
    assert!(run(&["--version"]).out.starts_with("ohmloom "));
}

#[test]
fn files_may_have_any_name() {
    let home = TempDir::new().unwrap();
    let mut names = vec![PathBuf::from("größe 'x' \"y\" $(z); & ü漢.ohmloom"), "no ending".into()];
    #[cfg(target_os = "linux")]
    {
        use std::os::unix::ffi::OsStringExt;
        names.push(std::ffi::OsString::from_vec(b"not \xff text.ohmloom".to_vec()).into());
    }
    for name in names {
        let path = home.path().join(name);
        fs::copy(sample("forwarder"), &path).unwrap();
        let done = done(program().arg("check").arg(&path));
        assert_eq!((done.code, done.err.as_str()), (0, ""), "{}", path.display());
    }
    let dashed = home.path().join("-x.ohmloom");
    fs::copy(sample("forwarder"), &dashed).unwrap();
    let done = done(program().current_dir(home.path()).args(["check", "--", "-x.ohmloom"]));
    assert_eq!(done.code, 0, "{}", done.err);
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let mut child = program()
        .args(["states", &sample("railcar"), "--format", "json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_eq!(output.status.code(), Some(1), "the railcar has clashes, printed or not");
}

#[test]
fn tables_fit_the_screen_and_hold_no_control_characters() {
    for sample_row in samples::LIST {
        for command in ["check", "states", "cut", "route"] {
            let done = run(&[command, &sample(sample_row.name)]);
            for line in done.out.lines() {
                let n = line.chars().count();
                assert!(n <= 120, "{command} {}: {n} columns: {line}", sample_row.name);
                assert!(!line.contains(|c: char| c.is_control()), "{line:?}");
                assert_eq!(line, line.trim_end());
            }
        }
    }
}

/// A ladder of so many buttons, all of which ask for their own action.
fn large_ladder(folder: &Path, buttons: usize) -> String {
    let ohms: Vec<f64> = (0..buttons as u32).map(|n| 500.0 * 1.5f64.powi(n as i32)).collect();
    let (sketch, _) = ohmloom::testing::parallel_ladder(&ohms, 22_000.0);
    let path = folder.join("large.ohmloom");
    fs::write(&path, store::write(&sketch.project)).unwrap();
    path.to_string_lossy().into_owned()
}

#[test]
fn a_table_of_more_than_five_thousand_states_is_summed_up_and_listed_on_request() {
    let folder = TempDir::new().unwrap();
    let file = large_ladder(folder.path(), 13);
    let text = run(&["states", &file]);
    assert!(text.out.contains("8192 states"), "{}", text.out);
    assert!(text.out.contains("The worst 40:"), "{}", text.out);
    assert!(text.out.lines().count() < 200, "{}", text.out.lines().count());
    let listed = run(&["states", &file, "--format", "csv"]);
    assert_eq!(listed.out.lines().count(), 8192 + 1);
    let document = json(&run(&["states", &file, "--format", "json"]).out);
    assert_eq!(document["pins"][0]["states"].as_array().unwrap().len(), 8192);
}

#[test]
fn wires_are_written_and_taken_over_into_a_new_file() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
    let machine = sample("forwarder");
    let table = run(&["wires", &machine]);
    assert_eq!((table.code, table.err.as_str()), (0, ""));
    assert!(table.out.contains("X1-11") && table.out.contains("by route"), "{}", table.out);
    let csv = run(&["wires", &machine, "--format", "csv"]);
    assert!(csv.out.starts_with("wire,circuit,from,to,size,colour,length_mm\r\n"), "{}", csv.out);
    let list = json(&run(&["wires", &machine, "--format", "json"]).out);
    assert_eq!(list["wires"].as_array().unwrap().len(), csv.out.lines().count() - 1);

    // The same table back: equal, to the byte.
    fs::write(at("same.csv"), &csv.out).unwrap();
    let done = run(&["wires", &machine, "--import", &at("same.csv"), "--out", &at("same.ohmloom")]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    assert!(done.out.contains("0 new wires, 0 changed"), "{}", done.out);
    assert_eq!(fs::read(at("same.ohmloom")).unwrap(), fs::read(&machine).unwrap());

    // Looking writes nothing; taking over writes the new file only.
    fs::write(at("new.csv"), "X1-12;G1;18;red;1,2\nX9-1;X9-2;20;RD/BK;0,8\n").unwrap();
    let options = ["--columns", "from,to,size,colour,length", "--sizes", "awg", "--lengths", "m"];
    let before = listing(folder.path());
    let import = |more: &[&str]| {
        let table = at("new.csv");
        run(&[&["wires", &machine, "--import", &table][..], &options, more].concat())
    };
    let refused = import(&["--out", &at("made.ohmloom")]);
    assert_eq!((refused.code, refused.out.as_str()), (2, ""));
    for says in ["2 problems, nothing is imported", "line 2, column 1 (from)", "--make"] {
        assert!(refused.err.contains(says), "{says}: {}", refused.err);
    }
    let looked = import(&["--make"]);
    assert!(looked.out.contains("X9 is made with 2 cavities"), "{}", looked.out);
    assert!(looked.out.contains("Nothing has been written"), "{}", looked.out);
    assert_eq!(listing(folder.path()), before);
    let done = import(&["--make", "--out", &at("made.ohmloom")]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let made = store::read(&fs::read(at("made.ohmloom")).unwrap()).unwrap();
    let old = store::read(&fs::read(&machine).unwrap()).unwrap();
    assert_eq!(made.wires.len(), old.wires.len() + 2);
    assert!(made.wires.iter().any(|(_, wire)| wire.typed_length_mm == Some(1200.0)));
    assert_eq!(
        json(&run(&["wires", &at("made.ohmloom"), "--format", "json"]).out)["wires"]
            .as_array()
            .unwrap()
            .len(),
        list["wires"].as_array().unwrap().len() + 2
    );
}

#[test]
fn a_wire_moves_only_with_its_own_word() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
    let machine = sample("forwarder");
    fs::write(at("moved.csv"), "wire,from,to\nD3,X2-3 pins,X1-12\n").unwrap();
    let import = |more: &[&str]| {
        let (table, out) = (at("moved.csv"), at("moved.ohmloom"));
        run(&[&["wires", &machine, "--import", &table, "--out", &out][..], more].concat())
    };
    let refused = import(&[]);
    assert_eq!(refused.code, 2);
    for says in ["line 2, column 1 (wire): wire D3 lies at", "would move to", "with --move"] {
        assert!(refused.err.contains(says), "{says}: {}", refused.err);
    }
    let done = import(&["--move"]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let words = done.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("line 2 moves a wire") && words.contains("→"), "{}", done.out);
    assert!(words.contains("X2-3 pins – X1-12"), "{}", done.out);
}

#[test]
fn a_bad_wire_table_touches_nothing() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
    fs::copy(sample("forwarder"), at("own.ohmloom")).unwrap();
    let own = fs::read(at("own.ohmloom")).unwrap();
    for (bytes, says) in [
        (&b""[..], "no text"),
        (b"from,to\n\"X1-1,G1", "closing quotes"),
        (b"from;to;size;colour\nX1-12;G1;0.5 mm\xb2;red", "0xb2 on line 2"),
        (b"\xff\xfeX\0", "UTF-16"),
        (b"from,to,size,colour\nX1-12,G1,0.5,mauve", "line 2, column 4 (colour)"),
        (b"colour,size\nred,0.5", "means \"from\""),
    ] {
        fs::write(at("bad.csv"), bytes).unwrap();
        let before = listing(folder.path());
        let out = at("new.ohmloom");
        let done = run(&["wires", &at("own.ohmloom"), "--import", &at("bad.csv"), "--out", &out]);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{says}");
        assert!(done.err.contains(says), "{says}: {}", done.err);
        assert_eq!(listing(folder.path()), before);
    }
    fs::write(at("good.csv"), "from,to,size,colour\nX1-12,G1,0.5,red").unwrap();
    for target in ["own.ohmloom", "good.csv"] {
        let done =
            run(&["wires", &at("own.ohmloom"), "--import", &at("good.csv"), "--out", &at(target)]);
        assert_eq!(done.code, 2, "{target}");
        assert!(done.err.contains("could not write over the"), "{}", done.err);
    }
    assert_eq!(fs::read(at("own.ohmloom")).unwrap(), own);
    let done = run(&["wires", &at("own.ohmloom"), "--columns", "from,to"]);
    assert_eq!(done.code, 2, "columns belong to an import");
}

#[test]
fn both_views_of_a_connector_are_told_and_another_makers_numbers_taken_over() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
    let machine = sample("forwarder");
    let done = run(&["pinout", &machine, "--connector", "X2 sockets"]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    for line in [
        "X2 (sockets half); numbers",
        "FACE VIEW OF X2 (SOCKETS HALF)",
        "     1   2   3",
        "WIRE VIEW OF X2 (SOCKETS HALF)",
        "     3   2   1",
        "Sealing plugs needed: 0",
    ] {
        assert!(done.out.contains(line), "{line}:\n{}", done.out);
    }
    let pins = run(&["pinout", &machine, "--connector", "X2 pins"]);
    assert!(pins.out.contains("FACE VIEW OF X2 (PINS HALF)"), "{}", pins.out);
    let csv = run(&["pinout", &machine, "--connector", "x1", "--format", "csv"]);
    assert!(csv.out.starts_with("cavity,wire,size,colour,circuit,fill\r\n"), "{}", csv.out);
    assert!(csv.out.contains("11,D2,0.5 mm²,violet,RANGE signal,wire"), "{}", csv.out);
    let value = json(&run(&["pinout", &machine, "--connector", "X1", "--format", "json"]).out);
    assert_eq!(value["face_view_mm"].as_array().unwrap().len(), 16);
    assert_eq!(value["to_scale"], false);
    let whose = [&value["half"], &value["terminals"], &value["connector"], &value["side"]];
    assert_eq!(whose.map(|v| v.as_str().unwrap()), ["X1", "sockets", "A1", "first"]);

    let seen = "wires, latch down, pins half, lower left, by columns";
    let convert = |more: &[&str]| {
        run(&[&["pinout", &machine, "--connector", "X2", "--seen", seen][..], more].concat())
    };
    let looked = convert(&[]);
    assert!(looked.out.contains("by columns from the upper right"), "{}", looked.out);
    // By hand: their picture counts upwards from the lower left.
    assert!(
        looked.out.contains("     2   4   6") && looked.out.contains("     1   3   5"),
        "{}",
        looked.out
    );
    assert!(listing(folder.path()).is_empty());
    let done = convert(&["--out", &at("new.ohmloom")]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let text = fs::read_to_string(at("new.ohmloom")).unwrap();
    assert!(text.contains(r#""numbering": {"path": {"start": "upper right", "by": "columns"}}"#));
    for (args, says) in [
        (["--connector", "X7", "--seen", "face view, latch up"], "expected one of the connectors"),
        (["--connector", "X2", "--seen", "sideways"], "found \"sideways\""),
    ] {
        let done = run(&[&["pinout", &machine][..], &args].concat());
        assert_eq!(done.code, 2);
        assert!(done.err.contains(says), "{}", done.err);
    }
}

fn sheets(args: &[&str]) -> Done {
    done(program().arg("sheets").args(args))
}

#[test]
fn the_build_board_and_labels_are_asked_for_by_name() {
    let home = TempDir::new().unwrap();
    let out = home.path().join("board.pdf").to_string_lossy().into_owned();
    let file = sample("forwarder");
    let alone = sheets(&[&file, "-o", &out, "--only", "board"]);
    assert_eq!(alone.code, 0, "{}", alone.err);
    assert!(alone.out.contains("Build board") && !alone.out.contains("--board adds it"));
    let n_board = lopdf::Document::load(&out).unwrap().get_pages().len();
    assert!(n_board > 5);
    let count = |args: &[&str]| {
        assert_eq!(sheets(&[&[file.as_str(), "-o", &out], args].concat()).code, 0);
        lopdf::Document::load(&out).unwrap().get_pages().len()
    };
    assert_eq!(count(&["--board"]), count(&[]) + n_board);
    let n_plain = count(&["--only", "labels"]);
    let n_sheets = count(&["--only", "labels", "--label-size", "60x12", "--label-grid", "1x4"]);
    assert!(n_sheets > n_plain, "few labels on a sheet, more sheets");
}

#[test]
fn a_word_that_is_no_command_is_answered_with_those_there_are() {
    let done = run(&["chek", &sample("sprayer")]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("expected one of the commands"), "{}", done.err);
    assert!(done.err.contains("check, ") && done.err.contains("found \"chek\""), "{}", done.err);
}
