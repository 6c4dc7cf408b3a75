//! What one frame of the window costs: code of the window, and cutting its shapes into triangles.
//!
//! Run with `cargo bench --bench frame`. Prints medians in milliseconds, and what the thread itself
//! spent on a core for each frame, which stays true on a busy machine (Linux only). Painting the
//! triangles is the graphics driver's and not counted. No peer: goals are a smooth drag with 200
//! parts and 8 ms with 5,000 wires in view, on the sheet and on the layout. Words after `--` pick
//! the lines that contain one of them: `cargo bench --bench frame -- "5000 wires"`.

use std::time::Instant;

use egui::{Context, Event, Pos2, RawInput, Rect, vec2};
use ohmloom::app::canvas::PX_PER_MM;
use ohmloom::app::{Action, AppState, Stage, app_ui, dispatch, theme};
use ohmloom::edit::{Edit, Item, apply, parse_placing};
use ohmloom::geometry::point;
use ohmloom::model::{
    BaseColour, Colour, End, Part, PartId, PartKind, Place, PlaceId, Project, Run, TerminalRef,
    Wire, WireSize, WireUse,
};
use ohmloom::samples;
use ohmloom::series::Series;
use ohmloom::study::values::{Bands, Question, from_series, pairs};

const FRAMES: usize = 60;

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
        return;
    }
    let words: Vec<String> = std::env::args().skip(1).filter(|arg| arg != "--bench").collect();
    let is_wanted = |name: &str| words.is_empty() || words.iter().any(|word| name.contains(word));
    println!(
        "{:<32} {:>8} {:>13} {:>8} {:>8}",
        "frame of 1440 x 900", "code ms", "triangles ms", "sum ms", "core ms"
    );
    for (n_parts, n_wires) in [(20, 30), (200, 500), (2000, 5000)] {
        for deed in [Deed::Still, Deed::Pan, Deed::Drag] {
            let name = format!("{n_parts} parts, {n_wires} wires, {}", deed.word());
            if is_wanted(&name) {
                let state = AppState::new(generated(n_parts, n_wires));
                print(&name, &measure(state, deed));
            }
        }
    }
    for (n_places, n_wires) in [(20, 50), (200, 500), (2000, 5000)] {
        for deed in [Deed::Still, Deed::Pan, Deed::DragPlace] {
            let name = format!("{n_places} places, {n_wires} wires, {}", deed.word());
            if is_wanted(&name) {
                let mut state = AppState::new(layout(n_places, n_wires));
                state.stage = Stage::Route;
                print(&name, &measure(state, deed));
            }
        }
    }
    if is_wanted("while values are sought") {
        while_a_study_runs();
    }
}

/// Frames of stage Choose while a search for the best values runs on a worker, then how soon it
/// answers when it is given up. Goals: 8 ms a frame, 50 ms until it answers.
fn while_a_study_runs() {
    let project = samples::open("sprayer").expect("a sample");
    let pin = project.sense_pins.ids().next().expect("it has a pin");
    let is_resistor = |part: &Part| matches!(part.kind, PartKind::Resistor(_));
    let resistors = project.parts.iter().filter(|(_, part)| is_resistor(part));
    let parts: Vec<PartId> = resistors.map(|(id, _)| id).collect();
    let candidates = pairs(&from_series(Series::E24, 100.0, 99e3, 0.01));
    let (mut all, mut answers) = (Vec::new(), Vec::new());
    for _ in 0..5 {
        let mut state = AppState::new(project.clone());
        state.stage = Stage::Choose;
        let ctx = Context::default();
        theme::install_fonts(&ctx);
        let (parts, candidates) = (parts.clone(), candidates.clone());
        let bands = Bands::Free;
        let question = Question { pin, parts, candidates, drift: 0.006, bands, unit: None };
        for frame in 0..FRAMES + WARM_UP {
            if frame == WARM_UP {
                dispatch(&mut state, Action::SeekValues(Box::new(question.clone())));
            }
            let input = RawInput {
                screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1440.0, 900.0))),
                time: Some(frame as f64 / 60.0),
                ..Default::default()
            };
            let start = Instant::now();
            let mut output = ctx.run_ui(input, |ui| app_ui(ui, &mut state));
            output.textures_delta.clear();
            std::hint::black_box(ctx.tessellate(output.shapes, output.pixels_per_point));
            if frame > WARM_UP && state.studies.progress().is_some() {
                all.push(start.elapsed().as_secs_f64() * 1e3);
            }
        }
        let start = Instant::now();
        dispatch(&mut state, Action::StopSeeking);
        while state.studies.progress().is_some() {
            let key = (state.history.revision(), Some(pin));
            let at = (state.stage, &state.bench);
            state.studies.refresh(state.history.project(), key, at);
            std::thread::sleep(std::time::Duration::from_micros(200));
        }
        answers.push(start.elapsed().as_secs_f64() * 1e3);
    }
    let (n, worst) = (all.len(), all.iter().copied().fold(0.0, f64::max));
    println!(
        "while values are sought, {n} frames: median {:.3} ms, worst {worst:.3} ms; given up, it answers after {:.3} ms (worst of 5 {:.3} ms)",
        median(all),
        median(answers.clone()),
        answers.iter().copied().fold(0.0, f64::max)
    );
}

