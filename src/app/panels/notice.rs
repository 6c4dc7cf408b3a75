//! The sentence at the lower edge of the stage: what was done, or why it was not.

use egui::{Align2, Area, Button, Context, Id, Label, Order, Rect, RichText, Ui, pos2, vec2};

use crate::app::action::{Action, Actions};
use crate::app::state::{AppState, Notice};
use crate::app::theme;
use crate::app::theme::Palette;

/// A sentence that is not about an error goes by itself after this many seconds.
const STAYS_S: f64 = 7.0;

/// Shows the sentence over the lower edge of the stage. Errors stay until they are put away.
pub fn notice_ui(ctx: &Context, stage: Rect, state: &mut AppState, actions: &mut Actions) {
    let now = ctx.input(|input| input.time);
    if state.notice != state.panels.notice_seen.0 {
        state.panels.notice_seen = (state.notice.clone(), now);
    }
    let Some(notice) = &state.notice else { return };
    if !notice.is_error {
        let left = STAYS_S - (now - state.panels.notice_seen.1);
        if left <= 0.0 {
            actions.push(Action::DismissNotice);
            return;
        }
        ctx.request_repaint_after(std::time::Duration::from_secs_f64(left));
    }
    let corner = pos2(stage.left() + 22.0, stage.bottom() - 20.0);
    Area::new(Id::unique("notice"))
        .order(Order::Foreground)
        .pivot(Align2::LEFT_BOTTOM)
        .fixed_pos(corner)
        .show(ctx, |ui| {
            let palette = Palette::of(state.preferences.theme);
            sentence_ui(ui, palette, notice, (stage.width() - 44.0).max(180.0), actions);
        });
}

fn sentence_ui(ui: &mut Ui, palette: &Palette, notice: &Notice, width: f32, actions: &mut Actions) {
    let colour = if notice.is_error { palette.wrong } else { palette.right };
    let frame = theme::card(palette)
        .fill(palette.wash(colour, 0.10))
        .stroke(egui::Stroke::new(1.0, palette.wash(colour, 0.6)))
        .inner_margin(egui::Margin::symmetric(12, 7));
    frame.show(ui, |ui| {
        ui.set_max_width(width - 30.0);
        ui.horizontal(|ui| {
            let (sign, word) = if notice.is_error { ("✖", "Error") } else { ("✔", "Done") };
            let mark = ui.label(RichText::new(sign).color(colour));
            mark.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, word));
            let text_width = (ui.available_width() - 34.0).max(80.0);
            let text = RichText::new(&notice.text).color(palette.ink);
            let galley_width = ui
                .painter()
                .layout_no_wrap(notice.text.clone(), theme::plain(theme::TEXT_BODY), palette.ink)
                .size()
                .x;
            ui.allocate_ui(vec2(text_width.min(galley_width + 2.0), 0.0), |ui| {
                ui.add(Label::new(text).wrap());
            });
            let close = Button::new(RichText::new("✕").color(palette.quiet)).frame(false);
            let close = ui.add(close).on_hover_text("Put this sentence away");
            close.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, true, "Put the sentence away")
            });
            if close.clicked() {
                actions.push(Action::DismissNotice);
            }
        });
    });
}
