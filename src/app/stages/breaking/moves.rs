//! Page Moves: what the pin passes while one control is moved, or two at once.

use egui::text::{LayoutJob, TextFormat};
use egui::{Color32, FontId, Id, Label, RichText, Ui};
use egui_extras::TableRow;

use crate::app::action::{Action, Actions};
use crate::app::reading::pin_title;
use crate::app::stages::breaking::beside_ui;
use crate::app::stages::breaking::listing::Listing;
use crate::app::stages::breaking::timeline::{ms, seen_words, timeline_ui};
use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::app::widgets::{
    Field, Fields, Pen, heading, number_text, parse_unit, quiet, word_button,
};
use crate::check::state_words;
use crate::edit::Edit;
use crate::model::{Harm, SensePin, SensePinId, Settings, Subject, Timing};
use crate::study::faults::MAX_STATES;
use crate::study::transitions::{Making, Move, Moves, Passing, Stay, Step};

/// What the page remembers between frames.
#[derive(Default)]
pub struct MovesState {
    fields: Fields,
    /// Only moves whose worst stay is this.
    only: Option<Passing>,
    /// Only moves with a stay that counts.
    only_counting: bool,
    /// The move that is looked at.
    chosen: Option<(usize, Vec<Step>, Option<Making>)>,
}

/// Height of a row: a line for each of two steps.
const ROW_HEIGHT: f32 = 40.0;
/// Height of the table in a narrow window.
const NARROW_TABLE: f32 = 150.0;

/// Times, all moves, and the timeline of the chosen one.
pub fn moves_ui(
    ui: &mut Ui,
    view: View<'_>,
    (id, pin): (SensePinId, &SensePin),
    own: &mut MovesState,
    actions: &mut Actions,
) {
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    times_ui(ui, &mut pen, (id, pin));
    match view.studies.breaking.moves((view.history.revision(), id)) {
        None => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Moving every control from every state …");
            });
        }
        Some(None) => {
            let words = format!(
                "There is nothing to move: {} has no network, more than {MAX_STATES} states, or a diode, relay or load decides what it reads.",
                pin_title(view.project, pin)
            );
            quiet(ui, words, view.palette);
        }
        Some(Some(moves)) => found_ui(ui, view, (pin, moves), own, actions),
    }
}

/// One of the times.
type TimeOf = fn(&mut Timing) -> &mut f64;

/// The three times, and the debounce they are held against.
fn times_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, pin): (SensePinId, &SensePin)) {
    let palette = pen.view.palette;
    let now = pen.view.project.settings.timing;
    ui.horizontal_wrapped(|ui| {
        let fields: [(_, _, TimeOf, _); 3] = [
            ("Second hand after", "Skew", |t| &mut t.skew_ms, "How long the second of two controls follows the first."),
            ("Contact to contact", "Change", |t| &mut t.change_ms, "How long a control that opens one contact and closes another takes between the two: a gap where it breaks before it makes, an overlap where it makes before it breaks."),
            ("Bounce", "Bounce", |t| &mut t.bounce_ms, "How long a contact that closes may go on opening and closing. The longest of 16 switches measured took 6.2 ms (J. Ganssle, A Guide to Debouncing)."),
        ];
        for (word, name, of, tip) in fields {
            ui.label(RichText::new(word).small().color(palette.quiet)).on_hover_text(tip);
            let shown = number_text(*of(&mut now.clone()), "ms");
            let field = Field::figure(Id::unique(("move time", name)), name, shown).width(76.0);
            let settings = &pen.view.project.settings;
            pen.field(ui, &field, |text| {
                let mut timing = now;
                *of(&mut timing) = parse_unit(text, "ms", "a time in milliseconds such as 30")?;
                Ok(Edit::SetSettings(Box::new(Settings { timing, ..settings.clone() })))
            });
            pen.refusal_ui(ui, field.id, &field.shown);
        }
        let words = pin.debounce_ms.map_or_else(
            || "debounce not known: every stay counts".to_owned(),
            |debounce| format!("debounce {}", ms(debounce)),
        );
        ui.label(RichText::new(words).small().color(palette.quiet));
        if word_button(ui, "change it", palette.chosen).clicked() {
            pen.actions.push(Action::ShowSubject(Subject::SensePin(id)));
        }
    });
}

fn found_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, moves): (&SensePin, &Moves),
    own: &mut MovesState,
    actions: &mut Actions,
) {
    filters_ui(ui, view, moves, own);
    ui.add_space(4.0);
    let shown: Vec<usize> = (0..moves.rows.len())
        .filter(|idx| {
            let row = &moves.rows[*idx];
            let counts = !own.only_counting || row.counted() != Passing::Silent;
            counts && own.only.is_none_or(|only| row.worst() == only)
        })
        .collect();
    let is_chosen = |row: &Move| {
        let chosen = own.chosen.as_ref();
        chosen.is_some_and(|(start, steps, making)| {
            (*start, steps, *making) == (row.start, &row.steps, row.making)
        })
    };
    let chosen = moves.rows.iter().position(is_chosen).or_else(|| shown.first().copied());
    let table = |ui: &mut Ui| {
        if let Some(idx) = table_ui(ui, view, (pin, moves), (&shown, chosen)) {
            let row = &moves.rows[idx];
            own.chosen = Some((row.start, row.steps.clone(), row.making));
            actions.push(Action::GoToState(moves.states[row.start].clone()));
        }
    };
    let detail = |ui: &mut Ui| match chosen {
        Some(idx) => detail_ui(ui, view, (pin, moves, &moves.rows[idx])),
        None => {
            quiet(ui, "No move passes anything of its own.", view.palette);
        }
    };
    beside_ui(ui, NARROW_TABLE, table, detail);
}

