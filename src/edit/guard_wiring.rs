//! What an edit may not do to the laying of a run, the make of a wire and the project's wire rules.

use crate::edit::guard::{check_bound, check_count, check_maybe, check_size, check_texts};
use crate::model::limits;
use crate::model::{Laid, Make, Wiring};

/// Laying whose numbers mean something.
pub(super) fn check_laid(name: &str, laid: &Laid) -> Result<(), String> {
    if let Some(hole) = laid.hole {
        check_bound(&format!("run {name}: bore"), hole.bore_mm, &limits::LENGTH_MM)?;
    }
    if let Some(covering) = &laid.covering {
        let what = format!("run {name}: thickness of its covering");
        check_maybe(&what, covering.thickness_mm, &limits::LENGTH_MM)?;
        check_texts("the words on a covering", &[&covering.words])?;
    }
    check_maybe(&format!("run {name}: support spacing"), laid.support_mm, &limits::LENGTH_MM)
}

/// A make whose numbers mean something.
pub(super) fn check_make(name: &str, make: &Make) -> Result<(), String> {
    let what = |noun: &str| format!("wire {name}: {noun}");
    check_maybe(&what("insulation temperature"), make.rating_c, &limits::CELSIUS)?;
    check_maybe(&what("outside diameter"), make.outside_mm, &limits::LENGTH_MM)?;
    check_maybe(&what("current"), make.current_amp, &limits::CURRENT_AMP)?;
    check_maybe(&what("drop limit"), make.drop_limit, &limits::DROP_LIMIT)?;
    if let Some(twist) = &make.twist {
        check_bound(&what("length of a turn"), twist.lay_mm, &limits::LENGTH_MM)?;
        check_texts("the name of a pair", &[&twist.pair])?;
    }
    if let Some(shield) = &make.shield {
        check_maybe(
            &what("outside diameter of the shield"),
            shield.outside_mm,
            &limits::LENGTH_MM,
        )?;
        check_texts("the name of a shield", &[&shield.name])?;
        shield.drain.map_or(Ok(()), |size| check_size(&what("drain"), size))?;
    }
    Ok(())
}

/// Wire rules whose numbers mean something.
pub(super) fn check_wiring(wiring: &Wiring) -> Result<(), String> {
    check_maybe("temperature around the harness", wiring.ambient_c, &limits::CELSIUS)?;
    check_maybe("temperature in hot zones", wiring.hot_c, &limits::CELSIUS)?;
    check_maybe("drop limit", wiring.drop_limit, &limits::DROP_LIMIT)?;
    check_maybe("supply", wiring.supply_volt, &limits::SCALE_VOLT)?;
    check_maybe("insulation temperature", wiring.rating_c, &limits::CELSIUS)?;
    check_count("rows of the own wire table", wiring.own_wires.len(), limits::OWN_WIRES)?;
    for row in &wiring.own_wires {
        let what = |noun: &str| format!("own wire table, {}: {noun}", row.size.text());
        check_size(&what("size"), row.size)?;
        check_maybe(&what("resistance"), row.ohm_per_m, &limits::OHM_PER_M)?;
        check_maybe(&what("outside diameter"), row.outside_mm, &limits::LENGTH_MM)?;
        check_maybe(&what("current"), row.single_amp, &limits::RATING_AMP)?;
        check_texts("the source of a row", &[&row.source])?;
    }
    Ok(())
}
