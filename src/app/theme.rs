//! Colours, text sizes and spacing of both themes; nothing else in the window names a colour.

use egui::{Color32, CornerRadius, FontId, Margin, Stroke, TextStyle, Theme};

use crate::app::prefs::{Preferences, ThemeChoice};
use crate::model::BaseColour;

/// Colours by role.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Palette {
    /// Behind the cards.
    pub background: Color32,
    /// Of the cards.
    pub card: Color32,
    /// Of the drawing.
    pub sheet: Color32,
    /// Text and lines.
    pub ink: Color32,
    /// Text that explains.
    pub quiet: Color32,
    /// Thin edges and grid dots.
    pub edge: Color32,
    /// The live path and what a hand holds.
    pub live: Color32,
    /// Right.
    pub right: Color32,
    /// Thin, or a warning.
    pub warning: Color32,
    /// Wrong.
    pub wrong: Color32,
    /// Selected.
    pub chosen: Color32,
    /// Red meter lead.
    pub lead_red: Color32,
    /// Black meter lead.
    pub lead_black: Color32,
    /// Bands that make the machine do something, in order.
    pub bands: [Color32; 6],
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

const PAPER: Palette = Palette {
    background: rgb(0xf3efe6),
    card: rgb(0xfbf9f4),
    sheet: rgb(0xfdfcf9),
    ink: rgb(0x1f2d36),
    quiet: rgb(0x5b6770),
    edge: rgb(0xd8d1c3),
    live: rgb(0xbd4616),
    right: rgb(0x28704f),
    warning: rgb(0x935800),
    wrong: rgb(0xb3261e),
    chosen: rgb(0x2b6cb0),
    lead_red: rgb(0xd1453b),
    lead_black: rgb(0x7c868d),
    bands: [
        rgb(0x28704f),
        rgb(0x2b6cb0),
        rgb(0x935800),
        rgb(0x6d4aa8),
        rgb(0x0f6a72),
        rgb(0xa2376a),
    ],
};

const BENCH: Palette = Palette {
    background: rgb(0x171c20),
    card: rgb(0x1f262b),
    sheet: rgb(0x1a2024),
    ink: rgb(0xe8e4da),
    quiet: rgb(0x9aa7af),
    edge: rgb(0x343d44),
    live: rgb(0xff8a4c),
    right: rgb(0x6fcf9f),
    warning: rgb(0xe0a64a),
    wrong: rgb(0xff7b72),
    chosen: rgb(0x7ab3ef),
    lead_red: rgb(0xe0554a),
    lead_black: rgb(0x8b969d),
    bands: [
        rgb(0x6fcf9f),
        rgb(0x7ab3ef),
        rgb(0xe0a64a),
        rgb(0xb79cf0),
        rgb(0x5cc4cc),
        rgb(0xf08fb4),
    ],
};

impl Palette {
    /// The palette of a theme.
    pub fn of(theme: ThemeChoice) -> &'static Self {
        match theme {
            ThemeChoice::Paper => &PAPER,
            ThemeChoice::Bench => &BENCH,
        }
    }

    /// A wash of a colour over the card, for chips and bands.
    pub fn wash(&self, colour: Color32, share: f32) -> Color32 {
        let mix =
            |a: u8, b: u8| (f32::from(a) * (1.0 - share) + f32::from(b) * share).round() as u8;
        Color32::from_rgb(
            mix(self.card.r(), colour.r()),
            mix(self.card.g(), colour.g()),
            mix(self.card.b(), colour.b()),
        )
    }
}

/// Colour of wire insulation as it is drawn between two ink edges, the same in both themes.
pub fn insulation(colour: BaseColour) -> Color32 {
    match colour {
        BaseColour::Black => rgb(0x22262a),
        BaseColour::Brown => rgb(0x7b4a21),
        BaseColour::Red => rgb(0xc5322d),
        BaseColour::Orange => rgb(0xe07b1f),
        BaseColour::Yellow => rgb(0xe8c52a),
        BaseColour::Green => rgb(0x2f8a57),
        BaseColour::Blue => rgb(0x2f66b3),
        BaseColour::Violet => rgb(0x7a4fb0),
        BaseColour::Grey => rgb(0x8d9296),
        BaseColour::White => rgb(0xf7f5ef),
        BaseColour::Pink => rgb(0xe79aae),
        BaseColour::Turquoise => rgb(0x36b3ac),
    }
}

/// Text sizes in points at 100 %; nothing is below 13.
pub const TEXT_SMALL: f32 = 13.0;
/// Body text.
pub const TEXT_BODY: f32 = 14.0;
/// Headings of cards.
pub const TEXT_HEADING: f32 = 15.0;
/// The hero figure.
pub const TEXT_HERO: f32 = 58.0;
/// The meter's figure.
pub const TEXT_FIGURE: f32 = 28.0;

/// Width of the label before a field.
pub const LABEL_WIDTH: f32 = 98.0;

/// Body of a drawn resistor.
pub const RESISTOR_BODY: Color32 = rgb(0xd9c39a);
/// Ring of a drawn resistor.
pub const GOLD: Color32 = rgb(0xb08d2a);
/// Ring of a drawn resistor.
pub const SILVER: Color32 = rgb(0xb4b8bb);