/// How many moves do what; each count filters.
fn filters_ui(ui: &mut Ui, view: View<'_>, moves: &Moves, own: &mut MovesState) {
    ui.horizontal_wrapped(|ui| {
        let is_all = own.only.is_none() && !own.only_counting;
        if ui.selectable_label(is_all, format!("all {} moves", moves.rows.len())).clicked() {
            (own.only, own.only_counting) = (None, false);
        }
        let n = moves.rows.iter().filter(|row| row.counted() != Passing::Silent).count();
        let words = format!("{n} long enough to count");
        let colour = if n > 0 { view.palette.warning } else { view.palette.right };
        let words = RichText::new(words).color(colour);
        if ui.selectable_label(own.only_counting, words).clicked() {
            own.only_counting = !own.only_counting;
        }
        for passing in Passing::ALL.into_iter().rev() {
            let n = moves.rows.iter().filter(|row| row.worst() == passing).count();
            let words = format!("{} {n} {}", passing_sign(passing), passing.word());
            if n > 0 && ui.selectable_label(own.only == Some(passing), words).clicked() {
                own.only = if own.only == Some(passing) { None } else { Some(passing) };
            }
        }
        if moves.left_out > 0 {
            let words = format!(
                "{} more, from states with many controls off rest, are left out",
                moves.left_out
            );
            quiet(ui, words, view.palette);
        }
    });
}

/// Heading and width of each column.
const COLUMNS: [(&str, f32); 5] =
    [("Does", 124.0), ("Move", 150.0), ("From", 116.0), ("Passes", 108.0), ("At most", 76.0)];

fn table_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, moves): (&SensePin, &Moves),
    (shown, chosen): (&[usize], Option<usize>),
) -> Option<usize> {
    let listing =
        Listing { salt: "moves", columns: &COLUMNS, row_height: ROW_HEIGHT, shown, chosen };
    let cells = |line: &mut TableRow<'_, '_>, idx: usize| {
        let row = &moves.rows[idx];
        for (n, text) in cells(view, (pin, moves), row).into_iter().enumerate() {
            let font = match n {
                0 => theme::bold(theme::TEXT_SMALL),
                _ => theme::plain(theme::TEXT_SMALL),
            };
            let colour = match n {
                0 => row_colour(view.palette, row),
                1 => view.palette.ink,
                _ => view.palette.quiet,
            };
            line.col(|ui| match n {
                1 => steps_ui(ui, &text, &font, colour),
                _ => {
                    ui.add(cell(text, font, colour));
                }
            });
        }
    };
    let words = |idx: usize| {
        let name = move_name(view, moves, &moves.rows[idx]);
        (format!("Move {name}"), format!("{name}\nclick to move the controls to its start"))
    };
    ui.scope(|ui| listing.ui(ui, view, cells, words)).inner
}

/// Each step on a line of its own, cut off where it does not fit.
fn steps_ui(ui: &mut Ui, text: &str, font: &FontId, colour: Color32) {
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let n_lines = text.lines().count() as f32;
        ui.add_space((ROW_HEIGHT - n_lines * (font.size + 3.0)) / 2.0);
        for step in text.lines() {
            let step = RichText::new(step).font(font.clone()).color(colour);
            ui.add(Label::new(step).truncate().selectable(false));
        }
    });
}

/// At most two lines that cannot be marked: text that can would take the click from its row.
fn cell(text: String, font: FontId, colour: Color32) -> Label {
    let mut job = LayoutJob::single_section(text, TextFormat::simple(font, colour));
    job.wrap.max_rows = 2;
    Label::new(job).wrap().selectable(false)
}

fn cells(view: View<'_>, (pin, moves): (&SensePin, &Moves), row: &Move) -> [String; 5] {
    let stay = row.main_stay();
    let counts = stay.is_some_and(|stay| stay.counts);
    let mark = match (row.harm, counts) {
        (Harm::Dangerous, true) => "⚠ ",
        (Harm::Harmless | Harm::Nuisance | Harm::Dangerous, _) => "",
    };
    let passing = row.worst();
    [
        format!("{mark}{} {}", passing_sign(passing), passing.word()),
        row.words(view.project).replace(" to ", " → ").replace(", then", "\nthen"),
        state_words(view.project, &moves.states[row.start]),
        stay.map_or_else(String::new, |stay| band_name(pin, stay.band).to_owned()),
        stay.map_or_else(String::new, |stay| {
            format!("{}{}", ms(stay.most_ms), if stay.counts { " ●" } else { "" })
        }),
    ]
}

