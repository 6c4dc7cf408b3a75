//! The one place where what a hand did changes the window's state.

use std::path::PathBuf;

use crate::app::action::{Action, LayoutItem, Stage, UnsavedAnswer};
use crate::app::command::Command;
use crate::app::dialogs::DialogPurpose;
use crate::app::file_work::{self, guarded};
use crate::app::layout_work::{self, Meaning};
use crate::app::packet_work;
use crate::app::panels::Page;
use crate::app::prefs::ThemeChoice;
use crate::app::prove_studies::ProvePage;
use crate::app::state::{AppState, Notice};
use crate::app::wire_tables;
use crate::drawing;
use crate::edit::{Edge, Edit, Gesture, Item, Selection};
use crate::files;
use crate::geometry::point;
use crate::model::{ControlId, Frame, Project, State, Subject};

/// Carries out one action.
pub fn dispatch(state: &mut AppState, action: Action) {
    packet_work::leave(state, &action);
    match action {
        Action::Edit(edit, gesture) => edit_project(state, edit, gesture),
        Action::Run(command) => run_command(state, command),
        Action::Select(selection) => {
            if !selection.is_empty() {
                state.layout = None;
            }
            state.selection = selection;
        }
        Action::SelectLayout(item) => layout_work::select(state, item),
        Action::TakePicture(path) => state.pictures.take(path),
        Action::ShowStage(stage) => state.stage = stage,
        Action::ShowPin(pin) => {
            state.pin = Some(pin);
            state.scale = None;
        }
        Action::ReadoutScale(scale) => state.scale = Some(scale),
        Action::MoveControl(control, position) => move_control(state, control, position),
        Action::ReleaseControl(control) => release_control(state, control),
        Action::LatchControl(control, latched) => latch_control(state, control, latched),
        Action::SeekValues(question) => {
            let revision = state.history.revision();
            state.studies.seek(state.history.project(), revision, *question);
        }
        Action::PartTwins(row) => {
            if let Some(pin) = state.shown_pin() {
                let key = (state.history.revision(), pin);
                state.studies.part(state.history.project(), key, row);
            }
        }
        Action::ShowAsIf(title) => state.studies.as_if.set(title),
        Action::ShowBreakPage(page) => state.studies.breaking.page = page,
        Action::ShowCutPage(page) => state.studies.cutting.page = page,
        Action::AskProve(ask) => state.studies.proving.ask(ask),
        Action::ShowProvePage(page) => state.studies.proving.page = page,
        Action::OpenLog(None) => state.ask_path(DialogPurpose::OpenLog),
        Action::OpenLog(Some(path)) => file_work::open_log(state, path),
        Action::CompareWith(None) => state.ask_path(DialogPurpose::CompareWith),
        Action::CompareWith(Some(path)) => file_work::compare_with(state, &path),
        Action::StopSeeking => state.studies.stop_seeking(),
        Action::GoToState(bench) => {
            state.latched = returning_controls_off_rest(state.project(), &bench);
            state.bench = bench;
        }
        Action::PutLead(lead, terminal) => state.meter.put(lead, terminal),
        Action::MeterMode(mode) => state.meter.mode = mode,
        Action::ShowSubject(subject) => show_subject(state, subject),
        Action::OpenFile(path) => guarded(state, Action::OpenFile(path.clone()), |state| {
            file_work::open_file(state, path)
        }),
        Action::OpenSample(name) => {
            guarded(state, Action::OpenSample(name.clone()), |state| {
                file_work::open_sample(state, &name)
            });
        }
        Action::SaveTo(path) => {
            save_to(state, path);
        }
        Action::ExportCutList(path) => file_work::export_cut_list(state, &path),
        Action::OpenWireTable(path) => wire_tables::open(state, &path),
        Action::ExportWires(path) => wire_tables::export(state, &path),
        Action::ChoosePrint(choices) => state.packet.choose(*choices),
        Action::DatePacket(date) => state.packet.set_date(date),
        Action::ShowSheet(kind) => packet_work::show_sheet(state, kind),
        Action::MakePacket => state.packet.try_again(),
        Action::StopPacket => state.packet.stop(),
        Action::SavePacket(what) => packet_work::ask_where(state, what),
        Action::WritePacket(what, path) => packet_work::write(state, what, path),
        Action::SetPreferences(preferences) => state.preferences = preferences,
        Action::AnswerUnsaved(answer) => answer_unsaved(state, answer),
        Action::AnswerRecovery(take) => file_work::answer_recovery(state, take),
        Action::AnswerPath(path) => answer_path(state, path),
        Action::Say(text) => state.notice = Some(Notice { text, is_error: false }),
        Action::Refuse(text) => file_work::say_error(state, text),
        Action::DismissNotice => state.notice = None,
    }
}

