//! `ohmloom pinout FILE CONNECTOR`: both views of a connector, and another maker's numbers taken over.

use serde::Serialize;

use crate::check::fed_halves;
use crate::cli::args::{Format, PinoutArgs};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::listed;
use crate::csv_text::csv_records;
use crate::drawing::{
    FacePlan, FaceSide, FaceView, convention_words, numbering_words, parse_convention, seen_as,
};
use crate::edit::{Edit, apply};
use crate::files;
use crate::geometry::Point;
use crate::harness::half_fills;
use crate::model::{
    Arrangement, CavityFill, Gender, HalfSide, Latch, Numbering, PartId, PartKind, Project,
    TerminalRef,
};

/// The half that was asked for.
struct Asked {
    part: PartId,
    side: HalfSide,
    name: String,
    gender: Gender,
    view: FaceView,
}

/// Shows a half's cavities as asked.
///
/// # Errors
/// A sentence: no such connector, or several of that name.
pub fn answer(project: &Project, args: &PinoutArgs) -> Result<Answer, String> {
    let asked = find(project, &args.connector)?;
    let rows = rows(project, &asked);
    let text = match args.file.format {
        Format::Table => text(project, &asked, &rows),
        Format::Csv => {
            let head = ["cavity", "wire", "size", "colour", "circuit", "fill"].map(str::to_owned);
            let records: Vec<Vec<String>> =
                [head.to_vec()].into_iter().chain(rows.into_iter().map(Row::cells)).collect();
            csv_records(&records)
        }
        Format::Json => document(project, &asked, &rows),
    };
    Ok(Answer { text, health: Health::Fine })
}

/// Takes another maker's numbers over: shows their picture and both of ours, and writes a new file
/// only where one is named.
///
/// # Errors
/// A sentence: what is not understood, or a file that cannot be written.
pub fn convert(args: &PinoutArgs, seen: &str) -> Result<String, String> {
    let out = args.file.out.as_deref();
    if out.is_some_and(|out| files::is_same_file(&args.file.file, out)) {
        return Err(
            "could not write over the project file itself: choose another name after --out".into(),
        );
    }
    let project = files::load(&args.file.file).map_err(|error| error.to_string())?;
    let asked = find(&project, &args.connector)?;
    let first = first_gender(&project, asked.part).unwrap_or(asked.gender);
    let convention = parse_convention(seen, asked.view.layout, (first, asked.side))?;
    let numbering = convention.ours(asked.view.latch);
    let new = FaceView { numbering, side: FaceSide::Face, half: HalfSide::First, ..asked.view };
    let mut text = wrapped(
        "",
        &format!(
            "Pin table of {}: {}",
            half_words(&project, &asked),
            convention_words(new.layout, convention)
        ),
        2,
    );
    text += &picture("as the pin table shows it", &seen_as(new, convention));
    for side in FaceSide::ALL {
        let view = FaceView { side, half: asked.side, ..new };
        text += &picture(
            &format!("new {} of {}", side.words(), half_words(&project, &asked)),
            &view.plan(),
        );
    }
    let words = numbering_words(new.layout, numbering);
    text += &wrapped("", &format!("Numbers on the face view of the first half: {words}"), 2);
    match out {
        None => text += "Nothing has been written: name a new file with --out.\n",
        Some(out) => {
            let mut changed = project;
            set_numbering(&mut changed, asked.part, numbering)?;
            files::save(out, &changed).map_err(|error| error.to_string())?;
            text += &format!("{} is written.\n", out.display());
        }
    }
    Ok(text)
}

fn set_numbering(project: &mut Project, id: PartId, numbering: Numbering) -> Result<(), String> {
    let Some(mut part) = project.parts.get(id).cloned() else { return Ok(()) };
    let Some(now) = part.kind.arrangement() else { return Ok(()) };
    part.kind.set_arrangement(Arrangement { numbering, ..now });
    apply(project, Edit::SetPart(id, Box::new(part))).map_err(|error| error.to_string())?;
    Ok(())
}