/// `LEFT off to on, then CENTRE on to off, from CENTRE on, break before make`.
fn move_name(view: View<'_>, moves: &Moves, row: &Move) -> String {
    let making = row.making.map_or_else(String::new, |making| format!(", {}", making.word()));
    let start = state_words(view.project, &moves.states[row.start]);
    format!("{}, from {start}{making}", row.words(view.project))
}

/// A sign for what a move does, so that colour is not the only one.
pub fn passing_sign(passing: Passing) -> &'static str {
    match passing {
        Passing::WrongAction => "✖",
        Passing::OnTheWay => "◆",
        Passing::DropsOut => "○",
        Passing::Detected => "▲",
        Passing::Silent => "·",
    }
}

/// Colour of what a stay does.
pub fn passing_colour(palette: &Palette, passing: Passing) -> Color32 {
    match passing {
        Passing::WrongAction => palette.wrong,
        Passing::OnTheWay | Passing::DropsOut => palette.warning,
        Passing::Detected => palette.chosen,
        Passing::Silent => palette.quiet,
    }
}

/// What does not count stays quiet.
fn row_colour(palette: &Palette, row: &Move) -> Color32 {
    match row.counted() {
        Passing::Silent => palette.quiet,
        counted @ (Passing::WrongAction
        | Passing::OnTheWay
        | Passing::DropsOut
        | Passing::Detected) => passing_colour(palette, counted),
    }
}

fn band_name(pin: &SensePin, band: Option<usize>) -> &str {
    band.and_then(|idx| pin.bands.get(idx)).map_or("a guard", |band| band.name.as_str())
}

/// The move in full: its timeline, what it passes, and what of it counts.
fn detail_ui(ui: &mut Ui, view: View<'_>, (pin, moves, row): (&SensePin, &Moves, &Move)) {
    let title = RichText::new(row.words(view.project)).font(theme::bold(theme::TEXT_HEADING));
    ui.add(Label::new(title).wrap());
    let from = format!(
        "from {}{}",
        state_words(view.project, &moves.states[row.start]),
        row.making.map_or_else(String::new, |making| format!(" · {}", making.word()))
    );
    quiet(ui, from, view.palette);
    timeline_ui(ui, view, (pin, moves, row));
    if row.stays.is_empty() {
        let words = "✔ All the time it reads as one of the two ends does, or as nothing.";
        ui.add(Label::new(RichText::new(words).color(view.palette.right)).wrap());
    }
    for stay in &row.stays {
        let colour = if stay.counts {
            passing_colour(view.palette, stay.passing)
        } else {
            view.palette.quiet
        };
        let words = stay_words(pin, moves, stay);
        ui.add(Label::new(RichText::new(words).color(colour)).wrap());
    }
    heading(ui, "What it passes");
    let end = |idx: usize| band_name(pin, moves.bands[idx]);
    quiet(ui, format!("before: {}", end(row.start)), view.palette);
    for stretch in &row.stretches {
        let seen: Vec<String> = stretch.seen.iter().map(|seen| seen_words(pin, seen)).collect();
        let words =
            format!("{} to {}: {}", ms(stretch.from_ms), ms(stretch.to_ms), seen.join(" or "));
        quiet(ui, words, view.palette);
    }
    quiet(ui, format!("after: {}", end(row.end)), view.palette);
    ui.add_space(6.0);
    if moves.debounce_ms.is_some() && !row.stays.is_empty() {
        quiet(
            ui,
            "• The frame around a bar is the debounce: a bar that fills it counts.",
            view.palette,
        );
    }
    quiet(
        ui,
        "• The times are those typed above, not this machine's: measure them, or take them from the data sheet of the switch. Readings are usual values.",
        view.palette,
    );
}

/// `✖ BOTH may stay for 5 ms from 0 ms on: a wrong action; shorter than the debounce of 80 ms.`
fn stay_words(pin: &SensePin, moves: &Moves, stay: &Stay) -> String {
    let does = match stay.passing {
        Passing::WrongAction => "an action that no position of the move asks for",
        Passing::OnTheWay => "the action of a position that is passed",
        Passing::DropsOut => "what is asked for drops out",
        Passing::Detected => "taken for a broken wire or a short",
        Passing::Silent => "nothing",
    };
    let counts = match (moves.debounce_ms, stay.counts) {
        (None, _) => "the debounce is not known, so it counts".to_owned(),
        (Some(debounce), true) => format!("it counts, the debounce is only {}", ms(debounce)),
        (Some(debounce), false) => format!("too short to count, the debounce is {}", ms(debounce)),
    };
    format!(
        "{} {} may stay for {} from {} on: {does}; {counts}.",
        passing_sign(stay.passing),
        band_name(pin, stay.band),
        ms(stay.most_ms),
        ms(stay.from_ms)
    )
}
