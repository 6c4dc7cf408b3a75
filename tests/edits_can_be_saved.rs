//! Whatever edits leave behind can be saved and opened again, whether they made sense or not.

use ohmloom::edit::{
    CuttingEdit, Edge, Edit, Item, RecordEdit, Selection, StoryEdit, apply, parse_placing,
};
use ohmloom::geometry::point;
use ohmloom::model::{Draw, Element, HalfSide, PartKind, Price, Project, Ticks, WireSize};
use ohmloom::random::Random;
use ohmloom::units::Tolerant;
use ohmloom::{store, testing};

/// Numbers that tell a careless check from a careful one.
const ODD: [f64; 14] = [
    0.0,
    -0.0,
    -1.0,
    1e-320,
    1e-9,
    1e-6,
    0.999,
    1.0,
    24.0,
    1e7,
    1e13,
    1e300,
    f64::INFINITY,
    f64::NAN,
];

/// An edit that carries a row of another project, often with a number or a text spoiled.
#[expect(clippy::too_many_lines, reason = "one arm an edit")]
fn edit(project: &Project, donor: &Project, r: &mut Random) -> Option<Edit> {
    let odd = r.pick(&ODD);
    let is_odd = r.once_in(3);
    let long = "x".repeat(3000);
    macro_rules! row {
        ($table:ident) => {{
            let ids: Vec<_> = donor.$table.ids().collect();
            if ids.is_empty() { return None } else { donor.$table.get(r.pick(&ids)).cloned()? }
        }};
    }
    macro_rules! id {
        ($table:ident) => {{
            let ids: Vec<_> = project.$table.ids().collect();
            if ids.is_empty() { return None } else { r.pick(&ids) }
        }};
    }
    macro_rules! add_or_set {
        ($table:ident, $row:expr, $add:expr, $set:expr) => {{
            let row = $row;
            if r.once_in(2) { $add(row) } else { $set(id!($table), row) }
        }};
    }
    let items = |r: &mut Random| -> Selection {
        let parts = project.parts.ids().map(Item::Part);
        let wires = project.wires.ids().map(Item::Wire);
        let frames = project.frames.ids().map(Item::Frame);
        parts.chain(wires).chain(frames).filter(|_| r.once_in(4)).collect()
    };
    Some(match r.below(23) {
        0 | 1 => {
            let mut row = row!(parts);
            if is_odd {
                match &mut row.kind {
                    PartKind::Resistor(resistor) => match r.below(4) {
                        0 => resistor.ohm = odd,
                        1 => resistor.tolerance = odd,
                        2 => resistor.power_watt = odd,
                        _ => resistor.tempco_ppm_per_k = odd,
                    },
                    PartKind::Fuse(fuse) => fuse.rating_amp = odd,
                    PartKind::Supply(supply) => supply.volt.high = odd,
                    PartKind::Contact(contact) => {
                        contact.closed_ohm = Some(ohmloom::units::Range::up_to(odd));
                    }
                    PartKind::Element(element) => match element {
                        Element::Diode(diode) => diode.on_ohm = odd,
                        Element::Relay(relay) => relay.pull_in_volt = odd,
                        Element::Load(load) => {
                            load.draw = Draw::Amp(ohmloom::units::Range::exact(odd));
                        }
                        Element::Input(input) => {
                            let tolerance = 0.1;
                            input.pull_volt = Some(Tolerant { nominal: odd, tolerance });
                        }
                    },
                    PartKind::Ground
                    | PartKind::Splice { .. }
                    | PartKind::Connector(_)
                    | PartKind::Controller(_)
                    | PartKind::TestPoint => match r.below(3) {
                        0 => row.pos.x_mm = odd,
                        1 => row.label = long,
                        _ => row.name = long,
                    },
                }
            }
            Edit::SetPart(id!(parts), Box::new(row))
        }
        2..=4 => {
            let mut row = row!(wires);
            if is_odd {
                match r.below(8) {
                    5 => row.make.outside_mm = Some(odd),
                    6 => row.make.current_amp = Some(odd),
                    7 => row.make.drop_limit = Some(odd),
                    0 => row.typed_length_mm = Some(odd),
                    1 => row.size = WireSize::Mm2(odd),
                    2 => row.bends.push(point(odd, 0.0)),
                    3 => row.size = WireSize::Awg(odd as i32),
                    _ => row.circuit = long,
                }
            }
            add_or_set!(wires, row, Edit::AddWire, |id, row| Edit::SetWire(id, Box::new(row)))
        }
        5 | 6 => {
            let mut row = row!(controls);
            if is_odd {
                row.positions[0].name = long;
            }
            add_or_set!(controls, row, Edit::AddControl, Edit::SetControl)
        }
        7 | 8 => {
            let mut row = row!(sense_pins);
            if is_odd {
                match r.below(6) {
                    0 => row.ground_offset_volt = odd,
                    1 => row.leak_low_ohm = Some(odd),
                    2 => row.limit_volt = Some(odd),
                    3 => row.debounce_ms = Some(odd),
                    4 => row.bands.iter_mut().for_each(|band| band.high = Some(odd)),
                    _ => row.arming = long,
                }
            }
            add_or_set!(sense_pins, Box::new(row), Edit::AddSensePin, Edit::SetSensePin)
        }
        9 => {
            let mut row = row!(runs);
            if is_odd {
                match r.below(2) {
                    0 => row.length_mm = odd,
                    _ => row.laid.support_mm = Some(odd),
                }
            }
            add_or_set!(runs, row, Edit::AddRun, Edit::SetRun)
        }
        10 => {
            let mut row = row!(places);
            if is_odd {
                row.pos.y_mm = odd;
            }
            add_or_set!(places, row, Edit::AddPlace, Edit::SetPlace)
        }
        11 => {
            let mut row = row!(pieces);
            if is_odd {
                match r.below(3) {
                    0 => row.length_mm = odd,
                    1 => row.measured_ohm = Some(odd),
                    _ => row.outside_mm = Some(odd),
                }
            }
            add_or_set!(pieces, row, Edit::AddPiece, Edit::SetPiece)
        }
        19 => Edit::SetCutting(match r.below(4) {
            0 => {
                let mut settings = donor.cutting.settings.clone();
                if is_odd {
                    match r.below(5) {
                        0 => settings.kerf_mm = odd,
                        1 => settings.measured_at_c = odd,
                        2 => settings.spool_mm = Some(odd),
                        3 => settings.prices.push(Price { item: "x".into(), price: odd }),
                        _ => settings.currency = long,
                    }
                }
                CuttingEdit::Settings(Box::new(settings))
            }
            1 => {
                let row = donor.cutting.half_fits.iter().next().map(|(_, fit)| fit.clone());
                let mut fit = row.unwrap_or_default();
                if is_odd {
                    fit.seal_mm = Some((odd, 1.0));
                }
                let half = r.pick(&[HalfSide::First, HalfSide::Second]);
                CuttingEdit::HalfFit(id!(parts), half, Box::new(fit))
            }
            2 => {
                let row = donor.cutting.wire_fits.iter().next().map(|(_, fit)| fit.clone());
                let mut fit = row.unwrap_or_default();
                if is_odd {
                    match r.below(2) {
                        0 => fit.to.strip_mm = Some(odd),
                        _ => fit.marker = long,
                    }
                }
                CuttingEdit::WireFit(id!(wires), Box::new(fit))
            }
            _ => {
                let cut_to_mm = is_odd.then_some(odd);
                let ticks = Ticks { is_cut: true, cut_to_mm, ..Ticks::default() };
                CuttingEdit::Ticks(id!(wires), ticks)
            }
        }),
        20 => {
            let mut row = row!(set_up);
            if is_odd {
                row.file = long;
            }
            let row = Box::new(row);
            Edit::SetRecord(if r.once_in(2) {
                RecordEdit::AddSetting(row)
            } else {
                RecordEdit::SetSetting(id!(set_up), row)
            })
        }
        21 => Edit::SetStory(story_edit(project, donor, r)?),
        12 => {
            let mut row = row!(frames);
            if is_odd {
                row.rect.max.x_mm = odd;
            }
            add_or_set!(frames, row, Edit::AddFrame, Edit::SetFrame)
        }
        13 => {
            let mut settings = donor.settings.clone();
            if is_odd {
                match r.below(6) {
                    4 => settings.wiring.ambient_c = Some(odd),
                    5 => settings.wiring.supply_volt = Some(odd),
                    0 => settings.rounding_mm = odd,
                    1 => settings.length_factor = odd,
                    2 => settings.temperature_span_k = odd,
                    _ => settings.allowances.tag_mm = odd,
                }
            }
            Edit::SetSettings(Box::new(settings))
        }
        14 => Edit::SetTitle(if is_odd { long } else { donor.title.clone() }),
        15 => match r.below(4) {
            0 => Edit::RemoveControl(id!(controls)),
            1 => Edit::RemovePlace(id!(places)),
            2 => Edit::RemoveSensePin(id!(sense_pins)),
            _ => Edit::Remove(items(r)),
        },
        16 => Edit::Move { items: items(r), by: point(if is_odd { odd } else { 2.5 }, 0.0) },
        17 => Edit::Duplicate { items: items(r), by: point(0.0, if is_odd { odd } else { 20.0 }) },
        18 => match r.below(3) {
            0 => Edit::Turn(items(r)),
            1 => Edit::Flip(items(r)),
            _ => Edit::Align(items(r), r.pick(&[Edge::Left, Edge::Top, Edge::Row, Edge::Column])),
        },
        _ => {
            let typed = r.pick(&[
                "6k81",
                "button",
                "X 2x8",
                "toggle",
                "splice",
                "0R00000001",
                "900G",
                "X 1x1",
            ]);
            Edit::Place(parse_placing(typed).ok()?)
        }
    })
}

