//! The colour rings of a resistor as IEC 60062 prints them, and a picture of them.

use egui::{Color32, Id, Rect, Sense, Ui, pos2, vec2};

use crate::app::theme;
use crate::app::view::View;
use crate::model::BaseColour;

/// One ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ring {
    /// One of the colours of wires.
    Plain(BaseColour),
    /// Gold.
    Gold,
    /// Silver.
    Silver,
}

impl Ring {
    /// Plain English name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plain(colour) => colour.name(),
            Self::Gold => "gold",
            Self::Silver => "silver",
        }
    }

    fn paint(self) -> Color32 {
        match self {
            Self::Plain(colour) => theme::insulation(colour),
            Self::Gold => theme::GOLD,
            Self::Silver => theme::SILVER,
        }
    }
}

/// Digits 0 to 9 (IEC 60062 table 1; from memory).
const DIGITS: [BaseColour; 10] = [
    BaseColour::Black,
    BaseColour::Brown,
    BaseColour::Red,
    BaseColour::Orange,
    BaseColour::Yellow,
    BaseColour::Green,
    BaseColour::Blue,
    BaseColour::Violet,
    BaseColour::Grey,
    BaseColour::White,
];

/// Tolerances as fractions (IEC 60062 table 1; from memory).
const TOLERANCES: [(f64, Ring); 8] = [
    (0.001, Ring::Plain(BaseColour::Violet)),
    (0.0025, Ring::Plain(BaseColour::Blue)),
    (0.005, Ring::Plain(BaseColour::Green)),
    (0.01, Ring::Plain(BaseColour::Brown)),
    (0.02, Ring::Plain(BaseColour::Red)),
    (0.05, Ring::Gold),
    (0.1, Ring::Silver),
    (0.0005, Ring::Plain(BaseColour::Orange)),
];

/// Rings of a value and tolerance: three digits, multiplier, tolerance. `None` where no rings say that value
/// exactly, or where no ring stands for the tolerance.
pub fn resistor_rings(ohm: f64, tolerance: f64) -> Option<[Ring; 5]> {
    if !(ohm.is_finite() && ohm > 0.0) {
        return None;
    }
    let mut exponent = ohm.log10().floor() as i32 - 2;
    let mut figures = (ohm / 10f64.powi(exponent)).round() as usize;
    if figures > 999 {
        figures /= 10;
        exponent += 1;
    }
    let shown = figures as f64 * 10f64.powi(exponent);
    if (shown - ohm).abs() > ohm * 1e-9 {
        return None;
    }
    let multiplier = match exponent {
        -3 => Ring::Plain(BaseColour::Pink),
        -2 => Ring::Silver,
        -1 => Ring::Gold,
        0..=9 => Ring::Plain(DIGITS[usize::try_from(exponent).ok()?]),
        _ => return None,
    };
    let last = TOLERANCES.into_iter().find(|(value, _)| (value - tolerance).abs() < 1e-9)?.1;
    let digit = |n: usize| Ring::Plain(DIGITS[n % 10]);
    Some([digit(figures / 100), digit(figures / 10), digit(figures), multiplier, last])
}

/// Draws a resistor with its rings; pointing at it names them.
pub fn rings_ui(ui: &mut Ui, id: Id, rings: &[Ring; 5], view: View<'_>) {
    let (rect, _) = ui.allocate_exact_size(vec2(112.0, 32.0), Sense::hover());
    let response = ui.interact(rect, id, Sense::hover());
    let painter = ui.painter();
    let middle = rect.center().y;
    painter.hline(rect.x_range(), middle, egui::Stroke::new(1.5, view.palette.quiet));
    let body = Rect::from_center_size(rect.center(), vec2(84.0, 26.0));
    painter.rect_filled(body, 9.0, theme::RESISTOR_BODY);
    for (ring, x) in rings.iter().zip([14.0, 27.0, 40.0, 53.0, 70.0]) {
        let band = Rect::from_min_max(
            pos2(body.left() + x - 3.5, body.top()),
            pos2(body.left() + x + 3.5, body.bottom()),
        );
        painter.rect_filled(band, 0.0, ring.paint());
    }
    painter.rect_stroke(
        body,
        9.0,
        egui::Stroke::new(1.0, view.palette.quiet),
        egui::StrokeKind::Inside,
    );
    let names: Vec<&str> = rings.iter().map(|ring| ring.name()).collect();
    let names = names.join(", ");
    response.widget_info(|| {
        egui::WidgetInfo::labeled(
            egui::accesskit::Role::Image,
            true,
            format!("colour rings {names}"),
        )
    });
    response.on_hover_text(names);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(ohm: f64, tolerance: f64) -> Option<String> {
        Some(resistor_rings(ohm, tolerance)?.map(Ring::name).join(" "))
    }

    #[test]
    fn rings_follow_iec_60062() {
        // IEC 60062, colour code with three significant figures; common practice for the worked values.
        assert_eq!(names(6810.0, 0.01).as_deref(), Some("blue grey brown brown brown"));
        assert_eq!(names(1210.0, 0.01).as_deref(), Some("brown red brown brown brown"));
        assert_eq!(names(4700.0, 0.05).as_deref(), Some("yellow violet black brown gold"));
        assert_eq!(names(0.22, 0.05).as_deref(), Some("red red black pink gold"));
        assert_eq!(names(1e6, 0.02).as_deref(), Some("brown black black yellow red"));
        assert_eq!(names(9.99, 0.1).as_deref(), Some("white white white silver silver"));
    }

    #[test]
    fn what_rings_cannot_say_has_none() {
        assert_eq!(names(12_345.0, 0.01), None);
        assert_eq!(names(1000.0, 0.03), None);
        assert_eq!(names(0.0, 0.01), None);
    }
}
