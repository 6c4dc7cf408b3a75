//! How much current a wire may carry by a published rule that is named, corrected only as that rule
//! itself corrects. Rules are never mixed and never averaged.

use crate::harness::current_tables::{
    AC_AMP, AC_RATING_C, CFR_AMP, CFR_BUNDLE, CFR_ENGINE_SPACE, CFR_RATING_C, space_bundle_factor,
};
use crate::harness::volt::judged_volt;
use crate::harness::wire_data::{Standing, own_rows};
use crate::model::{AmpacityRule, Project, Wire, WireSize};
use crate::units;

/// What surrounds a wire where it has it worst.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surroundings {
    /// Temperature in degrees Celsius; `None` where nobody has typed it.
    pub celsius: Option<f64>,
    /// Whether it passes a hot zone, such as an engine space.
    pub is_hot: bool,
    /// Wires in the fullest run on its way, itself included; 1 where that is not known.
    pub n_wires: usize,
}

/// Current a wire may carry.
#[derive(Clone, Debug, PartialEq)]
pub struct Ampacity {
    /// Amperes, all corrections in.
    pub amp: f64,
    /// The rule.
    pub rule: AmpacityRule,
    /// Amperes as the table has them.
    pub table_amp: f64,
    /// Corrections of the same rule: what for, and the factor.
    pub factors: Vec<(String, f64)>,
    /// How far the figure can be trusted.
    pub standing: Standing,
    /// What else the rule says, and what it does not cover.
    pub notes: Vec<String>,
}

/// Current a wire may carry by the project's rule.
///
/// # Errors
/// A sentence: what is missing or lies outside the rule, and what to do.
pub fn ampacity(project: &Project, wire: &Wire, around: Surroundings) -> Result<Ampacity, String> {
    let wiring = &project.settings.wiring;
    let rule = wiring.ampacity.ok_or("no rule is chosen: choose one in the settings")?;
    match rule {
        AmpacityRule::OwnTable => own(project, wire, around),
        AmpacityRule::Boats => boats(project, wire, around),
        AmpacityRule::AircraftBundle => aircraft(project, wire, around),
    }
}

/// The gauge a table is entered with: the same, or the next thinner one for a size in mm².
fn gauge_of(size: WireSize, gauges: impl Iterator<Item = i32>) -> Option<i32> {
    let mut gauges = gauges;
    match size {
        WireSize::Awg(gauge) => gauges.find(|row| *row == gauge),
        // Down to 1 % thinner still counts as the same: sizes are nominal.
        WireSize::Mm2(area) => {
            gauges.filter(|gauge| units::awg_area_mm2(*gauge) <= area * 1.01).min()
        }
    }
}

fn entered(size: WireSize, gauge: i32) -> Option<String> {
    match size {
        WireSize::Awg(_) => None,
        WireSize::Mm2(_) => {
            let name = WireSize::Awg(gauge).text();
            Some(format!("{} is looked up as {name}, the next thinner gauge", size.text()))
        }
    }
}

/// The table's column for an insulation: the hottest one it stands.
fn column(rating_c: Option<f64>, columns: &[f64]) -> Result<usize, String> {
    let rating = rating_c.ok_or(
        "the temperature the insulation stands is not typed: take it from the maker's sheet",
    )?;
    columns.iter().rposition(|column| *column <= rating).ok_or_else(|| {
        format!("insulation for {rating} °C is below the rule's coolest column, {} °C", columns[0])
    })
}

fn rating_of(project: &Project, wire: &Wire) -> Option<f64> {
    wire.make.rating_c.or(project.settings.wiring.rating_c)
}