/// Finds `X1`, or a half as `X2 pins` or `X2 second`.
fn find(project: &Project, text: &str) -> Result<Asked, String> {
    let lower = text.trim().to_lowercase();
    let (name, wanted) = match lower.rsplit_once(' ') {
        Some((name, word @ ("pins" | "sockets" | "first" | "second"))) => (name, Some(word)),
        Some(_) | None => (lower.as_str(), None),
    };
    let halves = halves(project);
    let fits = |asked: &&Asked| {
        let side = match asked.side {
            HalfSide::First => "first",
            HalfSide::Second => "second",
        };
        let part = project.parts.get(asked.part).map_or("", |part| part.name.as_str());
        (asked.name.to_lowercase() == name || part.to_lowercase() == name)
            && wanted.is_none_or(|word| word == side || word == asked.gender.noun())
    };
    let found: Vec<&Asked> = halves.iter().filter(fits).collect();
    let index = match found.as_slice() {
        [] => {
            let known = listed(halves.iter().map(|asked| asked.name.as_str()));
            return Err(format!(
                "expected one of the connectors {known}, found \"{}\"{}",
                text.trim(),
                halves_note(&halves)
            ));
        }
        // Of one connector the half drawn left is meant where nothing else is said.
        [one, rest @ ..] if rest.iter().all(|other| other.part == one.part) => {
            halves.iter().position(|asked| asked.part == one.part && asked.side == one.side)
        }
        [..] => None,
    };
    match index.and_then(|at| halves.into_iter().nth(at)) {
        Some(asked) => Ok(asked),
        None => Err(format!(
            "several connectors are named {}: give them names of their own",
            text.trim()
        )),
    }
}

/// How one of two halves of one name is meant.
fn halves_note(halves: &[Asked]) -> String {
    let is_twin = |asked: &&Asked| {
        let twin = |other: &Asked| other.part == asked.part && other.side != asked.side;
        halves.iter().any(|other| twin(other) && other.name == asked.name)
    };
    halves.iter().find(is_twin).map_or_else(String::new, |asked| {
        format!(
            "; a connector of two halves is named with the half: {} pins or {} sockets",
            asked.name, asked.name
        )
    })
}

fn halves(project: &Project) -> Vec<Asked> {
    let mut out = Vec::new();
    for (part, row) in project.parts.iter() {
        for side in [HalfSide::First, HalfSide::Second] {
            let Some(view) = FaceView::of(&row.kind, side, FaceSide::Face) else { continue };
            if let Some(half) = row.kind.half(side) {
                out.push(Asked { part, side, name: half.name.clone(), gender: half.gender, view });
            }
        }
    }
    out
}

/// Its name, whether it is the pins or the sockets half, and of which connector.
fn half_words(project: &Project, asked: &Asked) -> String {
    project
        .parts
        .get(asked.part)
        .map_or_else(|| asked.name.clone(), |part| part.half_words(asked.side))
}

fn first_gender(project: &Project, part: PartId) -> Option<Gender> {
    halves(project)
        .into_iter()
        .find(|a| a.part == part && a.side == HalfSide::First)
        .map(|a| a.gender)
}

/// A cavity in words.
#[derive(Serialize)]
struct Row {
    cavity: u16,
    wire: String,
    size: String,
    colour: String,
    circuit: String,
    fill: &'static str,
}

impl Row {
    fn cells(self) -> Vec<String> {
        vec![
            self.cavity.to_string(),
            self.wire,
            self.size,
            self.colour,
            self.circuit,
            self.fill.to_owned(),
        ]
    }
}

fn rows(project: &Project, asked: &Asked) -> Vec<Row> {
    let Some(part) = project.parts.get(asked.part) else { return Vec::new() };
    let is_connector = matches!(part.kind, PartKind::Connector(_));
    (1..=asked.view.layout.count())
        .map(|cavity| {
            let terminal = match (is_connector, asked.side) {
                (false, _) => cavity - 1,
                (true, HalfSide::First) => 2 * (cavity - 1),
                (true, HalfSide::Second) => 2 * (cavity - 1) + 1,
            };
            let at = TerminalRef { part: asked.part, terminal };
            let ends = |w: &crate::model::Wire| [w.from.terminal, w.to.terminal].contains(&at);
            let wire = project.wires.iter().map(|(_, wire)| wire).find(|wire| ends(wire));
            let note = part.kind.cavity_at(terminal);
            let fill = match (wire, note.map_or(CavityFill::Free, |note| note.fill)) {
                (Some(_), _) => "wire",
                (None, CavityFill::Free) => "empty",
                (None, CavityFill::Existing) => "existing",
                (None, CavityFill::Plug) => "plug",
            };
            Row {
                cavity,
                wire: wire.map_or_else(String::new, |wire| wire.name.clone()),
                size: wire.map_or_else(String::new, |wire| wire.size.text()),
                colour: wire.map_or_else(String::new, |wire| wire.colour.text()),
                circuit: note.map_or_else(String::new, |note| note.circuit.clone()),
                fill,
            }
        })
        .collect()
}

