//! The help page: how to start, all keys, what the pointer does, cautions, words.

use egui::{Label, RichText, Ui};

use crate::app::command::Command;
use crate::app::theme;
use crate::app::view::View;

const START: [&str; 10] = [
    "Open a sample from the Project menu, or type what you have into the field above the sheet \
     (6k81, button, lever, X 2x8, controller 2x8) and click where it goes.",
    "Drag from terminal to terminal to draw wires. Wires stay attached when you move a part.",
    "Select the controller and make one of its cavities a sense pin. Give it bands, and say under \
     Sense pins what it should read when.",
    "Move the controls in the strip below. The large figure is what the pin reads, the word under \
     it is what the controller makes of it. Stage Read shows every state at once.",
    "Stage Choose: start a ladder from what you know, find the best resistors, try them on the sheet, \
     and see how much dirt each place stands.",
    "Stage Break: see what every fault and building mistake would do, what the pin passes while \
     controls are moved, what the numbers advise, and when a permit loop is closed.",
    "Stage Route: draw the places and runs of the machine, on a photo if you like, type the rope's \
     lengths, and say where each part sits; the wires find their routes.",
    "Stage Cut: every wire with its length; write the cut list as CSV.",
    "Stage Prove (F9): the bench test step by step, from a reading to its cause, the controller's \
     set-up, and what a recorded log shows. F9 once more leads back to the bench test.",
    "Packet (Ctrl+P): all sheets on paper, as PDF, SVG and tables.",
];

const POINTER: [(&str, &str); 14] = [
    ("click", "selects; with Shift it adds or takes away"),
    ("drag a part", "moves it, and everything selected with it"),
    ("drag from a terminal", "draws a wire to the terminal where you let go"),
    ("drag a wire", "moves that stretch sideways"),
    ("drag on free paper", "selects everything inside"),
    ("double click", "moves the control of a contact, straightens a wire, or goes to a name"),
    ("Alt + drag", "moves a part even where a terminal or a frame lies under the pointer"),
    ("right click", "what can be done with what is there"),
    ("wheel, pinch", "nearer or further; with Shift sideways"),
    ("middle or right drag", "pushes the sheet; so does Space with a drag"),
    ("arrow keys", "move what is selected by one step, with Shift by four"),
    ("Esc", "lets go of what the hand holds, closes a page"),
    ("drag a meter lead", "from the corner of the sheet onto any terminal"),
    ("drop a file", "opens it"),
];

const LAYOUT: [(&str, &str); 8] = [
    ("double click", "on free ground a new place, on a place its name, on a run its length"),
    ("drag from a dot", "draws a run to the place where you let go"),
    ("drag a name", "moves the place, and what sits there; so does a dot once it is selected"),
    (
        "drag a part",
        "from the list or from a place to another place, or to free ground for a new one",
    ),
    ("click a run", "its length and loop can be typed where it lies"),
    ("drag a lit route", "a run of the selected wire onto a place pins the wire through it"),
    ("drag on free ground", "pushes the layout; the selected picture moves instead"),
    ("right click", "what can be done with what is there"),
];

const STRIP: [(&str, &str); 4] = [
    ("1 to 9", "move the control of that number; what returns stays while the key is held"),
    ("Ctrl + 1 to 9", "one position back"),
    ("Shift + 1 to 9", "keeps a button pressed or a lever over; again lets it go"),
    ("press and hold", "with the pointer on a button or lever; keep below it latches it"),
];

const WORDS: [(&str, &str); 12] = [
    ("sense pin", "the controller's cavity that reads several switches"),
    ("pull", "the resistor inside the controller that the switches work against"),
    ("band", "a named range of readings, such as UP"),
    ("guard", "the empty range between two bands"),
    ("state", "a position for every control"),
    ("margin", "how far the worst case stays from the edge that matters"),
    ("ok, thin", "right over the whole range; right, but not over the whole range"),
    ("gap, clash", "in no band; in the band of an action nobody asked for"),
    ("dirt", "resistance of contacts, joints and wires, a leak, a ground offset"),
    ("place, run", "a point of the machine; the stretch between two"),
    ("loop, allowance", "slack that is meant; what an end needs"),
    ("latch", "keep a control that returns where it is"),
];

/// The page.
pub fn help_ui(ui: &mut Ui, view: View<'_>) {
    heading_ui(ui, "Ten steps to start");
    for (number, step) in (1..).zip(START) {
        row_ui(ui, view, 22.0, &format!("{number}"), step);
    }
    heading_ui(ui, "Keys");
    for command in Command::ALL {
        let Some(keys) = command.shortcut() else { continue };
        let keys = ui.ctx().format_shortcut(&keys);
        let label = command.label().trim_end_matches('…');
        row_ui(ui, view, 150.0, &keys, &format!("{label}: {}", lower_first(command.tip())));
    }
    heading_ui(ui, "Controls in the strip");
    rows_ui(ui, view, &STRIP);
    heading_ui(ui, "Pointer on the sheet");
    rows_ui(ui, view, &POINTER);
    heading_ui(ui, "Pointer on the layout");
    rows_ui(ui, view, &LAYOUT);
    heading_ui(ui, "Cautions");
    for caution in view.derived.cautions() {
        row_ui(ui, view, 22.0, "▲", caution);
    }
    heading_ui(ui, "Words");
    rows_ui(ui, view, &WORDS);
    ui.add_space(10.0);
}

fn heading_ui(ui: &mut Ui, text: &str) {
    ui.add_space(14.0);
    ui.label(RichText::new(text).font(theme::bold(theme::TEXT_HEADING)));
    ui.add_space(2.0);
}

fn rows_ui(ui: &mut Ui, view: View<'_>, rows: &[(&str, &str)]) {
    for (key, text) in rows {
        row_ui(ui, view, 150.0, key, text);
    }
}

/// Key in ink at the left, what it does at the right, wrapped within its own column.
fn row_ui(ui: &mut Ui, view: View<'_>, key_width: f32, key: &str, text: &str) {
    let key_width = key_width.min(ui.available_width() * 0.4);
    ui.horizontal_top(|ui| {
        ui.allocate_ui(egui::vec2(key_width, 0.0), |ui| {
            ui.set_min_width(key_width);
            let key = RichText::new(key).font(theme::bold(theme::TEXT_SMALL));
            ui.add(Label::new(key).wrap());
        });
        let text = RichText::new(text).color(view.palette.quiet);
        ui.vertical(|ui| ui.add(Label::new(text).wrap()));
    });
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}
