//! The ruler's facts, kept until the project, the bench or the unit changes.

use crate::app::reading::{in_scale, symptom_in_scale};
use crate::app::ruler::facts::RulerFacts;
use crate::app::view::View;
use crate::edit::Revision;
use crate::model::{Scale, SensePin, SensePinId, State};
use crate::sense::PinTable;

/// What the facts were gathered from.
#[derive(PartialEq)]
struct Of {
    revision: Revision,
    is_current: bool,
    pin: SensePinId,
    scale: Scale,
    bench: State,
    /// The fault that is shown as if it were there.
    as_if: Option<String>,
}

/// Facts with what they were gathered from.
#[derive(Default)]
pub struct RulerMemo(Option<(Of, Result<RulerFacts, String>)>);

impl RulerMemo {
    /// The facts, gathered anew only when something changed.
    ///
    /// # Errors
    /// One sentence where this unit cannot be shown for this pin.
    pub fn facts(
        &mut self,
        view: View<'_>,
        id: SensePinId,
        pin: &SensePin,
        table: &PinTable,
    ) -> Result<&RulerFacts, &str> {
        let revision = view.history.revision();
        let is_current = view.derived.is_current(revision);
        let faulty = view.studies.as_if.shown();
        let as_if = faulty.map(|shown| shown.title.clone());
        let bench = view.bench.clone();
        let of = Of { revision, is_current, pin: id, scale: view.scale, bench, as_if };
        if self.0.as_ref().is_none_or(|(known, _)| *known != of) {
            let row = view.derived.live(id).and_then(|live| live.row.as_ref());
            let now = match faulty {
                Some(shown) => symptom_in_scale(pin, &shown.symptom, view.scale),
                None => row.and_then(|row| in_scale(row, pin, view.scale)).map(|r| r.nominal),
            };
            self.0 = Some((
                of,
                RulerFacts::gather(view.project, pin, table, now, view.bench, view.scale),
            ));
        }
        let (_, facts) = self.0.as_ref().expect("gathered just above");
        facts.as_ref().map_err(String::as_str)
    }
}
