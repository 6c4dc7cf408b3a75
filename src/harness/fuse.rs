//! A fuse for each feed, and in words what it does not protect from.

use std::collections::BTreeMap;

use crate::harness::current_tables::BLADE_AMP;
use crate::harness::feeds::Feed;
use crate::harness::gauge::WireReport;
use crate::model::{PartKind, Project, WireId};

/// Share of its rating a fuse should carry for long. Common practice, no source.
pub const FUSE_LOADED_TO: f64 = 0.75;

/// What to fit in front of a feed.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseAdvice {
    /// Greatest current of the wires on the way out, in amperes.
    pub load_amp: f64,
    /// The wire behind the fuse that may carry least, and how much, where that is known.
    pub weakest: Option<(WireId, f64)>,
    /// Rating in amperes, or why there is none.
    pub rating_amp: Result<f64, String>,
    /// Rating that is drawn, in amperes.
    pub drawn_amp: Option<f64>,
    /// What the fuse does not protect from.
    pub not_protected: Vec<String>,
}

/// The smallest blade fuse (ISO 8820-3) that carries the load for long and does not exceed what the
/// weakest wire behind it may carry.
pub fn fuse_advice(
    project: &Project,
    feed: &Feed,
    wires: &BTreeMap<WireId, WireReport>,
) -> FuseAdvice {
    let reports = || feed.out.iter().filter_map(|wire| Some((*wire, wires.get(wire)?)));
    let load_amp =
        reports().filter_map(|(_, report)| report.current).map(|c| c.amp).fold(0.0, f64::max);
    let weakest = reports()
        .filter_map(|(wire, report)| Some((wire, report.ampacity.as_ref().ok()?.amp)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let rating_amp = rating(project, load_amp, weakest);
    let drawn_amp = feed
        .fuses
        .iter()
        .filter_map(|fuse| match &project.parts.get(*fuse)?.kind {
            PartKind::Fuse(fuse) => Some(fuse.rating_amp),
            _ => None,
        })
        .min_by(f64::total_cmp);
    let judged = drawn_amp.or(rating_amp.as_ref().ok().copied());
    FuseAdvice {
        load_amp,
        weakest,
        not_protected: judged.map_or_else(Vec::new, |amp| not_protected(amp, feed)),
        rating_amp,
        drawn_amp,
    }
}

fn rating(project: &Project, load_amp: f64, weakest: Option<(WireId, f64)>) -> Result<f64, String> {
    let least = load_amp / FUSE_LOADED_TO;
    let rating = BLADE_AMP
        .into_iter()
        .find(|rating| *rating >= least * (1.0 - 1e-9))
        .ok_or_else(|| format!("no blade fuse carries {load_amp:.1} A for long: split the feed"))?;
    match weakest {
        Some((wire, amp)) if rating > amp => {
            let name = project.wires.get(wire).map_or("?", |wire| wire.name.as_str());
            Err(format!(
                "a {rating} A fuse would let more through than the {amp:.1} A wire {name} may \
                 carry: take thicker wire or feed less from here"
            ))
        }
        Some(_) | None => Ok(rating),
    }
}

/// Words about a fuse of a rating in front of a feed.
fn not_protected(amp: f64, feed: &Feed) -> Vec<String> {
    let mut list = vec![
        format!(
            "Mild overload: a blade fuse may carry 110 % ({:.1} A) for 100 hours and need 10 minutes \
             at 135 % ({:.1} A) (from memory); a 10 A one may take 0.25 to 50 s at 160 %.",
            amp * 1.1,
            amp * 1.35
        ),
        "A thinner wire that is joined on later, a bad joint that gets hot, an arc, a wrong wire, \
         or what is connected: it protects the wire behind it only."
            .to_owned(),
        "The stretch between supply and fuse: common practice keeps it below 175 mm (from memory)."
            .to_owned(),
    ];
    match feed.short_amp() {
        Some(short) if short < amp * 6.0 => list.insert(
            0,
            format!(
                "A short at the far end draws at most {short:.0} A through {:.2} Ω of wire, {:.1} \
                 times the rating: it may burn for seconds before the fuse opens.",
                feed.ohm,
                short / amp
            ),
        ),
        Some(short) => list.push(format!(
            "A dead short at the far end draws up to {short:.0} A through {:.2} Ω of wire: enough to \
             open it soon, if the supply can give that.",
            feed.ohm
        )),
        None => list.push("How much a short at the far end draws is not known.".to_owned()),
    }
    list
}
