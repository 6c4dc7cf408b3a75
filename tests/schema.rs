//! What the program writes against the published JSON Schema, checked by a general validator
//! (crate `jsonschema`, JSON Schema 2020-12), which shares no code with the reader.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use jsonschema::Validator;
use serde_json::{Value, json};

use ohmloom::{store, testing};

fn validator() -> Validator {
    let schema: Value = serde_json::from_str(store::schema()).expect("the schema is JSON");
    jsonschema::meta::validate(&schema).expect("the schema is a valid 2020-12 schema");
    jsonschema::draft202012::new(&schema).expect("the schema can be used")
}

#[test]
fn generated_projects_satisfy_the_schema() {
    let validator = validator();
    for seed in 1000..1200 {
        let text = store::write(&testing::project(seed, 1 + (seed as usize) % 20));
        let value: Value = serde_json::from_str(&text).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(&value).map(|e| format!("{}: {e}", e.instance_path)).collect();
        assert!(faults.is_empty(), "seed {seed}: {faults:?}");
    }
}

#[test]
fn samples_satisfy_the_schema() {
    let validator = validator();
    for sample in ohmloom::samples::LIST {
        let value: Value = serde_json::from_str(sample.text).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(&value).map(|e| format!("{}: {e}", e.instance_path)).collect();
        assert!(faults.is_empty(), "{}: {faults:?}", sample.name);
    }
}

/// A generated project that has everything, as JSON.
fn full() -> Value {
    (0..)
        .map(|seed| testing::project(seed, 20))
        .find(|p| {
            !(p.wires.is_empty()
                || p.controls.is_empty()
                || p.runs.is_empty()
                || p.pieces.is_empty()
                || p.cutting.ticks.is_empty()
                || p.cutting.half_fits.is_empty()
                || p.frames.is_empty()
                || p.set_up.is_empty()
                || p.story.links.is_empty()
                || p.story.seen.is_empty())
                && p.sense_pins.iter().any(|(_, pin)| !pin.bands.is_empty())
        })
        .map(|p| serde_json::from_str(&store::write(&p)).unwrap())
        .unwrap()
}

#[test]
fn wrong_files_are_refused_by_schema_and_reader_alike() {
    let validator = validator();
    let good = full();
    assert!(validator.is_valid(&good));
    let wrong: [(&str, Value); 39] = [
        ("/format", json!("other")),
        ("/version", json!(2)),
        ("/title", json!(3)),
        ("/title", json!("x".repeat(2001))),
        ("/next_id", json!(0)),
        ("/settings/length_factor", json!("1.03")),
        ("/settings/contact_ohm/low", json!(-1)),
        ("/settings/wire_model", json!("real")),
        ("/settings/meter/fraction", json!(1)),
        (
            "/parts/0/kind",
            json!({"resistor": {"ohm": 0, "tolerance": 0, "tempco_ppm_per_k": 0, "power_watt": 1}}),
        ),
        ("/parts/0/kind", json!("resistor")),
        ("/parts/0/kind", json!({"contact": {"form": {"ways": 1}}})),
        ("/parts/0/pos_mm", json!([1])),
        ("/parts/0/id", json!(0)),
        ("/wires/0/colour/base", json!("XX")),
        ("/wires/0/size", json!({"mm2": 0.5, "awg": 20})),
        ("/wires/0/from", json!(1)),
        ("/frames/0/min_mm", json!([0, 1e9])),
        ("/runs/0/length_mm", json!(0)),
        ("/controls/0/positions", json!([{"name": "only"}])),
        ("/pieces/0/length_mm", json!(null)),
        ("/sense_pins", json!({})),
        ("/wires/0/make", json!({"insulation": "glass"})),
        ("/wires/0/make", json!({"drop_limit": 0})),
        ("/runs/0/laid", json!({"zones": ["wet", "wet"]})),
        ("/settings/wiring", json!({"ampacity": "mean of all"})),
        ("/set_up/0/known_by", json!("rumour")),
        ("/changes", json!({})),
        ("/story/links/0/from_modes", json!([])),
        ("/story/links/0/on", json!("nothing")),
        ("/story/links/0/after_ms", json!(0)),
        ("/story/links/0/within_ms", json!(1.5)),
        ("/story/seen/0/did", json!({"waited_ms": 0})),
        ("/story/modes/0/name", json!(1)),
        ("/cutting/kerf_mm", json!(-1)),
        ("/cutting/measured_at_c", json!(1001)),
        ("/cutting/half_ends/0/half", json!("third")),
        ("/cutting/wire_ends/0/wire", json!(0)),
        ("/cutting/ticks/0", json!({"wire": 1, "cut": 1})),
    ];
    for (place, value) in wrong {
        let mut bad = good.clone();
        put(&mut bad, place, value.clone());
        assert!(!validator.is_valid(&bad), "the schema takes {value} at {place}");
        assert!(
            store::read(bad.to_string().as_bytes()).is_err(),
            "the reader takes {value} at {place}"
        );
    }
    for (place, name) in
        [("", "settings"), ("/parts/0", "name"), ("/wires/0", "to"), ("/controls/0", "rest")]
    {
        let mut bad = good.clone();
        bad.pointer_mut(place).unwrap().as_object_mut().unwrap().remove(name).unwrap();
        assert!(!validator.is_valid(&bad), "the schema misses no {name} at {place}");
        assert!(
            store::read(bad.to_string().as_bytes()).is_err(),
            "the reader misses no {name} at {place}"
        );
        let mut bad = good.clone();
        bad.pointer_mut(place).unwrap().as_object_mut().unwrap().insert("extra".into(), json!(1));
        assert!(!validator.is_valid(&bad), "the schema takes an extra field at {place}");
        assert!(
            store::read(bad.to_string().as_bytes()).is_err(),
            "the reader takes an extra field at {place}"
        );
    }
}