fn latch_control(state: &mut AppState, control: ControlId, latched: bool) {
    if latched {
        state.latched.insert(control);
    } else {
        state.latched.remove(&control);
        release_control(state, control);
    }
}

fn edit_project(state: &mut AppState, edit: Edit, gesture: Option<Gesture>) {
    let made = layout_work::made_by(&edit);
    match state.history.commit(edit, gesture) {
        Ok(applied) => {
            if let Some((made, row)) = made.zip(applied.row) {
                layout_work::select(state, Some(made(row)));
            }
            if !applied.created.is_empty() {
                state.selection = applied.created;
            }
            forget_what_is_gone(state);
        }
        Err(error) => file_work::say_error(state, format!("Not changed: {error}.")),
    }
}

/// After a change nothing may point at rows that are no longer there.
fn forget_what_is_gone(state: &mut AppState) {
    let project = state.history.project();
    state.selection.retain(|item| match item {
        Item::Part(id) => project.parts.contains(*id),
        Item::Wire(id) => project.wires.contains(*id),
        Item::Frame(id) => project.frames.contains(*id),
    });
    state.layout = state.layout.filter(|item| layout_work::is_there(project, *item));
    let positions =
        |id: &ControlId| project.controls.get(*id).map_or(0, |control| control.positions.len());
    state.bench.0.retain(|id, position| usize::from(*position) < positions(id));
    state.latched.retain(|id| project.controls.contains(*id));
    state.meter.red = state.meter.red.filter(|terminal| project.has_terminal(*terminal));
    state.meter.black = state.meter.black.filter(|terminal| project.has_terminal(*terminal));
    state.pin = state.pin.filter(|pin| project.sense_pins.contains(*pin));
}

fn run_command(state: &mut AppState, command: Command) {
    if packet_work::on_packet(state, command) {
        return;
    }
    match layout_work::on_route(state, command) {
        Meaning::Usual => {}
        Meaning::Done => return,
        Meaning::Edit(edit) => return edit_project(state, edit, None),
    }
    match command {
        Command::New => guarded(state, Action::Run(Command::New), |state| {
            file_work::replace_project(state, Project::empty("New project"), None);
        }),
        Command::Open => state.ask_path(DialogPurpose::Open),
        Command::Save => {
            save(state);
        }
        Command::SaveAs => {
            let name = state.suggested_name("ohmloom");
            state.ask_path(DialogPurpose::SaveProject(name));
        }
        Command::ExportCutList => {
            let name = state.suggested_name("csv");
            state.ask_path(DialogPurpose::ExportCutList(name));
        }
        Command::TakePicture => {
            state.stage = Stage::Route;
            state.ask_path(DialogPurpose::TakePicture);
        }
        Command::Packet => packet_work::toggle(state),
        Command::WireTable => turn_page(state, Page::WireTable),
        Command::OpenWireTable => state.ask_path(DialogPurpose::OpenWireTable),
        Command::ExportWires => wire_tables::ask_where(state),
        Command::Undo => undo(state),
        Command::Redo => redo(state),
        Command::Delete
        | Command::Duplicate
        | Command::Turn
        | Command::Flip
        | Command::AlignRow
        | Command::AlignColumn
        | Command::SelectAll
        | Command::FrameSelection => run_on_selection(state, command),
        Command::PlaceByTyping => {
            state.stage = Stage::Sketch;
            state.canvas.focus_placing = true;
        }
        Command::Find => {
            state.stage = Stage::Sketch;
            state.canvas.focus_find = true;
        }
        Command::Rename => state.panels.focus_name = true,
        Command::Fit => state.canvas.fit_wanted = true,
        Command::ZoomIn => state.canvas.zoom_wanted = Some(1.25),
        Command::ZoomOut => state.canvas.zoom_wanted = Some(0.8),
        Command::Problems => turn_page(state, Page::Problems),
        Command::RestControls => {
            state.bench = State::rest();
            state.latched.clear();
        }
        Command::LeadsOff => {
            state.meter.red = None;
            state.meter.black = None;
        }
        Command::SwitchTheme => switch_theme(state),
        Command::TextLarger => scale_text(state, 0.1),
        Command::TextSmaller => scale_text(state, -0.1),
        Command::StageSketch => state.stage = Stage::Sketch,
        Command::StageRead => state.stage = Stage::Read,
        Command::StageChoose => state.stage = Stage::Choose,
        Command::StageBreak => state.stage = Stage::Break,
        Command::StageRoute => state.stage = Stage::Route,
        Command::StageCut => state.stage = Stage::Cut,
        Command::StageProve if state.stage == Stage::Prove => {
            // The key leads back to the bench test from what was looked up beside it.
            state.studies.proving.page = ProvePage::Bench;
        }
        Command::StageProve => state.stage = Stage::Prove,
        Command::Preferences => turn_page(state, Page::Preferences),
        Command::Help => turn_page(state, Page::Help),
        Command::Quit => guarded(state, Action::Run(Command::Quit), |state| state.closing = true),
    }
}

