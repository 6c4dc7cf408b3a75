//! Stage Route by its labels: a layout drawn from nothing, a photo beneath it, a wire pinned through a place.

use egui::accesskit::Role;
use egui::{Key, Modifiers, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use ohmloom::app::{AppState, Command, Stage, ThemeChoice};
use ohmloom::edit::{Edit, apply, parse_placing};
use ohmloom::model::{
    BaseColour, Colour, End, Place, Project, TerminalRef, Wire, WireSize, WireUse,
};

use crate::bench::{SMALL, USUAL, picture, picture_of, window, with_project, with_sample};

pub type Window = Harness<'static, AppState>;

pub fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
}

/// Clicks a word of the lists.
pub fn page(window: &mut Window, word: &str) {
    window.get_by_role_and_label(Role::Button, word).click();
    window.run();
}

pub fn layout(window: &Window) -> egui::Rect {
    window.get_by_role_and_label(Role::Canvas, "Layout").rect()
}

pub fn drag(window: &mut Window, label: &str, to: egui::Pos2) {
    let from = centre(window, label);
    window.hover_at(from);
    window.run();
    window.drag_at(from);
    window.run();
    for share in [0.3, 0.7, 1.0] {
        window.hover_at(from + (to - from) * share);
        window.run();
    }
    window.drop_at(to);
    window.run();
}

/// The middle of what is called so, or of the run whose name begins so.
pub fn centre(window: &Window, label: &str) -> egui::Pos2 {
    if label.starts_with("run ") {
        return window.get_by_label_contains(label).rect().center();
    }
    window.get_by_label(label).rect().center()
}

pub fn on_route(mut state: AppState) -> AppState {
    state.stage = Stage::Route;
    state
}

/// Three parts, two wires between them; no layout.
pub fn bare() -> Project {
    let mut project = Project::empty("Three boxes");
    for text in ["X 1x4", "splice", "controller 2x4"] {
        apply(&mut project, Edit::Place(parse_placing(text).unwrap())).unwrap();
    }
    let ids: Vec<_> = project.parts.ids().collect();
    let end =
        |at: usize, terminal| End { terminal: TerminalRef { part: ids[at], terminal }, kind: None };
    for (name, from, to, base) in [
        ("D1", end(0, 0), end(1, 0), BaseColour::Violet),
        ("D2", end(1, 0), end(2, 0), BaseColour::Orange),
    ] {
        let wire = Wire {
            name: name.into(),
            circuit: String::new(),
            from,
            to,
            bends: Vec::new(),
            size: WireSize::Mm2(0.5),
            colour: Colour { base, tracer: None },
            usage: WireUse::Harness,
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        apply(&mut project, Edit::AddWire(wire)).unwrap();
    }
    project
}

pub fn place_by_typing(window: &mut Window, name: &str) {
    window.get_by_role_and_label(Role::TextInput, "New place").focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, "New place").type_text(name);
    window.run();
    window.key_press(Key::Enter);
    window.run();
}

pub fn draw_run(window: &mut Window, from: &str, to: &str, length: &str) {
    // A selected dot moves; nothing is selected here, so the dot draws.
    window.key_press(Key::Escape);
    window.run();
    window.key_press(Key::Escape);
    window.run();
    let to = centre(window, &format!("place {to}"));
    drag(window, &format!("place {from}"), to);
    window.get_by_role_and_label(Role::TextInput, "Length of the new run").type_text(length);
    window.run();
    window.key_press(Key::Enter);
    window.run();
}

fn place_names(window: &Window) -> Vec<String> {
    window.state().project().places.iter().map(|(_, place)| place.name.clone()).collect()
}

pub fn cut_mm(window: &Window, name: &str) -> Option<f64> {
    let list = window.state().derived.cut_list().unwrap();
    list.rows.iter().find(|row| row.name == name).unwrap().cut_mm
}