/// Every number of the file is pushed to odd values; what the reader takes, the schema must take.
#[test]
fn what_the_reader_takes_satisfies_the_schema() {
    let validator = validator();
    let mut taken = 0;
    for seed in 0..30 {
        let good: Value = serde_json::from_str(&store::write(&testing::project(seed, 6))).unwrap();
        let mut places = Vec::new();
        scalars(&good, String::new(), &mut places);
        let r = &mut ohmloom::random::Random::new(seed);
        for _ in 0..150 {
            let place = &places[r.below(places.len())];
            let odd = [
                json!(0),
                json!(-1),
                json!(1),
                json!(0.999),
                json!(24),
                json!(400),
                json!(401),
                json!(1e6),
                json!(1e12),
                json!(1e13),
                json!(-1e12),
                json!(1e-7),
                json!("x"),
                json!(""),
                json!(null),
                json!([]),
                json!({}),
                json!(true),
                json!("ground"),
                json!(4_294_967_295u32),
                json!([0, 0]),
                json!(1.5),
            ];
            let mut bad = good.clone();
            *bad.pointer_mut(place).unwrap() = odd[r.below(odd.len())].clone();
            if store::read(bad.to_string().as_bytes()).is_ok() {
                taken += 1;
                let faults: Vec<String> =
                    validator.iter_errors(&bad).map(|e| e.to_string()).collect();
                assert!(faults.is_empty(), "seed {seed}, {place}: {faults:?}");
            }
        }
    }
    assert!(taken > 200, "only {taken} of the odd files were taken, the check is too weak");
}

/// JSON pointers of everything that is no container.
fn scalars(value: &Value, place: String, out: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            map.iter().for_each(|(name, v)| scalars(v, format!("{place}/{name}"), out));
        }
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(idx, v)| scalars(v, format!("{place}/{idx}"), out));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => out.push(place),
    }
}
/// Append to tests/schema.rs once the format page stands in DEVELOPERS.md.
#[test]
fn the_example_of_the_format_page_is_a_project() {
    let page =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/DEVELOPERS.md")).unwrap();
    let example = page
        .split("```json\n")
        .skip(1)
        .filter_map(|rest| rest.split("```").next())
        .find(|block| block.contains("\"format\": \"ohmloom\""))
        .expect("the page has an example");
    let project = store::read(example.as_bytes()).unwrap();
    assert_eq!(store::write(&project), example);
}

/// Puts a value at a place whose last field may not be there yet.
fn put(file: &mut Value, place: &str, value: Value) {
    let (parent, name) = place.rsplit_once('/').unwrap();
    match file.pointer_mut(parent).unwrap_or_else(|| panic!("{place}")) {
        Value::Object(map) => {
            map.insert(name.to_owned(), value);
        }
        other => *other.pointer_mut(&format!("/{name}")).unwrap() = value,
    }
}