/// A row of another project's story, with modes of this one where it has any.
fn story_edit(project: &Project, donor: &Project, r: &mut Random) -> Option<StoryEdit> {
    let modes: Vec<_> = project.story.modes.ids().collect();
    Some(match r.below(5) {
        0 => StoryEdit::AddMode(donor.story.modes.iter().next()?.1.clone()),
        1 if !modes.is_empty() => StoryEdit::RemoveMode(r.pick(&modes)),
        2 if !modes.is_empty() => StoryEdit::Start([r.pick(&modes)].into()),
        3 => StoryEdit::AddSeen(donor.story.seen.iter().next()?.1.clone()),
        _ => {
            let mut link = donor.story.links.iter().next()?.1.clone();
            if !modes.is_empty() {
                link.from = [r.pick(&modes)].into();
                link.to = [r.pick(&modes)].into();
            }
            if r.once_in(4) {
                link.after_ms = Some(0);
            }
            StoryEdit::AddLink(Box::new(link))
        }
    })
}

#[test]
fn whatever_edits_leave_can_be_saved_and_opened_again() {
    let (mut made, mut refused) = (0, 0);
    for seed in 0..80 {
        let mut project = testing::project(seed, 8);
        let r = &mut Random::new(seed);
        for step in 0..25 {
            let donor = testing::project(seed + 1000 * (step + 1), 8);
            let Some(edit) = edit(&project, &donor, r) else { continue };
            let before = project.clone();
            let said = format!("{edit:?}");
            if apply(&mut project, edit).is_err() {
                refused += 1;
                assert_eq!(
                    project, before,
                    "seed {seed}, step {step}: a refused edit changed something"
                );
                continue;
            }
            made += 1;
            let read = store::read(store::write(&project).as_bytes());
            assert_eq!(
                read.as_ref().map_err(ToString::to_string),
                Ok(&project),
                "seed {seed}, step {step}: {said:.600}"
            );
        }
    }
    assert!(made > 500 && refused > 100, "{made} made, {refused} refused");
}