fn text(project: &Project, asked: &Asked, rows: &[Row]) -> String {
    let words = numbering_words(asked.view.layout, asked.view.numbering);
    let mut text = wrapped(
        "",
        &format!(
            "{}; numbers on the face view of the first half {words}",
            half_words(project, asked)
        ),
        2,
    );
    for side in FaceSide::ALL {
        let view = FaceView { side, ..asked.view };
        let title = format!("{} of {}", side.words(), half_words(project, asked));
        text += &picture(&title, &view.plan());
    }
    let columns = [
        ("cavity", Align::Right),
        ("wire", Align::Left),
        ("size", Align::Right),
        ("colour", Align::Left),
        ("circuit", Align::Left),
        ("fill", Align::Left),
    ];
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            vec![
                row.cavity.to_string(),
                row.wire.clone(),
                row.size.clone(),
                row.colour.clone(),
                row.circuit.clone(),
                row.fill.to_owned(),
            ]
        })
        .collect();
    text += &table(&columns, &cells);
    let is_fed = fed_halves(project, asked.part).contains(&asked.side);
    text += if is_fed {
        "\nThis half is fed from the supply: it stays live when it is pulled; it should have sockets.\n"
    } else {
        "\nThis half is not fed while it is pulled, as far as supplies are drawn.\n"
    };
    let fills = half_fills(project);
    if let Some(fill) = fills.iter().find(|f| f.part == asked.part && f.side == asked.side) {
        text += &format!("Sealing plugs needed: {}\n", fill.plugs_needed());
    }
    text
}

/// A face in letters: the numbers at their places, the latch as a bar on its side.
fn picture(title: &str, plan: &FacePlan) -> String {
    const ACROSS: f64 = 4.0;
    const DOWN: f64 = 2.0;
    let nearest = nearest_mm(&plan.spots).unwrap_or(plan.cavity_mm);
    let at = |p: &Point| {
        let column = (p.x_mm / nearest * ACROSS).round() as usize;
        let row = (p.y_mm / nearest * DOWN).round() as usize;
        (row, column + 2)
    };
    let (rows, columns) = plan
        .spots
        .iter()
        .map(&at)
        .fold((0, 0), |(rows, columns), (row, column)| (rows.max(row), columns.max(column)));
    let mut lines = vec![vec![' '; columns + 6]; rows + 3];
    for (number, spot) in (1u16..).zip(&plan.spots) {
        let (row, column) = at(spot);
        let digits: Vec<char> = number.to_string().chars().collect();
        let from = (column + 1).saturating_sub(digits.len() / 2);
        for (n, digit) in digits.into_iter().enumerate() {
            lines[row + 1][from + n] = digit;
        }
    }
    let bar: Vec<char> = "latch".chars().collect();
    let middle = (columns + 4).saturating_sub(bar.len()) / 2;
    let side_row = (rows + 2) / 2;
    match plan.latch {
        Latch::Up => lines[0][middle..middle + bar.len()].copy_from_slice(&bar),
        Latch::Down => lines[rows + 2][middle..middle + bar.len()].copy_from_slice(&bar),
        Latch::Left => lines[side_row][0] = '[',
        Latch::Right => lines[side_row][columns + 5] = ']',
    }
    let side = match plan.latch {
        Latch::Up | Latch::Down => String::new(),
        Latch::Left => ", latch left: [".into(),
        Latch::Right => ", latch right: ]".into(),
    };
    let mut text = format!("\n{}{side}\n", title.to_uppercase());
    for line in lines {
        let line: String = line.into_iter().collect();
        if !line.trim().is_empty() {
            text += line.trim_end();
            text += "\n";
        }
    }
    text + "\n"
}

/// Distance of the two nearest cavities.
fn nearest_mm(spots: &[Point]) -> Option<f64> {
    let pairs =
        spots.iter().enumerate().flat_map(|(n, a)| spots[n + 1..].iter().map(move |b| (a, b)));
    pairs.map(|(a, b)| a.distance(*b)).min_by(f64::total_cmp)
}

fn document(project: &Project, asked: &Asked, rows: &[Row]) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        half: &'a str,
        connector: &'a str,
        side: &'static str,
        terminals: &'static str,
        numbering: String,
        latch: &'static str,
        to_scale: bool,
        face_view_mm: Vec<[f64; 2]>,
        wire_view_mm: Vec<[f64; 2]>,
        cavities: &'a [Row],
    }
    let spots = |side| {
        let plan = FaceView { side, ..asked.view }.plan();
        let pair = |p: &Point| [p.x_mm, p.y_mm].map(|mm| json::number(mm).unwrap_or(0.0));
        plan.spots.iter().map(pair).collect()
    };
    json::document(&Document {
        half: &asked.name,
        connector: project.parts.get(asked.part).map_or("", |part| part.name.as_str()),
        side: match asked.side {
            HalfSide::First => "first",
            HalfSide::Second => "second",
        },
        terminals: asked.gender.noun(),
        numbering: numbering_words(asked.view.layout, asked.view.numbering),
        latch: asked.view.latch.noun(),
        to_scale: asked.view.fit.pitch_mm.is_some(),
        face_view_mm: spots(FaceSide::Face),
        wire_view_mm: spots(FaceSide::Wires),
        cavities: rows,
    })
}