#[test]
fn a_layout_of_five_places_from_nothing_to_a_cut_list() {
    let mut window = window(on_route(with_project(bare())), USUAL);
    for name in ["lever base", "floor", "tee", "controller", "spare"] {
        place_by_typing(&mut window, name);
    }
    assert_eq!(place_names(&window), ["lever base", "floor", "tee", "controller", "spare"]);
    window.key_press(Key::Escape);
    window.run();
    // Spread them out by their names.
    let layout = layout(&window);
    for (name, x, y) in [
        ("lever base", 0.12, 0.3),
        ("floor", 0.35, 0.75),
        ("tee", 0.55, 0.3),
        ("controller", 0.88, 0.4),
        ("spare", 0.6, 0.8),
    ] {
        let to = layout.min + layout.size() * vec2(x, y);
        drag(&mut window, &format!("name of place {name}"), to);
    }
    draw_run(&mut window, "lever base", "floor", "620 mm");
    draw_run(&mut window, "floor", "tee", "0.94 m");
    draw_run(&mut window, "tee", "controller", "1480");
    draw_run(&mut window, "floor", "spare", "500 mm");
    assert_eq!(window.state().project().runs.len(), 4);
    assert_eq!(cut_mm(&window, "D1"), None, "nothing sits anywhere yet");

    for (part, place) in
        [("X1, connector", "lever base"), ("SP1, splice", "tee"), ("A1, controller", "controller")]
    {
        let to = centre(&window, &format!("place {place}"));
        drag(&mut window, &format!("{part}: without a place"), to);
    }
    window.get_by_label("✔ Everything has a place.");
    window.get_by_label("✔ all 2 wires have a route");
    // 620 + 940 = 1560; x 1.03 + 80 (sealed) + 40 (splice) by the rule of the cut list, up to 10 mm.
    let cut = |mm: f64, ends: f64| ((mm * 1.03 + ends) / 10.0).ceil() * 10.0;
    let ends = |window: &Window, name: &str| {
        let list = window.state().derived.cut_list().unwrap();
        list.rows.iter().find(|row| row.name == name).unwrap().allowance_mm.unwrap()
    };
    assert_eq!(cut_mm(&window, "D1"), Some(cut(1560.0, ends(&window, "D1"))));
    picture_of(&mut window, "route-story");

    // The connector moves to another place: its wire gets shorter by the first run.
    let to = centre(&window, "place floor");
    drag(&mut window, "X1 at lever base", to);
    window.get_by_label("X1 at floor");
    assert_eq!(cut_mm(&window, "D1"), Some(cut(940.0, ends(&window, "D1"))));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(cut_mm(&window, "D1"), Some(cut(1560.0, ends(&window, "D1"))));

    // A length is typed where the run lies.
    click(&mut window, "run floor to tee, 940 mm · 1 wire");
    let field = "Length of floor to tee, on the layout";
    assert!(window.get_by_role_and_label(Role::TextInput, field).is_focused());
    window.get_by_role_and_label(Role::TextInput, field).type_text("1040 mm");
    window.run();
    assert_eq!(cut_mm(&window, "D1"), Some(cut(1660.0, ends(&window, "D1"))));
    picture_of(&mut window, "route-typing");
    window.key_press(Key::Enter);
    window.run();
    window.key_press(Key::Delete);
    window.run();
    assert_eq!(window.state().project().runs.len(), 3, "the run is gone");
    window.get_by_label("⚠ 1 of 2 wires have no route");
    click(&mut window, "Undo");
    assert_eq!(window.state().project().runs.len(), 4);

    click(&mut window, "Cut");
    window.get_by_label("cut list row, wire D1");
}

#[test]
fn a_double_click_makes_a_place_and_asks_its_name() {
    let mut window = window(on_route(with_project(bare())), USUAL);
    let layout = layout(&window);
    let at = layout.min + layout.size() * vec2(0.3, 0.6);
    // A frame of the harness lasts a quarter of a second.
    window.ctx.options_mut(|options| options.input_options.max_double_click_delay = 2.0);
    window.hover_at(at);
    window.run_steps(1);
    for _ in 0..2 {
        for pressed in [true, false] {
            window.event(egui::Event::PointerButton {
                pos: at,
                button: egui::PointerButton::Primary,
                pressed,
                modifiers: Modifiers::NONE,
            });
            window.run_steps(1);
        }
    }
    window.run();
    assert_eq!(place_names(&window), ["Place 1"]);
    let field = window.get_by_role_and_label(Role::TextInput, "Name on the layout, Place 1");
    assert!(field.is_focused());
    field.type_text("aft pod");
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(place_names(&window), ["aft pod"]);
    click(&mut window, "Undo");
    click(&mut window, "Undo");
    assert!(place_names(&window).is_empty());
}

