//! Fields on the layout itself: the length of a run where it lies, the name of a place at its dot,
//! and the two questions a drawing hand is asked.

use egui::{
    Id, Key, Pos2, Rect, RichText, Sense, Stroke, TextEdit, Ui, UiBuilder, Vec2, pos2, vec2,
};

use crate::app::action::{Action, Actions, LayoutItem};
use crate::app::canvas::Lens;
use crate::app::stages::route::canvas::drawn_mm;
use crate::app::stages::route::lists::{run_changed, run_fields};
use crate::app::stages::route::scene::along;
use crate::app::stages::route::state::{Asking, RouteState};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Field, Pen, parse_named, quiet, word_button};
use crate::edit::Edit;
use crate::model::{Place, PlaceId, Run, RunId};

/// All fields that stand on the layout now.
pub fn inline_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    lens: &Lens,
    actions: &mut Actions,
) {
    if std::mem::take(&mut own.rename_wanted) {
        match view.layout {
            Some(LayoutItem::Place(id)) => {
                own.renaming = Some(id);
                own.focus_name = true;
            }
            Some(LayoutItem::Run(id)) => own.focus_length = Some(id),
            // The place that wants a name comes with the next frame.
            Some(LayoutItem::Underlay) | None => own.rename_wanted = true,
        }
        ui.ctx().request_repaint();
    }
    if own.asking.is_some() {
        asking_ui(ui, view, own, lens, actions);
        return;
    }
    if let Some(id) = own.renaming {
        name_ui(ui, view, own, (id, lens), actions);
    }
    if let Some(LayoutItem::Run(id)) = view.layout
        && let Some(run) = view.project.runs.get(id)
    {
        run_ui(ui, view, own, (id, run, lens), actions);
    }
}

/// A small card on the layout, kept inside the view; what is in it takes the pointer.
fn card_at(
    ui: &mut Ui,
    (id, lens): (Id, &Lens),
    (at, size): (Pos2, Vec2),
    view: View<'_>,
    add: impl FnOnce(&mut Ui),
) {
    let inside = lens.view.shrink(6.0);
    let min = pos2(
        (at.x - size.x / 2.0).min(inside.right() - size.x).max(inside.left()),
        at.y.min(inside.bottom() - size.y).max(inside.top()),
    );
    let rect = Rect::from_min_size(min, size);
    ui.interact(rect, id, Sense::click_and_drag());
    let painter = ui.painter();
    painter.rect_filled(rect, 7.0, view.palette.card);
    let edge = Stroke::new(1.2, view.palette.chosen);
    painter.rect_stroke(rect, 7.0, edge, egui::StrokeKind::Inside);
    let inner = rect.shrink2(vec2(9.0, 7.0));
    let mut child = ui.new_child(UiBuilder::new().max_rect(inner).id_salt(id));
    child.set_clip_rect(rect.intersect(ui.clip_rect()));
    child.spacing_mut().item_spacing = vec2(6.0, 4.0);
    add(&mut child);
}

/// The name of a place, typed at its dot.
fn name_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    (id, lens): (PlaceId, &Lens),
    actions: &mut Actions,
) {
    let Some(place) = view.project.places.get(id) else {
        own.renaming = None;
        return;
    };
    let at = lens.screen_from_sheet(place.pos) + vec2(0.0, 14.0);
    let field = Field::figure(
        Id::unique(("layout name", id)),
        format!("Name on the layout, {}", place.name),
        place.name.as_str(),
    );
    let has_refusal = own.fields.refused(field.id).is_some();
    let height = if has_refusal { 92.0 } else { 40.0 };
    let wants_focus = std::mem::take(&mut own.focus_name);
    if wants_focus {
        ui.memory_mut(|memory| memory.request_focus(field.id));
    }
    let card = Id::unique(("name card", id));
    let mut is_left = false;
    card_at(ui, (card, lens), (at, vec2(220.0, height)), view, |ui| {
        let mut pen = Pen { view, fields: &mut own.fields, actions };
        pen.field(ui, &field, |text| {
            let name = parse_named(text)?;
            Ok(Edit::SetPlace(id, Place { name, ..place.clone() }))
        });
        pen.refusal_ui(ui, field.id, &field.shown);
        is_left = !wants_focus && !ui.memory(|memory| memory.has_focus(field.id));
    });
    if is_left && !has_refusal {
        own.renaming = None;
    }
}

