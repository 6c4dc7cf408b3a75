//! Published tables of how much current a wire may carry, figure by figure.

/// Insulation temperatures of [`CFR_AMP`], in degrees Celsius.
pub const CFR_RATING_C: [f64; 7] = [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0];

/// 33 CFR 183.425 Table 5: amperes by gauge for insulation of 60, 75, 80, 90, 105, 125 and 200 °C.
/// One conductor or a sheath, 30 °C around it, boats below 50 V. Read.
pub const CFR_AMP: [(i32, [f64; 7]); 15] = [
    (18, [10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    (16, [15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    (14, [20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    (12, [25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    (10, [40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    (8, [55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    (6, [80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    (4, [105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    (3, [120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    (2, [140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    (1, [165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    (0, [195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    (-1, [225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    (-2, [260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    (-3, [300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

/// Insulation temperatures of [`AC_AMP`], in degrees Celsius.
pub const AC_RATING_C: [f64; 3] = [105.0, 150.0, 200.0];

/// FAA AC 43.13-1B Table 11-9: amperes by gauge for insulation of 105, 150 and 200 °C.
/// In a bundle of 33 wires or more (9 from size 8 on), at 70 °C, loaded to at most 20 %, at 60,000 ft.
/// Read.
pub const AC_AMP: [(i32, [f64; 3]); 17] = [
    (24, [2.5, 4.0, 5.0]),
    (22, [3.0, 5.0, 6.0]),
    (20, [4.0, 7.0, 9.0]),
    (18, [6.0, 9.0, 12.0]),
    (16, [7.0, 11.0, 14.0]),
    (14, [10.0, 14.0, 18.0]),
    (12, [13.0, 19.0, 25.0]),
    (10, [17.0, 26.0, 32.0]),
    (8, [38.0, 57.0, 71.0]),
    (6, [50.0, 76.0, 97.0]),
    (4, [68.0, 103.0, 133.0]),
    (2, [95.0, 141.0, 179.0]),
    (1, [113.0, 166.0, 210.0]),
    (0, [128.0, 192.0, 243.0]),
    (-1, [147.0, 222.0, 285.0]),
    (-2, [172.0, 262.0, 335.0]),
    (-3, [204.0, 310.0, 395.0]),
];

/// 33 CFR 183.425 Table 5 note 1: factors in engine spaces (50 °C), by the columns of [`CFR_AMP`].
/// That of 105 °C was read in a reprint; the others are from memory.
pub const CFR_ENGINE_SPACE: [f64; 7] = [0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1.0];

/// 33 CFR 183.425 Table 5 note 2: factors by the number of conductors that carry current, each up to
/// that count. They apply from 50 V on. Read in a reprint.
pub const CFR_BUNDLE: [(usize, f64); 5] =
    [(2, 1.0), (3, 0.7), (6, 0.6), (24, 0.5), (usize::MAX, 0.4)];

/// Bundle factor of MIL-STD-975M Appendix A 3.16 for `n` wires: made for vacuum at 70 °C, so it is on
/// the safe side in air. Read in a reprint.
pub fn space_bundle_factor(n: usize) -> f64 {
    match n {
        0 | 1 => 1.0,
        2..=15 => (29 - n) as f64 / 28.0,
        16.. => 0.5,
    }
}

/// Ratings of blade fuses in amperes (ISO 8820-3; those of 4, 25 and 35 A from memory).
pub const BLADE_AMP: [f64; 13] =
    [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0];
