//! What the user writes down about cutting: what goes onto each wire end, substitutes, prices, ticks.

use crate::model::colour::Colour;
use crate::model::connector::HalfSide;
use crate::model::id::{PartId, WireId};
use crate::model::table::Table;
use crate::model::wire::WireSize;

/// What goes onto an end of a wire. What is not known is empty.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EndFit {
    /// Name of the terminal.
    pub terminal: String,
    /// Name of the single-wire seal.
    pub seal: String,
    /// Least and greatest outside diameter this seal holds, in millimetres.
    pub seal_mm: Option<(f64, f64)>,
    /// Name of the boot or sleeve behind it.
    pub boot: String,
    /// Length to strip, in millimetres.
    pub strip_mm: Option<f64>,
}

/// What differs at one wire from what its halves say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WireFit {
    /// At the first end; empty fields take what the half says.
    pub from: EndFit,
    /// At the other end.
    pub to: EndFit,
    /// Text of its markers; empty for wire and cavities.
    pub marker: String,
}

/// What is done already at one wire.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ticks {
    /// Whether it is cut.
    pub is_cut: bool,
    /// Length it was cut to in millimetres, if that was known.
    pub cut_to_mm: Option<f64>,
    /// Size it had when it was ticked as cut, if that was noted.
    pub cut_size: Option<WireSize>,
    /// Colour it had then, if that was noted.
    pub cut_colour: Option<Colour>,
    /// Whether both ends are crimped.
    pub is_crimped: bool,
    /// Whether it was tested.
    pub is_tested: bool,
}

impl Ticks {
    /// Whether it is cut, and for the size and colour it must have; what was not noted counts as right.
    pub fn is_cut_as(&self, size: WireSize, colour: Colour) -> bool {
        self.is_cut
            && self.cut_size.is_none_or(|was| was == size)
            && self.cut_colour.is_none_or(|was| was == colour)
    }
}

/// Wire that may be cut in place of what is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Substitute {
    /// Size that is drawn.
    pub size: WireSize,
    /// Colour that is drawn.
    pub colour: Colour,
    /// Size that may take its place.
    pub by_size: WireSize,
    /// Colour that may take its place.
    pub by_colour: Colour,
    /// Marker both ends then get.
    pub marker: String,
}

/// Price of something on the shopping list, by its name there.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// What is bought, as the shopping list names it.
    pub item: String,
    /// Price of one: of a metre for wire by the metre, of a spool for wire by the spool.
    pub price: f64,
}

/// Settings of cutting and buying.
#[derive(Clone, Debug, PartialEq)]
pub struct CutSettings {
    /// Width of one cut in millimetres.
    pub kerf_mm: f64,
    /// What is cut off the end of a piece before it is used, in millimetres.
    pub trim_mm: f64,
    /// What is shorter is thrown away, in millimetres.
    pub scrap_mm: f64,
    /// Temperature at which the pieces were measured, in °C.
    pub measured_at_c: f64,
    /// Length of a spool in millimetres; `None` where wire is bought by the metre.
    pub spool_mm: Option<f64>,
    /// Sign of the money prices are in.
    pub currency: String,
    /// Wire that may take the place of other wire.
    pub substitutes: Vec<Substitute>,
    /// Prices.
    pub prices: Vec<Price>,
}

impl Default for CutSettings {
    /// What a new project starts with. Common practice, no source.
    fn default() -> Self {
        Self {
            kerf_mm: 0.0,
            trim_mm: 0.0,
            scrap_mm: 100.0,
            measured_at_c: 20.0,
            spool_mm: None,
            currency: String::new(),
            substitutes: Vec::new(),
            prices: Vec::new(),
        }
    }
}

/// All that is written down about cutting.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cutting {
    /// Settings.
    pub settings: CutSettings,
    /// What goes onto the wires of a half; parts that are no connector have only a first half.
    pub half_fits: Table<(PartId, HalfSide), EndFit>,
    /// What differs at single wires.
    pub wire_fits: Table<WireId, WireFit>,
    /// What is done already.
    pub ticks: Table<WireId, Ticks>,
}

impl Cutting {
    /// What is done at a wire.
    pub fn ticks_of(&self, wire: WireId) -> Ticks {
        self.ticks.get(wire).copied().unwrap_or_default()
    }
}