/// Length and loop of the selected run, on the run.
fn run_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    (id, run, lens): (RunId, &Run, &Lens),
    actions: &mut Actions,
) {
    let Some(line) = own.scene.lines.get(&id) else { return };
    let label = own.painted.as_ref().and_then(|painted| painted.label(id));
    let middle = label.map_or(lens.screen_from_sheet(along(line, 0.5)), |rect| rect.center());
    let [length, slack] = run_fields(view.preferences, (id, run), "on the layout");
    let refusals = [&length, &slack]
        .into_iter()
        .filter(|field| own.fields.refused(field.id).is_some())
        .count();
    let drawn = drawn_mm(view, [run.from, run.to]);
    let height = 40.0 + 50.0 * refusals as f32 + if drawn.is_some() { 24.0 } else { 0.0 };
    let wants_focus = own.focus_length.take_if(|wanted| *wanted == id).is_some();
    if wants_focus {
        // Before the field is shown, so that it marks its text.
        ui.memory_mut(|memory| memory.request_focus(length.id));
    }
    let card = Id::unique(("run card", id));
    let size = vec2(304.0, height);
    card_at(ui, (card, lens), (middle + vec2(0.0, 16.0), size), view, |ui| {
        ui.horizontal(|ui| {
            let mut pen = Pen { view, fields: &mut own.fields, actions };
            ui.label(RichText::new("Length").small().color(view.palette.quiet));
            pen.field(ui, &length.clone().width(84.0), |text| {
                let length_mm = view.preferences.parse_length_mm(text)?;
                Ok(run_changed((id, run), |run| run.length_mm = length_mm))
            });
            let tip = "Slack for a run that moves; empty where nothing moves";
            ui.label(RichText::new("loop").small().color(view.palette.quiet)).on_hover_text(tip);
            pen.field(ui, &slack.clone().width(70.0), |text| {
                let text = text.trim();
                let loop_mm = if text.is_empty() {
                    None
                } else {
                    Some(view.preferences.parse_length_mm(text)?)
                };
                Ok(run_changed((id, run), |run| run.loop_mm = loop_mm))
            });
        });
        let mut pen = Pen { view, fields: &mut own.fields, actions };
        for field in [&length, &slack] {
            pen.refusal_ui(ui, field.id, &field.shown);
        }
        if let Some(drawn_mm) = drawn {
            let text = format!("As drawn, straight: {}", view.preferences.length_text(drawn_mm));
            quiet(ui, text, view.palette);
        }
    });
}

/// A question on the layout: how long a new run is, or how long a stretch is on the machine.
fn asking_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    lens: &Lens,
    actions: &mut Actions,
) {
    let Some(mut asking) = own.asking.take() else { return };
    let is_new = std::mem::take(&mut own.asking_is_new);
    let (middle, heading, hint, word) = match &asking {
        Asking::NewRun { ends, .. } => {
            let [Some(a), Some(b)] = ends.map(|id| view.project.places.get(id)) else { return };
            let middle = middle_of(lens, [a.pos, b.pos]);
            (middle, format!("{} to {}", a.name, b.name), "rope length, such as 1.2 m", "Draw it")
        }
        Asking::Scale { ends, .. } => {
            let middle = middle_of(lens, *ends);
            (middle, "This stretch of the machine is".to_owned(), "such as 1 m", "Set the scale")
        }
    };
    let (label, text, error) = match &mut asking {
        Asking::NewRun { text, error, .. } => ("Length of the new run", text, error),
        Asking::Scale { text, error, .. } => ("Length of the stretch", text, error),
    };
    let height = if error.is_some() { 142.0 } else { 104.0 };
    let (mut is_taken, mut is_left) = (false, false);
    let card = Id::unique("asking card");
    let at = middle + vec2(0.0, 14.0);
    card_at(ui, (card, lens), (at, vec2(290.0, height)), view, |ui| {
        let heading = RichText::new(heading).font(theme::bold(theme::TEXT_SMALL));
        ui.add(egui::Label::new(heading).truncate());
        let field = TextEdit::singleline(text)
            .id(Id::unique("asking field"))
            .desired_width(f32::INFINITY)
            .hint_text(hint);
        let response = ui.add(field).accessible_name(label);
        if is_new {
            response.request_focus();
        }
        if response.lost_focus() {
            is_taken = ui.input(|input| input.key_pressed(Key::Enter));
            is_left = ui.input(|input| input.key_pressed(Key::Escape));
        }
        if let Some(error) = error {
            let words = format!("⚠ Not taken: {error}.");
            ui.add(egui::Label::new(RichText::new(words).small().color(view.palette.wrong)).wrap());
        }
        ui.horizontal(|ui| {
            is_taken |= word_button(ui, word, view.palette.chosen).clicked();
            is_left |= word_button(ui, "Leave it", view.palette.quiet).clicked();
        });
    });
    if is_left {
        return;
    }
    if is_taken {
        match answered(view, &asking) {
            Ok(edit) => {
                actions.push(Action::Edit(edit, None));
                return;
            }
            Err(sentence) => {
                let (Asking::NewRun { error, .. } | Asking::Scale { error, .. }) = &mut asking;
                *error = Some(sentence);
                own.asking_is_new = true;
            }
        }
    }
    own.asking = Some(asking);
}

fn middle_of(lens: &Lens, ends: [crate::geometry::Point; 2]) -> Pos2 {
    let [a, b] = ends.map(|p| lens.screen_from_sheet(p));
    a + (b - a) / 2.0
}

/// The edit an answer makes.
fn answered(view: View<'_>, asking: &Asking) -> Result<Edit, String> {
    match asking {
        Asking::NewRun { ends: [from, to], text, .. } => {
            let length_mm = view.preferences.parse_length_mm(text)?;
            let name = |id: PlaceId| view.project.places.get(id).map_or("?", |p| p.name.as_str());
            let name = format!("{} to {}", name(*from), name(*to));
            Ok(Edit::AddRun(Run {
                name,
                from: *from,
                to: *to,
                length_mm,
                loop_mm: None,
                laid: Default::default(),
            }))
        }
        Asking::Scale { ends: [a, b], text, .. } => {
            let length_mm = view.preferences.parse_length_mm(text)?;
            Ok(Edit::SetLayoutScale(Some(length_mm / a.distance(*b))))
        }
    }
}