fn boats(project: &Project, wire: &Wire, around: Surroundings) -> Result<Ampacity, String> {
    let column = column(rating_of(project, wire), &CFR_RATING_C)?;
    let gauge = gauge_of(wire.size, CFR_AMP.iter().map(|row| row.0)).ok_or_else(|| {
        format!("{} is not in the rule's table, which begins at 18 AWG", wire.size.text())
    })?;
    let row = CFR_AMP.iter().find(|row| row.0 == gauge).expect("the gauge is one of the table's");
    let mut out = Ampacity {
        amp: row.1[column],
        rule: AmpacityRule::Boats,
        table_amp: row.1[column],
        factors: Vec::new(),
        standing: Standing::Read,
        notes: entered(wire.size, gauge).into_iter().collect(),
    };
    let celsius = around.celsius.unwrap_or(if around.is_hot { 50.0 } else { 30.0 });
    if celsius > 50.0 {
        return Err(format!("the rule ends at 50 °C, here it is {celsius} °C: choose another"));
    }
    if around.is_hot || celsius > 30.0 {
        out.factors.push(("note 1, up to 50 °C".into(), CFR_ENGINE_SPACE[column]));
        if CFR_RATING_C[column] != 105.0 {
            out.standing = Standing::FromMemory;
            out.notes.push(format!(
                "the factor of note 1 for {} °C insulation is from memory: look it up, and where it \
                 differs choose the own table and type the corrected amperes there",
                CFR_RATING_C[column]
            ));
        }
    } else if around.celsius.is_none() {
        out.notes.push("holds up to 30 °C; the temperature around it is not typed".into());
    }
    if judged_volt(project).is_some_and(|volt| volt >= 50.0) {
        let most = CFR_BUNDLE.iter().find(|row| around.n_wires <= row.0).expect("the last is open");
        out.factors.push((format!("note 2, {} wires in the bundle", around.n_wires), most.1));
    } else {
        out.notes.push("the rule lowers nothing for bundles below 50 V".into());
    }
    if wire.size.area_mm2() < units::awg_area_mm2(16) * 0.99 {
        out.notes.push("the rule wants 16 AWG or thicker outside a sheath".into());
    }
    Ok(corrected(out))
}

fn aircraft(project: &Project, wire: &Wire, around: Surroundings) -> Result<Ampacity, String> {
    let column = column(rating_of(project, wire), &AC_RATING_C)?;
    let gauge = gauge_of(wire.size, AC_AMP.iter().map(|row| row.0)).ok_or_else(|| {
        format!("{} is not in the rule's table, which begins at 24 AWG", wire.size.text())
    })?;
    if let Some(celsius) = around.celsius.filter(|celsius| *celsius > 70.0) {
        return Err(format!(
            "the rule's table holds up to 70 °C, here it is {celsius} °C: use the circular's curves"
        ));
    }
    if around.is_hot && around.celsius.is_none() {
        return Err("the temperature of the hot zone is not typed: type it, or measure it".into());
    }
    let row = AC_AMP.iter().find(|row| row.0 == gauge).expect("the gauge is one of the table's");
    let crowd = if gauge <= 8 { 9 } else { 33 };
    let mut notes: Vec<String> = entered(wire.size, gauge).into_iter().collect();
    notes.push(format!(
        "made for {crowd} wires or more at 70 °C and 60,000 ft, so fewer wires, cooler and lower are \
         on the safe side; it holds while the bundle carries at most 20 % of what all its wires may"
    ));
    notes.push(
        "the circular's curves for other bundles, temperatures and heights are not applied: only single \
         points of them could be read; where they allow more, choose the own table and type it there"
            .to_owned(),
    );
    Ok(corrected(Ampacity {
        amp: row.1[column],
        rule: AmpacityRule::AircraftBundle,
        table_amp: row.1[column],
        factors: Vec::new(),
        standing: Standing::Read,
        notes,
    }))
}

fn own(project: &Project, wire: &Wire, around: Surroundings) -> Result<Ampacity, String> {
    let (table_amp, source) = own_rows(&project.settings.wiring, wire)
        .find_map(|row| Some((row.single_amp?, row.source.trim())))
        .ok_or_else(|| {
            format!(
                "the own wire table has no current for {}: add a row to it, in the rules for wire",
                wire.size.text()
            )
        })?;
    let factor = space_bundle_factor(around.n_wires);
    let mut notes =
        vec!["the bundle factor was made for vacuum: on the safe side in air".to_owned()];
    notes.push(match source {
        "" => "where the own figure comes from is not typed: say it beside the figure".to_owned(),
        source => format!("the own figure is from: {source}"),
    });
    if around.is_hot {
        notes.push("the factor knows no hot zone: let the own figure hold for the hot zone".into());
    }
    if let Some(celsius) = around.celsius {
        notes.push(format!(
            "own figures name no temperature: make sure that {table_amp} A holds at {celsius} °C"
        ));
    }
    Ok(corrected(Ampacity {
        amp: table_amp,
        rule: AmpacityRule::OwnTable,
        table_amp,
        factors: vec![(format!("{} wires in the bundle", around.n_wires.max(1)), factor)],
        standing: Standing::Typed,
        notes,
    }))
}

fn corrected(mut ampacity: Ampacity) -> Ampacity {
    ampacity.amp =
        ampacity.factors.iter().fold(ampacity.table_amp, |amp, (_, factor)| amp * factor);
    ampacity
}

#[cfg(test)]
mod tests;
