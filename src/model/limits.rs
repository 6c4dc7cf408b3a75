//! The greatest sizes a project may have, and the numbers each quantity may take.
//!
//! One list for edits and for files, so that whatever a hand can put into a project can be saved and
//! opened again. The limits stand far above what a harness needs; they keep a damaged file from
//! filling the memory or from feeding the arithmetic with numbers nothing can come of.

/// Bytes of a project file: 64 MiB.
pub const FILE_BYTES: usize = 64 << 20;
/// Parts of a project.
pub const PARTS: usize = 50_000;
/// Wires of a project.
pub const WIRES: usize = 50_000;
/// Frames of a project.
pub const FRAMES: usize = 5_000;
/// Controls of a project.
pub const CONTROLS: usize = 500;
/// Sense pins of a project.
pub const SENSE_PINS: usize = 400;
/// Places of a project.
pub const PLACES: usize = 5_000;
/// Runs of a project.
pub const RUNS: usize = 10_000;
/// Pieces of wire on hand of a project.
pub const PIECES: usize = 10_000;
/// Rounds of the bench test of a project.
pub const BENCH_RUNS: usize = 1_000;
/// Readings of one round.
pub const BENCH_READINGS: usize = 20_000;
/// Ranges of a meter in one unit.
pub const METER_RANGES: usize = 20;

/// Settings of the set-up record.
pub const SETUP_ROWS: usize = 5_000;
/// Lines of the change log.
pub const CHANGES: usize = 5_000;
/// Modes of the arming story.
pub const STORY_MODES: usize = 200;
/// Links of the arming story.
pub const STORY_LINKS: usize = 1_000;
/// Observations at the machine.
pub const OBSERVATIONS: usize = 2_000;
/// Greatest time of the arming story in milliseconds: a day.
pub const STORY_MS: u32 = 86_400_000;

/// Substitutes of a project.
pub const SUBSTITUTES: usize = 1_000;
/// Prices of a project.
pub const PRICES: usize = 5_000;
/// Bytes of the picture beneath the layout: 12 MiB, 16 MiB of the file.
pub const PICTURE_BYTES: usize = 12 << 20;

/// Characters of one text.
pub const TEXT_CHARS: usize = 2_000;
/// Characters of the project's notes.
pub const NOTES_CHARS: usize = 100_000;
/// Cavities of one connector or controller.
pub const CAVITIES: u16 = 400;
/// Positions of one control, at least.
pub const POSITIONS_LEAST: usize = 2;
/// Positions of one control, at most.
pub const POSITIONS_MOST: usize = 24;
/// Ways of one contact, at least.
pub const WAYS_LEAST: u8 = 2;
/// Ways of one contact, at most.
pub const WAYS_MOST: u8 = 24;
/// Changeover sets of one relay, at most.
pub const RELAY_SETS_MOST: u8 = 8;
/// Contacts one position of a control moves.
pub const THROWS: usize = 400;
/// Corners set by hand on one wire.
pub const BENDS: usize = 400;
/// Places one wire's route must pass.
pub const VIA: usize = 400;
/// Rows of a project's own wire table.
pub const OWN_WIRES: usize = 500;
/// Bands of one sense pin.
pub const BANDS: usize = 400;
/// Expectations of one sense pin.
pub const EXPECTATIONS: usize = 5_000;

/// The numbers one quantity may take, both ends included unless `most_excluded`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// What is counted, with its unit in words.
    pub quantity: &'static str,
    /// Least number.
    pub least: f64,
    /// Greatest number.
    pub most: f64,
    /// Whether the greatest number itself is refused.
    pub most_excluded: bool,
}

impl Bound {
    const fn new(quantity: &'static str, least: f64, most: f64) -> Self {
        Self { quantity, least, most, most_excluded: false }
    }

    const fn fraction(quantity: &'static str) -> Self {
        Self { quantity, least: 0.0, most: 1.0, most_excluded: true }
    }

    /// Whether the number is finite and within the bound.
    pub fn holds(&self, value: f64) -> bool {
        value >= self.least
            && if self.most_excluded { value < self.most } else { value <= self.most }
    }

    /// The bound in words: `ohms from 0 to 1000000000000`.
    pub fn words(&self) -> String {
        let end = if self.most_excluded { "to below" } else { "to" };
        format!("{} from {} {end} {}", self.quantity, self.least, self.most)
    }
}