#[test]
fn a_wire_is_pinned_by_dragging_its_route_onto_a_place() {
    let mut project = ohmloom::samples::open("forwarder").unwrap();
    // A second way around, longer than the first.
    let places: Vec<_> = project.places.iter().map(|(id, place)| (id, place.clone())).collect();
    let of = |name: &str| places.iter().find(|(_, place)| place.name == name).unwrap();
    let (grommet, tee) = (of("floor grommet"), of("bulkhead tee"));
    let around = Place { name: "around".into(), pos: ohmloom::geometry::point(80.0, 120.0) };
    let id = apply(&mut project, Edit::AddPlace(around)).unwrap().row.unwrap();
    for (name, end) in [("U1", grommet.0), ("U2", tee.0)] {
        let run = ohmloom::model::Run {
            name: name.into(),
            from: end,
            to: id.into(),
            length_mm: 900.0,
            loop_mm: None,
            laid: Default::default(),
        };
        apply(&mut project, Edit::AddRun(run)).unwrap();
    }
    let mut window = window(on_route(with_project(project)), USUAL);
    let short = cut_mm(&window, "D2").unwrap();
    page(&mut window, "Wires");
    click(&mut window, "route of wire D2");
    let to = centre(&window, "place around");
    let run = "run S2 floor grommet to bulkhead tee";
    drag(&mut window, run, to);
    let long = cut_mm(&window, "D2").unwrap();
    // 1800 mm instead of 940 mm, times 1.03, on tens.
    assert_eq!(long, ((3040.0 + 860.0_f64) * 1.03 + 160.0).div_euclid(10.0) * 10.0 + 10.0);
    assert!(long > short);
    window.get_by_label("Pinned through");
    picture_of(&mut window, "route-pinned");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(cut_mm(&window, "D2"), Some(short));
}

/// A drawing of a floor: bright stripes and a dark frame.
fn photo() -> Vec<u8> {
    let mut bytes = Vec::new();
    let image = image::RgbImage::from_fn(320, 200, |x, y| {
        let edge = x < 6 || y < 6 || x > 313 || y > 193;
        let stripe = (x / 40 + y / 40) % 2 == 0;
        image::Rgb(match (edge, stripe) {
            (true, _) => [40, 50, 60],
            (false, true) => [196, 206, 190],
            (false, false) => [150, 170, 186],
        })
    });
    image.write_to(&mut std::io::Cursor::new(&mut bytes), image::ImageFormat::Jpeg).unwrap();
    bytes
}