fn print(name: &str, Cost { code, triangles, core }: &Cost) {
    let core = core.map_or_else(|| "-".into(), |core| format!("{core:.3}"));
    println!("{name:<32} {code:>8.3} {triangles:>13.3} {:>8.3} {core:>8}", code + triangles);
}

/// What happens between frames.
#[derive(Clone, Copy)]
enum Deed {
    /// Nothing but a moving pointer.
    Still,
    /// The sheet is moved under the view.
    Pan,
    /// A part is dragged: an edit every frame.
    Drag,
    /// A place of the layout is dragged: an edit every frame.
    DragPlace,
}

impl Deed {
    fn word(self) -> &'static str {
        match self {
            Self::Still => "still",
            Self::Pan => "pan",
            Self::Drag | Self::DragPlace => "drag",
        }
    }
}

/// Milliseconds of one frame.
struct Cost {
    code: f64,
    triangles: f64,
    core: Option<f64>,
}

/// Nanoseconds this thread has run on a core.
fn on_core_ns() -> Option<u64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    text.split_whitespace().next()?.parse().ok()
}

/// Frames until the routes are there, and ten more.
const WARM_UP: usize = 10;

fn measure(mut state: AppState, deed: Deed) -> Cost {
    let n_parts = state.project().parts.len();
    let dragged = state.project().parts.ids().nth(n_parts / 2).expect("there are parts");
    let ctx = Context::default();
    theme::install_fonts(&ctx);
    let (mut code, mut triangles) = (Vec::new(), Vec::new());
    let mut begun = None;
    // Routes of a large project come from a worker; before they are there less is drawn.
    let mut tries = 0;
    while !state.derived.is_current(state.history.revision()) && tries < 6000 {
        let revision = state.history.revision();
        let project = state.history.project().clone();
        state.derived.refresh(&project, revision, &state.bench, &state.meter);
        std::thread::sleep(std::time::Duration::from_millis(5));
        tries += 1;
    }
    for frame in 0..FRAMES + WARM_UP {
        if frame == WARM_UP {
            begun = on_core_ns();
        }
        let shift = if frame % 2 == 0 { 2.5 } else { -2.5 };
        match deed {
            Deed::Still => {}
            Deed::Pan => {
                let seen = match state.stage {
                    Stage::Route => &mut state.stages.route.transform,
                    _ => &mut state.canvas.transform,
                };
                // As fast as a hand looks around; most of what there is stays in view.
                if let Some(transform) = seen {
                    let way = if frame / 8 % 2 == 0 { 24.0 } else { -24.0 };
                    let way_mm = way / (PX_PER_MM * transform.zoom);
                    transform.centre = transform.centre + point(way_mm, 0.0);
                }
            }
            Deed::DragPlace => {
                let project = state.history.project();
                let n_places = project.places.len();
                let (id, place) =
                    project.places.iter().nth(n_places / 2).expect("there are places");
                let mut place = place.clone();
                place.pos = place.pos + point(shift, 0.0);
                let edit = Edit::SetPlace(id, place);
                let gesture = Some(ohmloom::edit::Gesture(1));
                state.history.commit(edit, gesture).expect("the place is there");
            }
            Deed::Drag => {
                let edit =
                    Edit::Move { items: [Item::Part(dragged)].into(), by: point(shift, 0.0) };
                state
                    .history
                    .commit(edit, Some(ohmloom::edit::Gesture(1)))
                    .expect("the part is there");
            }
        }
        let pointer = Pos2::new(400.0 + frame as f32, 300.0);
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1440.0, 900.0))),
            time: Some(frame as f64 / 60.0),
            events: vec![Event::PointerMoved(pointer)],
            ..Default::default()
        };
        let start = Instant::now();
        let mut output = ctx.run_ui(input, |ui| app_ui(ui, &mut state));
        let between = Instant::now();
        output.textures_delta.clear();
        let cut = ctx.tessellate(output.shapes, output.pixels_per_point);
        let end = Instant::now();
        std::hint::black_box(cut);
        // The first frames load fonts and lay out texts for good.
        if frame >= WARM_UP {
            code.push((between - start).as_secs_f64() * 1e3);
            triangles.push((end - between).as_secs_f64() * 1e3);
        }
    }
    let spent = begun.zip(on_core_ns()).map(|(from, to)| (to - from) as f64 / 1e6 / FRAMES as f64);
    Cost { code: median(code), triangles: median(triangles), core: spent }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Rows of resistors and buttons, wired to their neighbours.
