//! Edits of what is written down about cutting: wire ends, settings, ticks.

use crate::edit::apply::{Applied, EditError};
use crate::edit::guard::{check_bound, check_count, check_maybe, check_size, check_texts};
use crate::edit::rows::gone;
use crate::model::{
    CutSettings, EndFit, HalfSide, PartId, Project, Table, Ticks, Wire, WireFit, WireId, limits,
};

/// A change to what is written down about cutting.
#[derive(Clone, Debug, PartialEq)]
pub enum CuttingEdit {
    /// Replaces the settings of cutting and buying.
    Settings(Box<CutSettings>),
    /// Says what goes onto the wires of a half.
    HalfFit(PartId, HalfSide, Box<EndFit>),
    /// Says what differs at one wire.
    WireFit(WireId, Box<WireFit>),
    /// Ticks what is done at one wire.
    Ticks(WireId, Ticks),
}

impl CuttingEdit {
    /// Name of the undo step.
    pub(super) fn title(&self, project: &Project) -> String {
        let wire = |id: &WireId| project.wires.get(*id).map_or("wire", |w| w.name.as_str());
        match self {
            Self::Settings(_) => "change the settings of cutting".into(),
            Self::HalfFit(id, ..) => {
                let part = project.parts.get(*id).map_or("a part", |part| part.name.as_str());
                format!("change the wire ends of {part}")
            }
            Self::WireFit(id, _) => format!("change the ends of wire {}", wire(id)),
            Self::Ticks(id, _) => format!("tick wire {}", wire(id)),
        }
    }
}

/// Makes one of these edits.
pub(super) fn apply_cutting(
    project: &mut Project,
    edit: CuttingEdit,
) -> Result<Applied, EditError> {
    match edit {
        CuttingEdit::Settings(settings) => {
            check_settings(&settings)?;
            project.cutting.settings = *settings;
        }
        CuttingEdit::HalfFit(part, half, fit) => {
            if !project.parts.contains(part) {
                return Err(gone("part"));
            }
            check_fit(&fit)?;
            put(&mut project.cutting.half_fits, (part, half), *fit);
        }
        CuttingEdit::WireFit(wire, fit) => {
            if !project.wires.contains(wire) {
                return Err(gone("wire"));
            }
            check_fit(&fit.from)?;
            check_fit(&fit.to)?;
            check_texts("the marker", &[&fit.marker])?;
            put(&mut project.cutting.wire_fits, wire, *fit);
        }
        CuttingEdit::Ticks(wire, ticks) => {
            if !project.wires.contains(wire) {
                return Err(gone("wire"));
            }
            check_maybe("the length it was cut to", ticks.cut_to_mm, &limits::LENGTH_MM)?;
            put(&mut project.cutting.ticks, wire, ticks);
        }
    }
    Ok(Applied::default())
}

/// Rows of parts and wires that are no longer there go.
pub(super) fn forget_gone(project: &mut Project) {
    let cutting = &project.cutting;
    let halves: Vec<(PartId, HalfSide)> =
        cutting.half_fits.ids().filter(|(part, _)| !project.parts.contains(*part)).collect();
    let gone = |wire: &WireId| !project.wires.contains(*wire);
    let fits: Vec<WireId> = cutting.wire_fits.ids().filter(gone).collect();
    let ticks: Vec<WireId> = cutting.ticks.ids().filter(gone).collect();
    for half in halves {
        project.cutting.half_fits.remove(half);
    }
    for wire in fits {
        project.cutting.wire_fits.remove(wire);
    }
    for wire in ticks {
        project.cutting.ticks.remove(wire);
    }
}

/// A wire that is led to other terminals is neither crimped nor tested there.
pub(super) fn forget_ends_done(project: &mut Project, id: WireId, new: &Wire) {
    let Some(old) = project.wires.get(id) else { return };
    let (was, now) = ([old.from.terminal, old.to.terminal], [new.from.terminal, new.to.terminal]);
    let is_moved = was != now && was != [now[1], now[0]];
    if let Some(ticks) = project.cutting.ticks.get(id).filter(|_| is_moved) {
        let ticks = Ticks { is_crimped: false, is_tested: false, ..*ticks };
        put(&mut project.cutting.ticks, id, ticks);
    }
}