/// Frames until no picture is on its way.
fn settle_pictures(window: &mut Window) {
    for _ in 0..400 {
        window.run_steps(2);
        if !window.state().pictures.is_busy() {
            window.run_steps(2);
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    panic!("the picture never comes");
}

fn take_picture(window: &mut Window, path: &std::path::Path) {
    click(window, "Project");
    window.get_by_label_contains(Command::TakePicture.label()).click();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_label("Path of the file").type_text(&path.display().to_string());
    window.run();
    window.key_press(Key::Enter);
    settle_pictures(window);
}

#[test]
fn a_photo_lies_beneath_and_two_clicks_give_the_scale() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("floor.jpg");
    std::fs::write(&path, photo()).unwrap();
    let mut window = window(on_route(with_sample("forwarder")), USUAL);
    take_picture(&mut window, &path);
    assert_eq!(window.state().stage, Stage::Route);
    let underlay = window.state().project().underlay.clone().unwrap();
    assert_eq!((underlay.name.as_str(), &*underlay.bytes), ("floor.jpg", photo().as_slice()));
    window.key_press(Key::F);
    window.run();
    window.get_by_label("picture floor.jpg");
    page(&mut window, "Picture");
    click(&mut window, "This stretch is …");
    let spots = ["place lever base", "place controller"].map(|label| centre(&window, label));
    for at in spots {
        let at = at + Vec2::new(0.0, -40.0);
        window.hover_at(at);
        window.run();
        window.drag_at(at);
        window.drop_at(at);
        window.run();
    }
    window.get_by_role_and_label(Role::TextInput, "Length of the stretch").type_text("3 m");
    window.run();
    window.key_press(Key::Enter);
    window.run();
    let scale = window.state().project().layout_scale.unwrap();
    // The two places are 181 mm apart on the drawing; a pixel is worth a fraction of a millimetre.
    let drawn = 180.0_f64.hypot(20.0);
    assert!((scale * drawn / 3000.0 - 1.0).abs() < 0.01, "{scale}");
    let run = window.get_by_label_contains("run S5 bulkhead tee to fuse box");
    run.click();
    window.run();
    window.get_by_label_contains("As drawn, straight:");
    picture_of(&mut window, "route-photo");

    // It is saved inside the project and comes back.
    let saved = folder.path().join("with photo.ohmloom");
    ohmloom::files::save(&saved, window.state().project()).unwrap();
    assert_eq!(ohmloom::files::load(&saved).unwrap().underlay, Some(underlay));
}

#[test]
fn a_damaged_photo_is_said_and_nothing_is_lost() {
    let folder = tempfile::tempdir().unwrap();
    let (good, bad) = (folder.path().join("floor.jpg"), folder.path().join("torn.jpg"));
    std::fs::write(&good, photo()).unwrap();
    std::fs::write(&bad, &photo()[..60]).unwrap();
    let mut window = window(on_route(with_sample("forwarder")), USUAL);
    take_picture(&mut window, &good);
    let kept = window.state().project().clone();
    take_picture(&mut window, &bad);
    window.get_by_label_contains("Picture not taken: torn.jpg: the JPEG picture is damaged");
    assert_eq!(*window.state().project(), kept, "the old picture stays");

    // One that was damaged inside the project: the layout is there, the sentence too.
    let mut project = kept.clone();
    if let Some(underlay) = &mut project.underlay {
        underlay.bytes = photo()[..photo().len() / 2].into();
        underlay.bytes = underlay.bytes.iter().map(|byte| byte ^ 0x5a).collect();
    }
    let mut window = crate::bench::window(on_route(with_project(project.clone())), USUAL);
    settle_pictures(&mut window);
    page(&mut window, "Picture");
    window.get_by_label_contains("It cannot be shown: expected a PNG or JPEG picture");
    window.get_by_label("place bulkhead tee");
    assert_eq!(*window.state().project(), project);
    picture_of(&mut window, "route-damaged");
}

/// Frames until the figures of the harness are there.
pub fn settle_figures(window: &mut Window) {
    for _ in 0..2000 {
        window.run_steps(2);
        if window.state().harness.report().is_some() && !window.state().pictures.is_busy() {
            window.run_steps(2);
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    panic!("the figures never come");
}

/// Picks a row of a list that opens below its field.
pub fn pick(window: &mut Window, field: &str, row: &str) {
    window.get_by_role_and_label(Role::ComboBox, field).click();
    window.run();
    window.get_by_role_and_label(Role::Button, row).click();
    window.run();
}

#[test]
fn a_run_says_how_it_is_laid_and_how_thick_it_gets() {
    let mut project = ohmloom::samples::open("forwarder").unwrap();
    project.settings.wiring = Default::default();
    let wires: Vec<_> = project.wires.iter().map(|(id, wire)| (id, wire.clone())).collect();
    for (id, mut wire) in wires {
        wire.make = Default::default();
        apply(&mut project, Edit::SetWire(id, Box::new(wire))).unwrap();
    }
    let mut window = window(on_route(with_project(project)), [1440.0, 1900.0]);
    window.get_by_label_contains("run S1 lever base to floor grommet").click();
    window.run();
    settle_figures(&mut window);
    window.get_by_label_contains("insulation type");
    page(&mut window, "Rules");
    pick(&mut window, "Insulation of the project", "thin wall");
    settle_figures(&mut window);
    let report = window.state().harness.report().unwrap().clone();
    let run = window.state().project().runs.iter().find(|(_, r)| r.name.starts_with("S1")).unwrap();
    let size = report.runs[&run.0].size.as_ref().unwrap();
    let shown = format!("{:.1} mm", size.diameter_mm);
    let shown = shown.replace(".0 mm", " mm");
    window.get_by_label(&shown);
    window.get_by_label_contains("Rule of thumb");
    assert!(window.query_all_by_label_contains("from memory").count() > 1);
    click(&mut window, "hot");
    pick(&mut window, "Covering", "tape");
    window.get_by_role_and_label(Role::TextInput, "Bore of the hole it passes").focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, "Bore of the hole it passes").type_text("22");
    window.run();
    click(&mut window, "grommet fitted");
    window.get_by_label_contains("hot · hole 22 mm, grommet · tape");
    settle_figures(&mut window);
    picture_of(&mut window, "route-laid");
    let laid = window.state().project().runs.get(run_id(&window, "S1")).unwrap().laid.clone();
    assert_eq!(laid.hole.unwrap().bore_mm, 22.0);
    for _ in 0..4 {
        window.key_press(Key::Escape);
        window.run();
        click(&mut window, "Undo");
    }
    let laid = window.state().project().runs.get(run_id(&window, "S1")).unwrap().laid.clone();
    assert_eq!(laid, Default::default());
}

fn run_id(window: &Window, start: &str) -> ohmloom::model::RunId {
    let mut runs = window.state().project().runs.iter();
    runs.find(|(_, run)| run.name.starts_with(start)).unwrap().0
}

#[test]
fn a_wire_names_the_rule_it_is_judged_by() {
    let mut window = window(on_route(with_sample("sprayer")), [1440.0, 2200.0]);
    page(&mut window, "Wires");
    click(&mut window, "route of wire A5");
    settle_figures(&mut window);
    let report = window.state().harness.report().unwrap().clone();
    let wires = window.state().project().wires.clone();
    let (id, _) = wires.iter().find(|(_, wire)| wire.name == "A5").unwrap();
    // Whatever the sample names, the card says it: the rule with its clause, or what is missing.
    match &report.wires[&id].ampacity {
        Ok(ampacity) => {
            window.get_by_label_contains(ampacity.rule.name());
        }
        Err(why) => {
            let words: String = why.chars().skip(1).collect();
            window.get_by_label_contains(&words);
        }
    }
    let cautions = window.query_all_by_label_contains("This plan replaces neither the machine's");
    assert!(cautions.count() > 0, "cautions stand beside the figures");
    picture_of(&mut window, "route-wire");
}

#[test]
fn a_splice_is_dragged_onto_a_run_and_its_distance_is_typed() {
    let mut window = window(on_route(with_sample("forwarder")), USUAL);
    let ends = ["place floor grommet", "place bulkhead tee"].map(|label| centre(&window, label));
    let spot = ends[0] + (ends[1] - ends[0]) * 0.5;
    drag(&mut window, "SP1 at bulkhead tee", spot);
    window.get_by_label("SP1 along a run");
    click(&mut window, "SP1 along a run");
    window.get_by_role_and_label(Role::TextInput, "Distance of the splice").focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, "Distance of the splice").type_text("0.6 m");
    window.run();
    let project = window.state().project();
    let (_, part) = project.parts.iter().find(|(_, part)| part.name == "SP1").unwrap();
    let ohmloom::model::PartKind::Splice { at: Some(at), .. } = part.kind else {
        panic!("{part:?}")
    };
    assert_eq!((at.run, at.distance_mm), (run_id(&window, "S2"), 600.0));
    picture_of(&mut window, "route-splice");
}

#[test]
fn pictures_of_route() {
    for sample in ["sprayer", "railcar", "rescue-boat"] {
        for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
            for (scale, percent) in [(1.0, "100"), (2.0, "200")] {
                let mut state = on_route(with_sample(sample));
                state.preferences.theme = theme;
                state.preferences.text_scale = scale;
                picture(&format!("route-{sample}-{name}-{percent}"), state, USUAL);
            }
        }
    }
    picture("route-small", on_route(with_sample("railcar")), SMALL);
    picture("route-empty", on_route(with_project(bare())), USUAL);
    let mut lit = window(on_route(with_sample("sprayer")), USUAL);
    page(&mut lit, "Wires");
    let name = lit.state().project().wires.iter().find(|(_, wire)| wire.usage == WireUse::Harness);
    let name = name.unwrap().1.name.clone();
    click(&mut lit, &format!("route of wire {name}"));
    picture_of(&mut lit, "route-lit");
}
