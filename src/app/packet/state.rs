//! What the view remembers between frames: page, zoom, place on the page, tab, texts being typed.

use crate::app::widgets::Fields;
use crate::sheets::{Fonts, Packet, SheetKind};

/// What is beside the preview, or in its place in a narrow window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PacketTab {
    /// The page itself, in a narrow window.
    Preview,
    /// All pages, small.
    Pages,
    /// Which sheets, in which order, on which paper.
    Sheets,
    /// What is still blank.
    Blank,
    /// The tables, each as CSV.
    Tables,
}

impl PacketTab {
    /// Word on the tab.
    pub fn word(self) -> &'static str {
        match self {
            Self::Preview => "Preview",
            Self::Pages => "Pages",
            Self::Sheets => "Sheets",
            Self::Blank => "Blank",
            Self::Tables => "Tables",
        }
    }
}

/// How large the page is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Zoom {
    /// The whole page.
    Page,
    /// As wide as there is room.
    Width,
    /// Points of the screen for a millimetre of paper.
    Scale(f32),
}

/// Fields and switches of the view.
pub struct PacketState {
    /// Index of the page shown.
    pub page: usize,
    /// How large.
    pub zoom: Zoom,
    /// The point of the page in the middle of the preview, in millimetres from its upper left corner.
    pub middle_mm: egui::Vec2,
    /// How far a wheel has turned towards the next page.
    pub wheel: f32,
    /// The scale of the last frame, to zoom on from.
    pub scale_seen: f32,
    /// What a command asks for: a factor, or the whole page.
    pub zoom_wanted: Option<f32>,
    /// Show the whole page.
    pub fit_wanted: bool,
    /// Bring the small picture of the page shown into sight.
    pub reveal: bool,
    /// The sheet to be shown once the pages are made.
    pub sheet_wanted: Option<SheetKind>,
    /// What is beside the preview.
    pub tab: PacketTab,
    /// Texts being typed.
    pub fields: Fields,
    /// To place letters with.
    pub fonts: Fonts,
}

impl Default for PacketState {
    fn default() -> Self {
        Self {
            page: 0,
            zoom: Zoom::Page,
            middle_mm: egui::Vec2::ZERO,
            wheel: 0.0,
            scale_seen: 1.0,
            zoom_wanted: None,
            fit_wanted: false,
            reveal: false,
            sheet_wanted: None,
            tab: PacketTab::Sheets,
            fields: Fields::default(),
            fonts: Fonts::new(),
        }
    }
}

impl PacketState {
    /// Shows a page from its top.
    pub fn show_page(&mut self, packet: &Packet, page: usize) {
        let last = packet.pages.len().saturating_sub(1);
        self.page = page.min(last);
        self.middle_mm.y = 0.0;
        self.reveal = true;
    }

    /// Shows the sheet that was asked for, where the packet has it.
    pub fn show_wanted(&mut self, packet: &Packet) {
        let wanted = self.sheet_wanted.take();
        let mark = packet.bookmarks.iter().find(|mark| Some(mark.kind) == wanted);
        if let Some(mark) = mark {
            self.show_page(packet, mark.page);
            self.tab = PacketTab::Preview;
        }
    }
}