/// Gives the context its fonts: the stock faces, then DejaVu Sans for the signs they lack, and its bold.
pub fn install_fonts(ctx: &egui::Context) {
    let mut fonts = egui::FontDefinitions::default();
    for (name, bytes) in [
        ("DejaVu Sans", include_bytes!("../fonts/DejaVuSans.ttf").as_slice()),
        ("DejaVu Sans Bold", include_bytes!("../fonts/DejaVuSans-Bold.ttf").as_slice()),
    ] {
        fonts
            .font_data
            .insert(name.into(), std::sync::Arc::new(egui::FontData::from_static(bytes)));
    }
    // One face for everything a person reads, so that Ω, ∥ and arrows sit on the same line.
    fonts
        .families
        .insert(egui::FontFamily::Proportional, vec!["DejaVu Sans".into(), "Ubuntu-Light".into()]);
    fonts.families.insert(
        egui::FontFamily::Name("bold".into()),
        vec!["DejaVu Sans Bold".into(), "DejaVu Sans".into()],
    );
    if let Some(mono) = fonts.families.get_mut(&egui::FontFamily::Monospace) {
        mono.push("DejaVu Sans".into());
    }
    ctx.set_fonts(fonts);
}

/// Bold text of a size in points.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, egui::FontFamily::Name("bold".into()))
}

/// Plain text of a size in points.
pub fn plain(size: f32) -> FontId {
    FontId::proportional(size)
}

/// Makes the context look like the theme.
pub fn apply(ctx: &egui::Context, preferences: &Preferences) {
    let palette = Palette::of(preferences.theme);
    let theme = match preferences.theme {
        ThemeChoice::Paper => Theme::Light,
        ThemeChoice::Bench => Theme::Dark,
    };
    ctx.set_theme(theme);
    ctx.set_zoom_factor(preferences.clamped_text_scale());
    ctx.style_mut_of(theme, |style| {
        style.text_styles = [
            (TextStyle::Small, plain(TEXT_SMALL)),
            (TextStyle::Body, plain(TEXT_BODY)),
            (TextStyle::Button, plain(TEXT_BODY)),
            (TextStyle::Heading, bold(TEXT_HEADING)),
            (TextStyle::Monospace, FontId::monospace(TEXT_BODY)),
        ]
        .into();
        style.spacing.item_spacing = egui::vec2(8.0, 6.0);
        style.spacing.button_padding = egui::vec2(10.0, 5.0);
        style.spacing.interact_size.y = 26.0;
        style.animation_time = 0.0;
        style_visuals(&mut style.visuals, palette, preferences.theme);
    });
}

fn style_visuals(visuals: &mut egui::Visuals, palette: &Palette, theme: ThemeChoice) {
    *visuals = match theme {
        ThemeChoice::Paper => egui::Visuals::light(),
        ThemeChoice::Bench => egui::Visuals::dark(),
    };
    visuals.override_text_color = None;
    visuals.panel_fill = palette.background;
    visuals.window_fill = palette.card;
    visuals.window_stroke = Stroke::new(1.0, palette.edge);
    visuals.window_corner_radius = CornerRadius::same(8);
    visuals.extreme_bg_color = palette.sheet;
    visuals.faint_bg_color = palette.wash(palette.ink, 0.03);
    visuals.hyperlink_color = palette.chosen;
    visuals.warn_fg_color = palette.warning;
    visuals.error_fg_color = palette.wrong;
    visuals.weak_text_color = Some(palette.quiet);
    visuals.selection.bg_fill = palette.wash(palette.chosen, 0.28);
    visuals.selection.stroke = Stroke::new(1.0, palette.ink);
    let shapes = [
        (&mut visuals.widgets.noninteractive, palette.card, palette.edge),
        (&mut visuals.widgets.inactive, palette.wash(palette.ink, 0.06), palette.edge),
        (&mut visuals.widgets.hovered, palette.wash(palette.ink, 0.10), palette.quiet),
        (&mut visuals.widgets.active, palette.wash(palette.live, 0.20), palette.live),
        (&mut visuals.widgets.open, palette.wash(palette.ink, 0.08), palette.quiet),
    ];
    for (shape, fill, edge) in shapes {
        shape.bg_fill = fill;
        shape.weak_bg_fill = fill;
        shape.bg_stroke = Stroke::new(1.0, edge);
        shape.fg_stroke = Stroke::new(1.0, palette.ink);
        shape.corner_radius = CornerRadius::same(6);
        shape.expansion = 0.0;
    }
}

/// The frame of a card: thin edge, calm fill.
pub fn card(palette: &Palette) -> egui::Frame {
    egui::Frame::new()
        .fill(palette.card)
        .stroke(Stroke::new(1.0, palette.edge))
        .corner_radius(CornerRadius::same(9))
        .inner_margin(Margin::symmetric(14, 10))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as WCAG 2.2 defines them.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let luminance = |c: Color32| {
            let part = |v: u8| {
                let v = f64::from(v) / 255.0;
                if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(c.r()) + 0.7152 * part(c.g()) + 0.0722 * part(c.b())
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn every_text_colour_stands_out_from_what_is_behind_it() {
        // WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
        for palette in [&PAPER, &BENCH] {
            for text in [
                palette.ink,
                palette.quiet,
                palette.live,
                palette.right,
                palette.warning,
                palette.wrong,
                palette.chosen,
            ]
            .into_iter()
            .chain(palette.bands)
            {
                for behind in [palette.background, palette.card, palette.sheet] {
                    let ratio = contrast(text, behind);
                    assert!(ratio >= 4.5, "{text:?} on {behind:?}: {ratio:.2}");
                }
            }
        }
    }
}
