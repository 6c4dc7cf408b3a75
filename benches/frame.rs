//! What one frame of the window costs: code of the window, and cutting its shapes into triangles.
//!
//! Run with `cargo bench --bench frame`. Prints medians in milliseconds, and what the thread itself
//! spent on a core for each frame, which stays true on a busy machine (Linux only). Painting the
//! triangles is the graphics driver's and not counted. No peer: goals are a smooth drag with 200
//! parts and 8 ms with 5,000 wires in view.

use std::time::Instant;

use egui::{Context, Event, Pos2, RawInput, Rect, vec2};
use ohmloom::app::{AppState, app_ui, theme};
use ohmloom::edit::{Edit, Item, apply, parse_placing};
use ohmloom::geometry::point;
use ohmloom::model::{
    BaseColour, Colour, End, PartId, Project, TerminalRef, Wire, WireSize, WireUse,
};

const FRAMES: usize = 60;

fn main() {
    // `cargo test --benches` runs this too, without the argument that `cargo bench` gives.
    if !std::env::args().any(|arg| arg == "--bench") {
        return;
    }
    println!(
        "{:<32} {:>8} {:>13} {:>8} {:>8}",
        "frame of 1440 x 900", "code ms", "triangles ms", "sum ms", "core ms"
    );
    for (n_parts, n_wires) in [(20, 30), (200, 500), (2000, 5000)] {
        for deed in [Deed::Still, Deed::Pan, Deed::Drag] {
            let Cost { code, triangles, core } = measure(n_parts, n_wires, deed);
            let name = format!("{n_parts} parts, {n_wires} wires, {}", deed.word());
            let core = core.map_or_else(|| "-".into(), |core| format!("{core:.3}"));
            println!(
                "{name:<32} {code:>8.3} {triangles:>13.3} {:>8.3} {core:>8}",
                code + triangles
            );
        }
    }
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
}

impl Deed {
    fn word(self) -> &'static str {
        match self {
            Self::Still => "still",
            Self::Pan => "pan",
            Self::Drag => "drag",
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

fn measure(n_parts: usize, n_wires: usize, deed: Deed) -> Cost {
    let mut state = AppState::new(generated(n_parts, n_wires));
    let dragged = state.project().parts.ids().nth(n_parts / 2).expect("there are parts");
    let ctx = Context::default();
    theme::install_fonts(&ctx);
    let (mut code, mut triangles) = (Vec::new(), Vec::new());
    let mut begun = None;
    for frame in 0..FRAMES + 10 {
        if frame == 10 {
            begun = on_core_ns();
        }
        let shift = if frame % 2 == 0 { 2.5 } else { -2.5 };
        match deed {
            Deed::Still => {}
            Deed::Pan => {
                if let Some(transform) = &mut state.canvas.transform {
                    transform.centre = transform.centre + point(shift, 0.0);
                }
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
        if frame >= 10 {
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
    let colours = BaseColour::ALL;
    let pairs = neighbours.iter().flat_map(|(step, from, to)| {
        (0..n_parts.saturating_sub(*step)).map(move |at| (at, at + step, *from, *to))
    });
    for (n, (a, b, from, to)) in pairs.take(n_wires).enumerate() {
        let end = |part, terminal| End { terminal: TerminalRef { part, terminal }, kind: None };
        let wire = Wire {
            name: format!("W{n}"),
            circuit: String::new(),
            from: end(ids[a], from),
            to: end(ids[b], to),
            bends: Vec::new(),
            size: WireSize::Mm2(0.5),
            colour: Colour {
                base: colours[n % 12],
                tracer: (n % 4 == 0).then_some(colours[(n + 5) % 12]),
            },
            usage: if n % 5 == 0 { WireUse::Internal } else { WireUse::Harness },
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        apply(&mut project, Edit::AddWire(wire)).expect("both ends exist");
    }
    project
}
