//! The readout while the circuit is shown as if it had a fault.

use egui::{Label, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::as_if::Shown;
use crate::app::panels::readout::facts::ReadoutFacts;
use crate::app::reading::{capital, figure, missing, symptom_in_scale, symptom_text};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::word_button;
use crate::model::{Project, Scale, SensePin};
use crate::sense::Verdict;
use crate::study::faults::Effect;

/// Says that what stands below is not the circuit as drawn, and leads back to that.
pub fn banner_ui(ui: &mut Ui, view: View<'_>, shown: &Shown, actions: &mut Actions) {
    let palette = view.palette;
    let words = format!("⚠ As if: {}", shown.title);
    let words = RichText::new(words).font(theme::bold(theme::TEXT_BODY)).color(palette.wrong);
    ui.add(Label::new(words).wrap());
    let tip = "Shows the circuit without the fault again";
    if word_button(ui, "show it as drawn", palette.chosen).on_hover_text(tip).clicked() {
        actions.push(Action::ShowAsIf(None));
    }
}

impl ReadoutFacts {
    /// What to say about a pin with a fault.
    pub fn as_if(project: &Project, pin: &SensePin, shown: &Shown, scale: Scale) -> Self {
        let symptom = &shown.symptom;
        let verdict = symptom.effect.map(|effect| match effect {
            Effect::WrongAction => Verdict::Clash,
            Effect::Dead => Verdict::Gap,
            Effect::Detected => Verdict::Thin,
            Effect::Silent => Verdict::Ok,
        });
        let decoded = match (symptom.scaled, symptom.band) {
            (None, _) => String::new(),
            (Some(_), Some(band)) => pin.bands[band].name.clone(),
            (Some(_), None) => "guard".into(),
        };
        let mut sentences = vec![capital(&format!("as drawn {}", symptom_text(pin, &shown.sound)))];
        sentences
            .extend(missing(project, pin, scale).map(|missing| format!("Not known: {missing}.")));
        if symptom.is_over_limit {
            sentences.push("⚠ The pin gets more volts than it stands.".into());
        }
        let effect = symptom.effect.map_or("not known", Effect::word);
        Self {
            figure: symptom_in_scale(pin, symptom, scale).map(|value| figure(value, scale)),
            decoded,
            verdict,
            words: effect.to_owned(),
            bar: None,
            sentences,
        }
    }
}