/// Resistance of a resistor, a pull or a leak; zero is refused.
pub const RESISTOR_OHM: Bound = Bound::new("ohms", 1e-6, 1e12);
/// Resistance of a contact, a joint, a fuse or a wire loop; zero is fine.
pub const OHM: Bound = Bound::new("ohms", 0.0, 1e12);
/// Volts of a supply, a reference, a limit or an offset.
pub const VOLT: Bound = Bound::new("volts", 0.0, 1e6);
/// Volts that something is divided by: a reference or a full scale.
pub const SCALE_VOLT: Bound = Bound::new("volts", 1e-6, 1e6);
/// Tolerance as a fraction.
pub const TOLERANCE: Bound = Bound::fraction("a fraction");
/// Temperature coefficient in parts per million per kelvin.
pub const TEMPCO_PPM_PER_K: Bound = Bound::new("parts per million per kelvin", 0.0, 100_000.0);
/// Power rating in watts.
pub const POWER_WATT: Bound = Bound::new("watts", 1e-6, 1e6);
/// Rated current in amperes.
pub const RATING_AMP: Bound = Bound::new("amperes", 1e-6, 1e5);
/// Volts at which a diode begins to conduct.
pub const DROP_VOLT: Bound = Bound::new("volts", 0.0, 1_000.0);
/// Resistance of a conducting diode.
pub const DIODE_OHM: Bound = Bound::new("ohms", 1e-3, 1e6);
/// Current a wire carries; zero is fine.
pub const CURRENT_AMP: Bound = Bound::new("amperes", 0.0, 1e5);
/// Voltage drop that is allowed, as a fraction of the supply.
pub const DROP_LIMIT: Bound = Bound::new("a fraction", 1e-4, 1.0);
/// A temperature.
pub const CELSIUS: Bound = Bound::new("degrees Celsius", -100.0, 1_000.0);
/// Resistance of a conductor by length.
pub const OHM_PER_M: Bound = Bound::new("ohms per metre", 1e-9, 1e6);
/// A place on the sheet, in millimetres.
pub const SHEET_MM: Bound = Bound::new("millimetres", -1e6, 1e6);
/// A length that must be there, in millimetres.
pub const LENGTH_MM: Bound = Bound::new("millimetres", 1e-3, 1e7);
/// A length that may be zero, in millimetres.
pub const SPARE_MM: Bound = Bound::new("millimetres", 0.0, 1e7);
/// Distance of neighbouring cavities, in millimetres.
pub const PITCH_MM: Bound = Bound::new("millimetres", 0.1, 1_000.0);
/// How much of the picture beneath the layout is seen.
pub const OPACITY: Bound = Bound::new("a share", 0.0, 1.0);
/// Millimetres of the machine to one of the layout drawing.
pub const LAYOUT_SCALE: Bound = Bound::new("millimetres", 1e-6, 1e6);
/// Conductor area in mm². The coarsest flexible conductor of IEC 60228 has 630 mm² (from memory).
pub const AREA_MM2: Bound = Bound::new("square millimetres", 1e-4, 630.0);
/// American wire gauge number; 0 is 1/0, -3 is 4/0.
pub const AWG: Bound = Bound::new("gauge numbers", -3.0, 56.0);
/// Edge of a band in volts or percent.
pub const BAND_EDGE: Bound = Bound::new("numbers", -1e12, 1e12);
/// Edge of a band in ohms or counts.
pub const BAND_EDGE_ABOVE_ZERO: Bound = Bound::new("ohms or counts", 0.0, 1e12);
/// Greatest count of a converter, 24 bits.
pub const MAX_COUNT: Bound = Bound::new("counts", 1.0, 16_777_215.0);
/// Error of a converter in counts.
pub const ERROR_COUNT: Bound = Bound::new("counts", 0.0, 1e6);
/// Debounce in milliseconds.
pub const DEBOUNCE_MS: Bound = Bound::new("milliseconds", 0.0, 1e6);
/// Distance from room temperature in kelvin.
pub const TEMPERATURE_SPAN_K: Bound = Bound::new("kelvins", 0.0, 1_000.0);
/// A price.
pub const PRICE: Bound = Bound::new("units of money", 0.0, 1e9);
/// Factor on the routed length.
pub const LENGTH_FACTOR: Bound = Bound::new("a factor", 0.1, 10.0);
/// Multiple that cut lengths are rounded up to, in millimetres.
pub const ROUNDING_MM: Bound = Bound::new("millimetres", 1e-3, 1e4);
/// Share of the reading a meter may be off by.
pub const METER_FRACTION: Bound = Bound::fraction("a fraction");
/// Counts a meter may be off by in its last digit.
pub const METER_COUNTS: Bound = Bound::new("counts", 0.0, 1e6);
/// Greatest reading of a meter's range, and what one count is worth, in ohms or volts.
pub const METER_SCALE: Bound = Bound::new("ohms or volts", 1e-9, 1e12);
/// What a meter shows in volts, either sign.
pub const SHOWN_VOLT: Bound = Bound::new("volts", -1e6, 1e6);
/// Temperature of the bench in degrees Celsius.
pub const BENCH_CELSIUS: Bound = Bound::new("degrees Celsius", -100.0, 200.0);