fn generated(n_parts: usize, n_wires: usize) -> Project {
    let mut project = Project::empty("generated");
    let columns = (n_parts as f64).sqrt().ceil() as usize;
    for at in 0..n_parts {
        let text = if at % 3 == 2 { "fuse 2" } else { "4k7" };
        let place = point(40.0 * (at % columns) as f64, 20.0 * (at / columns) as f64);
        let placement = parse_placing(text).expect("a known word").at(place);
        apply(&mut project, Edit::Place(placement)).expect("placing needs nothing");
    }
    let ids: Vec<PartId> = project.parts.ids().collect();
    let neighbours = [(1, 1, 0), (columns, 0, 0), (columns, 1, 1), (columns + 1, 1, 0)];
    let pairs = neighbours.iter().flat_map(|(step, from, to)| {
        (0..n_parts.saturating_sub(*step)).map(move |at| (at, at + step, *from, *to))
    });
    for (n, (a, b, from, to)) in pairs.take(n_wires).enumerate() {
        let mut wire = wire(n, (ids[a], from), (ids[b], to));
        wire.usage = if n % 5 == 0 { WireUse::Internal } else { WireUse::Harness };
        apply(&mut project, Edit::AddWire(wire)).expect("both ends exist");
    }
    project
}

/// Places on a grid with a part each, runs between neighbours, wires between places some steps apart.
fn layout(n_places: usize, n_wires: usize) -> Project {
    let mut project = Project::empty("layout");
    let columns = (n_places as f64).sqrt().ceil() as usize;
    let mut places = Vec::new();
    for at in 0..n_places {
        let pos = point(40.0 * (at % columns) as f64, 30.0 * (at / columns) as f64);
        let place = Place { name: format!("place {at}"), pos };
        let row = apply(&mut project, Edit::AddPlace(place)).expect("a place needs nothing").row;
        places.push(PlaceId(row.expect("a place is a row")));
        let placement = parse_placing("X 1x4").expect("a known word").at(pos);
        apply(&mut project, Edit::Place(placement)).expect("placing needs nothing");
    }
    let parts: Vec<PartId> = project.parts.ids().collect();
    for (part, place) in parts.iter().zip(&places) {
        let mut row = project.parts.get(*part).expect("it was placed").clone();
        row.place = Some(*place);
        apply(&mut project, Edit::SetPart(*part, Box::new(row))).expect("the place is there");
    }
    for at in 0..n_places {
        for step in [1, columns] {
            let is_row_end = step == 1 && (at + 1) % columns == 0;
            let Some(to) = places.get(at + step).filter(|_| !is_row_end) else { continue };
            let (name, length_mm) = (format!("run {at} {step}"), 300.0 + (at % 7) as f64);
            let run = run(name, places[at], *to, length_mm);
            apply(&mut project, Edit::AddRun(run)).expect("both places exist");
        }
    }
    for n in 0..n_wires {
        let from = n * 7 % n_places;
        let to = (from + columns * (n % 4) + 1 + n % 5) % n_places;
        if from != to {
            let wire = wire(n, (parts[from], 0), (parts[to], 2));
            apply(&mut project, Edit::AddWire(wire)).expect("both ends exist");
        }
    }
    project
}

fn run(name: String, from: PlaceId, to: PlaceId, length_mm: f64) -> Run {
    Run { name, from, to, length_mm, loop_mm: None, laid: Default::default() }
}

fn wire(n: usize, from: (PartId, u16), to: (PartId, u16)) -> Wire {
    let end = |(part, terminal)| End { terminal: TerminalRef { part, terminal }, kind: None };
    let colours = BaseColour::ALL;
    Wire {
        name: format!("W{n}"),
        circuit: String::new(),
        from: end(from),
        to: end(to),
        bends: Vec::new(),
        size: WireSize::Mm2(0.5),
        colour: Colour {
            base: colours[n % 12],
            tracer: n.is_multiple_of(4).then_some(colours[(n + 5) % 12]),
        },
        usage: WireUse::Harness,
        via: Vec::new(),
        typed_length_mm: None,
        make: Default::default(),
    }
}