fn switch_theme(state: &mut AppState) {
    state.preferences.theme = match state.preferences.theme {
        ThemeChoice::Paper => ThemeChoice::Bench,
        ThemeChoice::Bench => ThemeChoice::Paper,
    };
}

/// Opens a page, or closes it when it is open.
fn turn_page(state: &mut AppState, page: Page) {
    state.panels.page = if state.panels.page == Some(page) { None } else { Some(page) };
}

/// Ten percent more or less, on whole tens.
fn scale_text(state: &mut AppState, by: f32) {
    let tens = ((state.preferences.clamped_text_scale() + by) * 10.0).round();
    state.preferences.text_scale = tens / 10.0;
    state.preferences.text_scale = state.preferences.clamped_text_scale();
}

fn undo(state: &mut AppState) {
    let step = state.history.undo();
    let text = step.map_or("Nothing to undo.".into(), |step| format!("Undone: {step}."));
    after_step(state, text);
}

fn redo(state: &mut AppState) {
    let step = state.history.redo();
    let text = step.map_or("Nothing to redo.".into(), |step| format!("Made again: {step}."));
    after_step(state, text);
}

fn after_step(state: &mut AppState, text: String) {
    state.notice = Some(Notice { text, is_error: false });
    forget_what_is_gone(state);
}

fn run_on_selection(state: &mut AppState, command: Command) {
    if command == Command::SelectAll {
        state.selection = everything(state.project());
        return;
    }
    if state.selection.is_empty() {
        state.notice = Some(Notice { text: "Select something first.".into(), is_error: true });
        return;
    }
    let items = state.selection.clone();
    let edit = match command {
        Command::Delete => Edit::Remove(items),
        Command::Duplicate => Edit::Duplicate { items, by: point(0.0, 20.0) },
        Command::Turn => Edit::Turn(items),
        Command::Flip => Edit::Flip(items),
        Command::AlignRow => Edit::Align(items, Edge::Row),
        Command::AlignColumn => Edit::Align(items, Edge::Column),
        Command::FrameSelection => match frame_around(state.project(), &items) {
            Some(frame) => Edit::AddFrame(frame),
            None => return,
        },
        other => unreachable!("{other:?} does not work on the selection"),
    };
    edit_project(state, edit, None);
}

fn everything(project: &Project) -> Selection {
    let parts = project.parts.ids().map(Item::Part);
    let wires = project.wires.ids().map(Item::Wire);
    let frames = project.frames.ids().map(Item::Frame);
    parts.chain(wires).chain(frames).collect()
}

/// A frame around the parts selected, on the grid.
fn frame_around(project: &Project, items: &Selection) -> Option<Frame> {
    let rects = items.iter().filter_map(|item| match item {
        Item::Part(id) => project.parts.get(*id).map(drawing::part_rect),
        Item::Wire(_) | Item::Frame(_) => None,
    });
    let mut rect = rects.reduce(crate::geometry::Rect::union)?.grown(5.0);
    rect.min = point(rect.min.x_mm, rect.min.y_mm - 5.0).snapped(drawing::GRID_MM);
    rect.max = rect.max.snapped(drawing::GRID_MM);
    Some(Frame { name: "Box".into(), rect })
}

/// Moves a control unless what it needs forbids it; controls that need it follow to rest.
fn move_control(state: &mut AppState, id: ControlId, position: u8) {
    let project = state.history.project();
    let Some(control) = project.controls.get(id) else { return };
    if usize::from(position) >= control.positions.len() {
        return;
    }
    if !project.is_allowed(id, position, &state.bench) {
        let needed = control.needs.and_then(|need| {
            let other = project.controls.get(need.control)?;
            Some(format!(
                "{} in {}",
                other.name,
                other.positions.get(usize::from(need.position))?.name
            ))
        });
        let text = format!(
            "{} moves only with {}.",
            control.name,
            needed.unwrap_or_else(|| "another control".into())
        );
        state.notice = Some(Notice { text, is_error: false });
        return;
    }
    state.bench.0.insert(id, position);
    let dependents: Vec<ControlId> = project
        .controls
        .iter()
        .filter(|(other, control)| {
            let stands = state.bench.position(*other, control);
            stands != control.rest && !project.is_allowed(*other, stands, &state.bench)
        })
        .map(|(other, _)| other)
        .collect();
    for other in dependents {
        state.bench.0.remove(&other);
        state.latched.remove(&other);
    }
}

