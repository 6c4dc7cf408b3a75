//! Random set-up records, change logs and arming stories.

use std::collections::BTreeSet;

use crate::model::{
    ChangeId, ChangeNote, ControlId, Deed, LinkId, ModeId, Observation, ObservationId, Project,
    Provenance, SensePinId, SetupId, SetupRow, StoryEvent, StoryLink, StoryMode,
};
use crate::random::Random;
use crate::testing::project::word;

/// A record in a third of the projects, a story in another third.
pub(super) fn add_story(p: &mut Project, r: &mut Random) {
    if r.once_in(3) {
        add_record(p, r);
    }
    if !r.once_in(3) {
        return;
    }
    for _ in 0..1 + r.below(3) {
        let id: ModeId = p.fresh_id();
        p.story.modes.put(id, StoryMode { name: word(r), display: word(r) });
    }
    let modes: Vec<ModeId> = p.story.modes.ids().collect();
    let some = |r: &mut Random| -> BTreeSet<ModeId> {
        (0..1 + r.below(2)).map(|_| r.pick(&modes)).collect()
    };
    p.story.start = some(r);
    for _ in 0..r.below(5) {
        let (from, to) = (some(r), some(r));
        let event = event(p, r);
        let is_time = event == StoryEvent::TimePasses;
        let ms = |r: &mut Random| 1 + r.below(5_000) as u32;
        let after_ms = (is_time || r.once_in(3)).then(|| ms(r));
        let within_ms = (!is_time && r.once_in(3)).then(|| ms(r));
        let id: LinkId = p.fresh_id();
        p.story.links.put(id, StoryLink { from, event, after_ms, within_ms, to });
    }
    for _ in 0..r.below(5) {
        let seen = Observation { deed: deed(p, r), display: r.maybe(word) };
        let id: ObservationId = p.fresh_id();
        p.story.seen.put(id, seen);
    }
}

fn add_record(p: &mut Project, r: &mut Random) {
    for _ in 0..r.below(4) {
        let row = SetupRow {
            name: word(r),
            value: word(r),
            unit: r.pick(&["", "ms", "V"]).into(),
            provenance: r.maybe(|r| r.pick(&Provenance::ALL)),
            date: r.pick(&["", "2027-03-14"]).into(),
            who: word(r),
            file: word(r),
        };
        let id: SetupId = p.fresh_id();
        p.set_up.put(id, row);
        let note = ChangeNote { date: word(r), who: word(r), what: word(r) };
        let id: ChangeId = p.fresh_id();
        p.changes.put(id, note);
    }
}

fn stand(p: &Project, r: &mut Random) -> Option<(ControlId, u8)> {
    let controls: Vec<ControlId> = p.controls.ids().collect();
    if controls.is_empty() {
        return None;
    }
    let control = r.pick(&controls);
    let count = p.controls.get(control)?.positions.len();
    Some((control, r.below(count) as u8))
}

fn pin(p: &Project, r: &mut Random) -> Option<SensePinId> {
    let pins: Vec<SensePinId> = p.sense_pins.ids().collect();
    if pins.is_empty() { None } else { Some(r.pick(&pins)) }
}

fn event(p: &Project, r: &mut Random) -> StoryEvent {
    match (r.below(3), stand(p, r), pin(p, r)) {
        (0, Some((control, position)), _) => {
            StoryEvent::Stands { control, positions: BTreeSet::from([0, position]) }
        }
        (1, _, Some(pin)) => StoryEvent::Reads { pin, actions: BTreeSet::from([word(r), word(r)]) },
        (_, _, _) => StoryEvent::TimePasses,
    }
}

fn deed(p: &Project, r: &mut Random) -> Deed {
    match (r.below(5), stand(p, r), pin(p, r)) {
        (0, Some((control, position)), _) => Deed::Stands { control, position },
        (1, Some((control, position)), _) => Deed::Tapped { control, position },
        (2, _, Some(pin)) => Deed::Reads { pin, action: word(r) },
        (3, _, _) => Deed::Waited { ms: 1 + r.below(5_000) as u32 },
        (_, _, _) => Deed::SwitchedOn,
    }
}
