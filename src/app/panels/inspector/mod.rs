//! Properties of what is selected, and of what lies on no sheet: controls, sense pins, the project.

mod arrangement;
mod bands;
mod cavities;
mod connector;
mod contact;
mod control;
mod controls;
mod convention;
mod element;
mod expectations;
mod fit;
mod measuring;
mod meter;
mod part;
mod pins;
mod project;
mod resistor;
mod settings;
mod several;
mod simple;
#[cfg(test)]
mod tests;
mod wire;

pub use meter::meter_profile_ui;
pub use part::place_choice;

use egui::{Button, RichText, Ui};

use crate::app::action::Actions;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Fields, Pen};
use crate::check;
use crate::edit::{Item, Revision, Selection};
use crate::model::{ControlId, HalfSide, PartId, SensePinId, Subject};

/// One page of the panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Page {
    Selection,
    Controls,
    Pins,
    Project,
}

impl Page {
    const ALL: [Self; 4] = [Self::Selection, Self::Controls, Self::Pins, Self::Project];

    fn word(self) -> &'static str {
        match self {
            Self::Selection => "Selected",
            Self::Controls => "Controls",
            Self::Pins => "Sense pins",
            Self::Project => "Settings",
        }
    }

    fn tip(self) -> &'static str {
        match self {
            Self::Selection => "Properties of what is selected on the sheet",
            Self::Controls => "What a hand moves, and which contacts move with it",
            Self::Pins => "How the controller measures, and what it makes of a reading",
            Self::Project => "Title, notes, dirt, cut lengths, meter",
        }
    }
}

/// What the panel remembers between frames.
#[derive(Default)]
pub struct InspectorState {
    fields: Fields,
    /// The page a hand chose; `None` follows the selection.
    page: Option<Page>,
    /// Selection the page was chosen for.
    seen: Selection,
    wanted: Option<Subject>,
    unfolded: Unfolded,
}

/// What is folded out on the pages.
#[derive(Default)]
struct Unfolded {
    control: Option<ControlId>,
    pin: Option<SensePinId>,
    cavity: Option<(PartId, u16)>,
    second_half: Option<PartId>,
    rule: Option<(SensePinId, usize)>,
    /// Which halves of a part stay live when it is pulled, as of a revision.
    fed: Option<(Revision, PartId, Vec<HalfSide>)>,
    /// A pin table being typed in, and the part it is for.
    pin_table: Option<(PartId, convention::PinTable)>,
}

impl Unfolded {
    /// Which halves of a part stay live when it is pulled; reckoned once for each revision.
    fn fed_halves(&mut self, view: View<'_>, part: PartId) -> &[HalfSide] {
        let revision = view.history.revision();
        if self.fed.as_ref().is_none_or(|(of, id, _)| (*of, *id) != (revision, part)) {
            self.fed = Some((revision, part, check::fed_halves(view.project, part)));
        }
        self.fed.as_ref().map_or(&[], |(_, _, halves)| halves.as_slice())
    }

    /// Which half of a connector is looked at.
    fn half(&self, part: PartId) -> HalfSide {
        if self.second_half == Some(part) { HalfSide::Second } else { HalfSide::First }
    }

    /// The cavity of a part that is looked at.
    fn cavity(&self, part: PartId) -> Option<u16> {
        self.cavity.filter(|(of, _)| *of == part).map(|(_, cavity)| cavity)
    }
}

impl InspectorState {
    /// Opens the page of a control or a sense pin at the next frame.
    pub fn show(&mut self, subject: Subject) {
        self.wanted = Some(subject);
    }
}

/// Properties of what is selected.
pub fn inspector_ui(
    ui: &mut Ui,
    view: View<'_>,
    focus_name: bool,
    own: &mut InspectorState,
    actions: &mut Actions,
) {
    ui.spacing_mut().item_spacing.y = 6.0;
    if own.seen != *view.selection {
        own.seen.clone_from(view.selection);
        own.page = None;
    }
    match own.wanted.take() {
        Some(Subject::Control(id)) => {
            own.page = Some(Page::Controls);
            own.unfolded.control = Some(id);
        }
        Some(Subject::SensePin(id)) => {
            own.page = Some(Page::Pins);
            own.unfolded.pin = Some(id);
        }
        Some(Subject::Project) => own.page = Some(Page::Project),
        Some(
            Subject::Part(_)
            | Subject::Wire(_)
            | Subject::Frame(_)
            | Subject::Place(_)
            | Subject::Run(_),
        )
        | None => {}
    }
    let follows = if view.selection.is_empty() { Page::Project } else { Page::Selection };
    let page = own.page.filter(|page| *page != Page::Selection).unwrap_or(follows);
    if focus_name {
        own.page = None;
    }
    if let Some(picked) = page_words_ui(ui, view, page) {
        own.page = Some(picked);
    }
    ui.add_space(2.0);
    let mut next = Next::default();
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    match page {
        Page::Selection => selection_ui(ui, &mut pen, focus_name, &mut own.unfolded, &mut next),
        Page::Controls => controls::controls_page_ui(ui, &mut pen, &mut own.unfolded),
        Page::Pins => pins::pins_page_ui(ui, &mut pen, &mut own.unfolded),
        Page::Project => project::project_page_ui(ui, &mut pen),
    }
    own.wanted = own.wanted.or(next.0);
}

/// Where an editor wants to lead next.
#[derive(Default)]
struct Next(Option<Subject>);

/// The words of the pages; returns the one that was clicked.
fn page_words_ui(ui: &mut Ui, view: View<'_>, page: Page) -> Option<Page> {
    let mut picked = None;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 11.0;
        ui.spacing_mut().button_padding.x = 0.0;
        for option in Page::ALL {
            let chosen = option == page;
            let text = RichText::new(option.word());
            let text = if chosen {
                text.font(theme::bold(theme::TEXT_SMALL))
            } else {
                text.color(view.palette.quiet).size(theme::TEXT_SMALL)
            };
            let enabled = option != Page::Selection || !view.selection.is_empty();
            let response =
                ui.add_enabled(enabled, Button::new(text).frame(false)).on_hover_text(option.tip());
            if chosen {
                let line = egui::Rect::from_min_size(
                    response.rect.left_bottom() + egui::vec2(0.0, 0.0),
                    egui::vec2(response.rect.width(), 2.5),
                );
                ui.painter().rect_filled(line, 1.0, view.palette.live);
            }
            if response.clicked() {
                picked = Some(option);
            }
        }
    });
    picked
}

fn selection_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    focus_name: bool,
    unfolded: &mut Unfolded,
    next: &mut Next,
) {
    let project = pen.view.project;
    let first = pen.view.selection.iter().next().copied();
    match first {
        Some(item) if pen.view.selection.len() == 1 => match item {
            Item::Part(id) => {
                if let Some(part) = project.parts.get(id) {
                    part::part_ui(ui, pen, (id, part), focus_name, unfolded, next);
                }
            }
            Item::Wire(id) => {
                if let Some(wire) = project.wires.get(id) {
                    wire::wire_ui(ui, pen, (id, wire), focus_name);
                }
            }
            Item::Frame(id) => {
                if let Some(frame) = project.frames.get(id) {
                    simple::frame_ui(ui, pen, (id, frame), focus_name);
                }
            }
        },
        Some(_) | None => several::several_ui(ui, pen),
    }
}