/// Lets go: springs take the control back unless it is latched.
fn release_control(state: &mut AppState, id: ControlId) {
    let returns = state.project().controls.get(id).is_some_and(|control| control.kind.returns());
    if returns && !state.latched.contains(&id) {
        state.bench.0.remove(&id);
    }
}

fn returning_controls_off_rest(
    project: &Project,
    bench: &State,
) -> std::collections::BTreeSet<ControlId> {
    project
        .controls
        .iter()
        .filter(|(id, control)| {
            control.kind.returns() && bench.position(*id, control) != control.rest
        })
        .map(|(id, _)| id)
        .collect()
}

fn show_subject(state: &mut AppState, subject: Subject) {
    state.panels.inspector.show(subject);
    let item = match subject {
        Subject::Part(id) => Some(Item::Part(id)),
        Subject::Wire(id) => Some(Item::Wire(id)),
        Subject::Frame(id) => Some(Item::Frame(id)),
        Subject::SensePin(id) => {
            state.pin = Some(id);
            state.project().sense_pins.get(id).map(|pin| Item::Part(pin.terminal.part))
        }
        Subject::Control(id) => state
            .project()
            .controls
            .get(id)
            .and_then(|control| control.positions.iter().flat_map(|p| p.throws.keys()).next())
            .map(|part| Item::Part(*part)),
        Subject::Project => None,
        Subject::Place(id) => return show_layout(state, LayoutItem::Place(id)),
        Subject::Run(id) => return show_layout(state, LayoutItem::Run(id)),
    };
    if let Some(item) = item {
        state.stage = Stage::Sketch;
        state.selection = [item].into();
        state.canvas.show_wanted = Some(item);
    }
}

/// Leads to a place or run of the layout.
fn show_layout(state: &mut AppState, item: LayoutItem) {
    state.stage = Stage::Route;
    layout_work::select(state, Some(item));
    state.stages.route.show_wanted = Some(item);
}

/// Goes on with what unsaved work stood in the way of, or not.
fn answer_unsaved(state: &mut AppState, answer: UnsavedAnswer) {
    let Some(pending) = state.pending.take() else { return };
    match answer {
        UnsavedAnswer::Cancel => {}
        UnsavedAnswer::Discard => {
            state.saved = state.history.content();
            dispatch(state, pending.then);
        }
        UnsavedAnswer::Save => {
            if save(state) {
                dispatch(state, pending.then);
            } else {
                // The path is still being asked for; the action goes on once the work is safe.
                state.pending_after_save = Some(pending);
            }
        }
    }
}

/// Saves under the known name, or asks for one. Returns whether the work is safe now.
fn save(state: &mut AppState) -> bool {
    match state.file.clone() {
        Some(path) => save_to(state, path),
        None => {
            let name = state.suggested_name("ohmloom");
            state.ask_path(DialogPurpose::SaveProject(name));
            false
        }
    }
}

/// Saves under a path. Returns whether the work is safe now.
fn save_to(state: &mut AppState, path: PathBuf) -> bool {
    match files::save(&path, state.project()) {
        Ok(()) => {
            state.saved = state.history.content();
            state.notice =
                Some(Notice { text: format!("Saved as {}.", path.display()), is_error: false });
            state.remember(&path);
            state.file = Some(path);
            if let Some(pending) = state.pending_after_save.take() {
                dispatch(state, pending.then);
            }
            true
        }
        Err(error) => {
            state.pending_after_save = None;
            file_work::say_error(state, format!("Not saved: {error}."));
            false
        }
    }
}

/// Takes what was typed as a path. Where that fails the field stays with its text.
fn answer_path(state: &mut AppState, path: Option<PathBuf>) {
    let Some(field) = state.path_field.clone() else { return };
    let Some(path) = path else {
        state.path_field = None;
        state.pending_after_save = None;
        return;
    };
    state.notice = None;
    let pending = state.pending_after_save.clone();
    match field.purpose {
        DialogPurpose::Open => dispatch(state, Action::OpenFile(path)),
        DialogPurpose::CompareWith => file_work::compare_with(state, &path),
        DialogPurpose::SaveProject(_) => {
            save_to(state, path);
        }
        DialogPurpose::OpenLog => file_work::open_log(state, path),
        DialogPurpose::TakePicture => state.pictures.take(path),
        DialogPurpose::ExportCutList(_) => file_work::export_cut_list(state, &path),
        DialogPurpose::OpenWireTable => wire_tables::open(state, &path),
        DialogPurpose::ExportWires(_) => wire_tables::export(state, &path),
        DialogPurpose::SavePacket(what, _) => packet_work::write(state, what, path),
    }
    if state.notice.as_ref().is_some_and(|notice| notice.is_error) {
        state.pending_after_save = pending;
    } else if state.path_field.as_ref() == Some(&field) {
        state.path_field = None;
    }
}
