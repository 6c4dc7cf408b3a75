//! Figures of one run: how thick its bundle is and where that comes from, bend, hole, supports, load.

use egui::{Color32, Sense, Stroke, Ui, vec2};

use crate::app::reading::capital;
use crate::app::stages::route::laid::figure_row;
use crate::app::view::View;
use crate::app::widgets::{heading, quiet};
use crate::harness::{
    BEND_LONG_TERM, BEND_NEVER_BELOW, BundleSize, Found, HOLE_CLEARANCE_MM, RunReport, SUPPORT_MM,
    Standing, support_mm,
};
use crate::model::{Run, RunId};
use crate::units::trim_zeros;

/// A figure with one decimal and its unit.
fn mm(value: f64) -> String {
    format!("{} mm", trim_zeros(&format!("{value:.1}")))
}

/// Where the diameter of a bundle comes from.
pub fn found_words(size: &BundleSize) -> &'static str {
    match size.found {
        Found::Table => "exact: table of least circles of equal wires",
        Found::Least => "exact: nothing smaller is possible",
        Found::Placement => "computed: a real arrangement, the wires do fit",
    }
}

/// All figures of a run.
pub fn run_figures_ui(ui: &mut Ui, view: View<'_>, (id, run): (RunId, &Run)) {
    heading(ui, "Figures");
    let Some(report) = view.harness.report() else {
        quiet(ui, "Reckoning the bundles …", view.palette);
        return;
    };
    let Some(figures) = report.runs.get(&id) else { return };
    if figures.wires.is_empty() {
        quiet(ui, "No wire, no bundle.", view.palette);
        return;
    }
    bundle_ui(ui, view, figures);
    lay_ui(ui, view, run, figures);
    match report.loading.get(&id) {
        Some(share) => {
            let value = format!("{:.0} %", share * 100.0);
            let note = "of what all wires in it may carry together, as far as currents are known; the aircraft rule's table holds up to 20 %.";
            figure_row(ui, view, "Carries", &value, note);
        }
        None => figure_row(ui, view, "Carries", "not known", ""),
    }
}

fn bundle_ui(ui: &mut Ui, view: View<'_>, figures: &RunReport) {
    match &figures.size {
        Err(unknown) => {
            let name = |wire| view.project.wires.get(wire).map_or("?", |wire| wire.name.as_str());
            figure_row(ui, view, "Bundle", "not known", "");
            if let Some((wire, why)) = unknown.first() {
                let others = match unknown.len() {
                    1 => String::new(),
                    n => format!(" and {} more", n - 1),
                };
                quiet(ui, format!("{}{others}: {}.", name(*wire), why.words()), view.palette);
            }
        }
        Ok(size) => {
            cross_section_ui(ui, view, size);
            figure_row(ui, view, "Bundle", &mm(size.diameter_mm), &capital(found_words(size)));
            let below = if size.rule_of_thumb_mm < size.diameter_mm - 0.05 {
                " Below the real one here: never the size of a hole."
            } else {
                ""
            };
            let note = format!(
                "Rule of thumb, 1.2 × root of the sum of squares (from memory): {}.{below}",
                mm(size.rule_of_thumb_mm)
            );
            quiet(ui, note, view.palette);
            if size.standing == Standing::FromMemory {
                let words = "Diameters of the tables are from memory: measure your wire and type what you find.";
                quiet(ui, words, view.palette);
            }
            for shield in &size.bare_shields {
                let text = format!("Shield {shield}: thickness not typed, the bundle is thicker.");
                quiet(ui, text, view.palette);
            }
        }
    }
}

/// The wires as they may lie in the bundle.
fn cross_section_ui(ui: &mut Ui, view: View<'_>, size: &BundleSize) {
    let (rect, response) = ui.allocate_exact_size(vec2(92.0, 92.0), Sense::hover());
    let label = format!("cross section of {} wires, {}", size.circles.len(), mm(size.diameter_mm));
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, label.as_str())
    });
    let painter = ui.painter();
    let reach = size.circles.iter().map(|(x, y, d)| x.hypot(*y) + d / 2.0).fold(1e-6, f64::max);
    let scale = 42.0 / reach;
    let centre = rect.center();
    let pen = Stroke::new(1.2, view.palette.ink);
    let fill: Color32 = view.palette.wash(view.palette.chosen, 0.16);
    painter.circle_stroke(centre, 43.5, Stroke::new(1.2, view.palette.quiet));
    for (x, y, d) in &size.circles {
        let at = centre + vec2((x * scale) as f32, (y * scale) as f32);
        painter.circle(at, (d / 2.0 * scale) as f32, fill, pen);
    }
}

fn lay_ui(ui: &mut Ui, view: View<'_>, run: &Run, figures: &RunReport) {
    let known = |value: Option<f64>| value.map_or_else(|| "not known".to_owned(), mm);
    if run.laid.covering.is_some() {
        figure_row(ui, view, "Over covering", &known(figures.outside_mm), "");
    }
    let note = format!(
        "for good {BEND_LONG_TERM:.0} ×, while laid {} and never below {BEND_NEVER_BELOW:.0} × the outside (NASA-STD-8739.4 7.3.21).",
        known(figures.bend_once_mm)
    );
    figure_row(ui, view, "Least bend", &known(figures.bend_mm), &note);
    if run.laid.hole.is_some() {
        let value = match figures.clearance_mm {
            Some(left) if left < 0.0 => format!("⚠ does not pass: {} too thick", mm(-2.0 * left)),
            other => known(other),
        };
        let note = format!(
            "free all around it; below {} a hole needs a grommet (FAA AC 43.13-1B 11-115).",
            mm(HOLE_CLEARANCE_MM)
        );
        figure_row(ui, view, "In the hole", &value, &note);
    }
    let note = format!(
        "between the ends, at most {} apart{}.",
        view.preferences.length_text(support_mm(&run.laid)),
        if support_mm(&run.laid) < SUPPORT_MM { ", as typed" } else { " (FAA AC 43.13-1B 11-96a)" }
    );
    figure_row(ui, view, "Supports", &figures.supports.to_string(), &note);
}
