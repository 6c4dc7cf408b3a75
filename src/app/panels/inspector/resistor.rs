//! A resistor: value with its code and rings, tolerance, drift, power.

use egui::{Id, Ui};

use crate::app::panels::inspector::part::set_part;
use crate::app::widgets::{
    Field, Pen, label_cell, number_text, ohm_text, parse_ohms, parse_positive, parse_unit,
    percent_text, quiet, rings_ui, word_button,
};
use crate::check::fitting_factor;
use crate::edit::Edit;
use crate::marking;
use crate::model::{Part, PartId, PartKind, Resistor, Subject};
use crate::series::Series;
use crate::units;

/// All properties of a resistor.
pub fn resistor_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    resistor: &Resistor,
) {
    let set = |change: &dyn Fn(&mut Resistor)| set_resistor((id, part), change);
    let value = Field::figure(Id::unique(("resistor value", id)), "Value", ohm_text(resistor.ohm))
        .hint("4k7");
    pen.row(ui, "Value", &value, |text| {
        let ohm = parse_ohms(text)?;
        set(&|resistor| resistor.ohm = ohm)
    });
    decade_ui(ui, pen, (id, part), resistor);
    code_ui(ui, pen, (id, part), resistor);
    let tolerance = Field::figure(
        Id::unique(("resistor tolerance", id)),
        "Tolerance",
        percent_text(resistor.tolerance),
    );
    pen.row(ui, "Tolerance", &tolerance, |text| {
        let tolerance = units::parse_percent(text).map_err(|error| error.to_string())?;
        set(&|resistor| resistor.tolerance = tolerance)
    });
    let drift = number_text(resistor.tempco_ppm_per_k, "ppm/K");
    pen.row(
        ui,
        "Drift",
        &Field::figure(Id::unique(("resistor drift", id)), "Drift with temperature", drift),
        |text| {
            let ppm =
                parse_unit(text, "ppm/K", "parts per million for a kelvin, such as 100 ppm/K")?;
            set(&|resistor| resistor.tempco_ppm_per_k = ppm)
        },
    );
    let power = number_text(resistor.power_watt, "W");
    pen.row(
        ui,
        "Power",
        &Field::figure(Id::unique(("resistor power", id)), "Power rating", power),
        |text| {
            let watt = parse_positive(text, "W", "watts such as 0.25 W")?;
            set(&|resistor| resistor.power_watt = watt)
        },
    );
}

fn set_resistor(part: (PartId, &Part), change: &dyn Fn(&mut Resistor)) -> Result<Edit, String> {
    set_part(part, |part| {
        if let PartKind::Resistor(resistor) = &mut part.kind {
            change(resistor);
        }
        Ok(())
    })
}

/// Asks whether a value that is a decade off its neighbours is meant, and offers what would fit.
fn decade_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part), resistor: &Resistor) {
    let mine = pen.view.derived.findings().iter().filter(|f| f.subject == Subject::Part(id));
    let Some((finding, factor)) = mine.into_iter().find_map(|f| Some((f, fitting_factor(f)?)))
    else {
        return;
    };
    let words = egui::RichText::new(format!("⚠ {}", finding.what)).small();
    ui.add(egui::Label::new(words.color(pen.view.palette.warning)).wrap());
    let other = resistor.ohm * factor;
    let words = format!("Take {}", ohm_text(other));
    if word_button(ui, &words, pen.view.palette.chosen).clicked()
        && let Ok(edit) = set_resistor((id, part), &|resistor| resistor.ohm = other)
    {
        pen.edit(edit);
    }
}

/// Letter code, rings, and what series the value belongs to.
fn code_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part), resistor: &Resistor) {
    let rings = marking::rings(resistor.ohm, resistor.tolerance, 3);
    ui.horizontal(|ui| {
        label_cell(ui, "Marked", pen.view.palette);
        if let Some(rings) = &rings {
            rings_ui(ui, Id::unique(("resistor rings", id)), rings, pen.view);
        }
        let code = units::format_iec60062(resistor.ohm);
        ui.label(code).on_hover_text("Letter code of IEC 60062");
    });
    match Series::of(resistor.ohm) {
        Some(series) => {
            let words = format!("A preferred value, found from {series} on.");
            quiet(ui, words, pen.view.palette).on_hover_text("E series of IEC 60063");
        }
        None => nearest_ui(ui, pen, (id, part), resistor),
    }
    if rings.is_none() {
        quiet(ui, "No colour rings say this value with this tolerance.", pen.view.palette);
    }
}

/// Says that no such resistor is sold, and offers the nearest that is.
fn nearest_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    resistor: &Resistor,
) {
    let Some(nearest) = Series::E96.nearest(resistor.ohm) else { return };
    ui.horizontal_wrapped(|ui| {
        quiet(ui, "No preferred value.", pen.view.palette);
        let words = format!("Take {} of E96", ohm_text(nearest));
        if word_button(ui, &words, pen.view.palette.chosen).clicked()
            && let Ok(edit) = set_resistor((id, part), &|resistor| resistor.ohm = nearest)
        {
            pen.edit(edit);
        }
    });
}