/// A row that says nothing is no row.
fn put<K: Ord + Copy, T: Clone + Default + PartialEq>(table: &mut Table<K, T>, key: K, row: T) {
    if row == T::default() {
        table.remove(key);
    } else {
        table.put(key, row);
    }
}

fn check_fit(fit: &EndFit) -> Result<(), String> {
    check_texts("the texts of a wire end", &[&fit.terminal, &fit.seal, &fit.boot])?;
    check_maybe("the length to strip", fit.strip_mm, &limits::LENGTH_MM)?;
    let Some((low, high)) = fit.seal_mm else { return Ok(()) };
    check_bound("least diameter of the seal", low, &limits::LENGTH_MM)?;
    check_bound("greatest diameter of the seal", high, &limits::LENGTH_MM)?;
    if low > high {
        return Err(format!("the seal's diameters must rise, found {low} to {high}"));
    }
    Ok(())
}

fn check_settings(settings: &CutSettings) -> Result<(), String> {
    check_bound("width of a cut", settings.kerf_mm, &limits::SPARE_MM)?;
    check_bound("trim of a piece", settings.trim_mm, &limits::SPARE_MM)?;
    check_bound("length of scrap", settings.scrap_mm, &limits::SPARE_MM)?;
    check_bound("temperature", settings.measured_at_c, &limits::CELSIUS)?;
    check_maybe("length of a spool", settings.spool_mm, &limits::LENGTH_MM)?;
    check_texts("the currency", &[&settings.currency])?;
    check_count("substitutes", settings.substitutes.len(), limits::SUBSTITUTES)?;
    check_count("prices", settings.prices.len(), limits::PRICES)?;
    for substitute in &settings.substitutes {
        check_size("substitute", substitute.size)?;
        check_size("substitute", substitute.by_size)?;
        check_texts("the marker of a substitute", &[&substitute.marker])?;
    }
    for price in &settings.prices {
        check_texts("the name of a price", &[&price.item])?;
        check_bound(&format!("price of {}", price.item), price.price, &limits::PRICE)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, Item, apply, parse_placing};

    #[test]
    fn what_goes_onto_an_end_goes_with_its_part() {
        let mut project = Project::empty("test");
        let placed = apply(&mut project, Edit::Place(parse_placing("X 2x2").unwrap())).unwrap();
        let Some(Item::Part(part)) = placed.created.iter().next().copied() else { panic!() };
        let fit = EndFit { terminal: "pin 1.5".into(), ..EndFit::default() };
        let set = |fit: &EndFit| {
            let fit = Box::new(fit.clone());
            Edit::SetCutting(CuttingEdit::HalfFit(part, HalfSide::Second, fit))
        };
        apply(&mut project, set(&fit)).unwrap();
        assert_eq!(project.cutting.half_fits.get((part, HalfSide::Second)), Some(&fit));
        let bad = EndFit { seal_mm: Some((2.4, 1.2)), ..EndFit::default() };
        assert!(apply(&mut project, set(&bad)).unwrap_err().0.contains("2.4 to 1.2"));
        apply(&mut project, Edit::Remove([Item::Part(part)].into())).unwrap();
        assert!(project.cutting.half_fits.is_empty());
        assert!(apply(&mut project, set(&fit)).is_err());
    }

    #[test]
    fn settings_that_mean_nothing_are_refused() {
        let mut project = Project::empty("test");
        let bad: [fn(&mut CutSettings); 4] = [
            |s| s.kerf_mm = -1.0,
            |s| s.measured_at_c = f64::NAN,
            |s| s.spool_mm = Some(0.0),
            |s| s.prices = vec![crate::model::Price { item: "x".into(), price: f64::INFINITY }],
        ];
        for change in bad {
            let mut settings = CutSettings::default();
            change(&mut settings);
            let edit = Edit::SetCutting(CuttingEdit::Settings(Box::new(settings)));
            assert!(apply(&mut project, edit).is_err());
        }
        assert_eq!(project, Project::empty("test"));
    }
}
