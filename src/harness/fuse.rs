//! A fuse for each feed, and in words what it does not protect from.

use std::collections::BTreeMap;

use crate::harness::behind::{Behind, Ways};
use crate::harness::current::wire_currents;
use crate::harness::current_tables::BLADE_AMP;
use crate::harness::feeds::Feed;
use crate::harness::gauge::WireReport;
use crate::harness::volt::judged_volt;
use crate::model::{PartId, PartKind, Project, WireId};

/// Share of its rating a fuse should carry for long. Common practice, no source.
pub const FUSE_LOADED_TO: f64 = 0.75;

/// Greatest voltage of common blade fuses in volts. From memory.
pub const BLADE_VOLT: f64 = 32.0;

/// Up to this rating in amperes the times at 135 % hold; larger ones are built otherwise. From memory.
const TIMED_TO_AMP: f64 = 30.0;

/// What to fit in front of a feed.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseAdvice {
    /// Greatest current of the wires on the way out, in amperes.
    pub load_amp: f64,
    /// The wire behind the fuse that may carry least of those that are known, and how much.
    pub weakest: Option<(WireId, f64)>,
    /// Wires behind it of which nobody knows what they may carry.
    pub unknown: Vec<WireId>,
    /// What the fuse carries in amperes, or why that is not known.
    pub carried_amp: Result<f64, String>,
    /// Rating in amperes, or why there is none.
    pub rating_amp: Result<f64, String>,
    /// The fuse that is drawn: the last one before what is fed.
    pub drawn: Option<PartId>,
    /// Its rating in amperes.
    pub drawn_amp: Option<f64>,
    /// Whether it will do, in words, or why not.
    pub drawn_fits: Option<Result<String, String>>,
    /// What the fuse does not protect from.
    pub not_protected: Vec<String>,
}

impl FuseAdvice {
    /// What is proposed and what is drawn, as sentences.
    pub fn sentences(&self, project: &Project) -> Vec<String> {
        let mut list = vec![match &self.rating_amp {
            Ok(amp) => format!(
                "Fuse: {amp} A (blade, ISO 8820-3; loaded to at most 75 %, common practice)."
            ),
            Err(why) => format!("Fuse: {why}."),
        }];
        list.push(match (self.drawn_amp, &self.drawn_fits) {
            (Some(amp), Some(Ok(words) | Err(words))) => {
                format!("The drawing has a {amp} A fuse: {words}.")
            }
            (_, _) => "The drawing has no fuse here.".to_owned(),
        });
        if let Some((wire, amp)) = self.weakest.filter(|_| self.unknown.is_empty()) {
            list.push(format!(
                "The weakest wire behind it is {}, which may carry {amp:.1} A.",
                wire_name(project, wire)
            ));
        } else {
            let names: Vec<&str> =
                self.unknown.iter().map(|wire| wire_name(project, *wire)).collect();
            let names = if names.is_empty() { "the wires".to_owned() } else { names.join(", ") };
            list.push(format!(
                "What {names} behind it may carry is not known: so is whether it protects them."
            ));
        }
        list
    }
}

/// The smallest blade fuse (ISO 8820-3) that carries the load for long and does not exceed what any
/// wire between it and the next fuses, or on the way back, may carry.
///
/// It is the fuse nearest to what is fed; where none is drawn, one in front of the first wire.
pub fn fuse_advice(
    project: &Project,
    feed: &Feed,
    wires: &BTreeMap<WireId, WireReport>,
) -> FuseAdvice {
    let ways = Ways::new(project);
    let drawn = feed.fuses.first().copied();
    let behind = match (drawn, feed.out.first()) {
        (Some(fuse), _) => ways.behind_fuse(fuse),
        (None, Some(wire)) => ways.behind_wire(*wire),
        (None, None) => None,
    };
    let mut behind = behind.unwrap_or_default();
    behind.back.extend(&feed.back);
    let mut advice = judge(project, drawn, &behind, wires);
    let currents = feed.out.iter().filter_map(|wire| wires.get(wire)?.current);
    advice.load_amp = currents.map(|current| current.amp).fold(0.0, f64::max);
    // Where a current on the way is not known, nothing follows from the others.
    let blank = feed.out.iter().filter(|wire| wires.get(wire).is_some_and(|w| w.current.is_none()));
    let blank: Vec<&str> = blank.map(|wire| wire_name(project, *wire)).collect();
    if !blank.is_empty() {
        let why = no_current(&blank);
        advice.carried_amp = Err(why.clone());
        advice.rating_amp = Err(why.clone());
        advice.drawn_fits = advice.drawn_amp.map(|_| Err(why));
    }
    let judged = advice.drawn_amp.or(advice.rating_amp.as_ref().ok().copied());
    advice.not_protected = judged.map_or_else(Vec::new, |amp| not_protected(amp, feed));
    let is_inside = |wire: &&WireId| !wires.contains_key(wire);
    if judged.is_some() && behind.out.iter().chain(&behind.back).any(|wire| is_inside(&wire)) {
        advice.not_protected.push(
            "Wires inside boxes: what they may carry is not looked at; the fuse must suit them too."
                .to_owned(),
        );
    }
    advice
}

/// Every fuse that is drawn behind a supply, judged by itself with the wires up to the next fuses.
pub fn drawn_fuses(
    project: &Project,
    wires: &BTreeMap<WireId, WireReport>,
) -> BTreeMap<PartId, FuseAdvice> {
    let ways = Ways::new(project);
    let fuses = project.parts.iter().filter(|(_, part)| matches!(part.kind, PartKind::Fuse(_)));
    fuses
        .filter_map(|(id, _)| Some((id, judge(project, Some(id), &ways.behind_fuse(id)?, wires))))
        .collect()
}

fn wire_name(project: &Project, wire: WireId) -> &str {
    project.wires.get(wire).map_or("?", |wire| wire.name.as_str())
}

fn no_current(names: &[&str]) -> String {
    format!(
        "the current of {} is not known: type it, or draw the loads behind it",
        names.join(", ")
    )
}

fn judge(
    project: &Project,
    drawn: Option<PartId>,
    behind: &Behind,
    wires: &BTreeMap<WireId, WireReport>,
) -> FuseAdvice {
    let carried_amp = carried(project, behind, wires);
    let may = |wire: &WireId| Some((*wire, wires.get(wire)?.ampacity.as_ref()));
    let all: Vec<_> = behind.out.union(&behind.back).filter_map(may).collect();
    let unknown: Vec<WireId> =
        all.iter().filter(|(_, may)| may.is_err()).map(|(wire, _)| *wire).collect();
    let known = all.iter().filter_map(|(wire, may)| Some((*wire, may.ok()?.amp)));
    let least = known.min_by(|a, b| a.1.total_cmp(&b.1));
    let why = all.iter().find_map(|(_, may)| may.err()).map_or("", String::as_str);
    let drawn_amp = drawn.and_then(|fuse| match &project.parts.get(fuse)?.kind {
        PartKind::Fuse(fuse) => Some(fuse.rating_amp),
        _ => None,
    });
    let blind = (!unknown.is_empty()).then(|| {
        let names: Vec<&str> = unknown.iter().map(|wire| wire_name(project, *wire)).collect();
        format!("what wire {} may carry is not known ({why})", names.join(", "))
    });
    let rating_amp = match (&carried_amp, &blind) {
        (Err(why), _) => Err(why.clone()),
        (Ok(amp), Some(blind)) => Err(format!(
            "none is proposed, because {blind}; the load asks for at least {} A: take what the wire \
             may carry from its maker's sheet, or choose a rule and type what it asks for",
            short(amp / FUSE_LOADED_TO)
        )),
        (Ok(amp), None) => rating(project, *amp, least),
    };
    let drawn_fits = drawn_amp.map(|amp| fits(project, amp, &carried_amp, blind.as_deref(), least));
    FuseAdvice {
        load_amp: carried_amp.as_ref().ok().copied().unwrap_or(0.0),
        weakest: least,
        unknown,
        carried_amp,
        rating_amp,
        drawn,
        drawn_amp,
        drawn_fits,
        not_protected: Vec::new(),
    }
}

fn short(amp: f64) -> String {
    crate::units::trim_zeros(&format!("{amp:.2}"))
}

/// The sum of the wires right at the fuse, and no less than any wire further on carries.
fn carried(
    project: &Project,
    behind: &Behind,
    wires: &BTreeMap<WireId, WireReport>,
) -> Result<f64, String> {
    // Wires inside boxes have no report.
    let others = wire_currents(project, &BTreeMap::new());
    let amp_of = |wire: &WireId| {
        let reported = wires.get(wire).and_then(|report| report.current);
        reported.or(others.get(wire).copied()).map(|current| current.amp)
    };
    let blank: Vec<&str> = behind
        .first
        .iter()
        .filter(|wire| amp_of(wire).is_none())
        .map(|wire| wire_name(project, *wire))
        .collect();
    if behind.first.is_empty() {
        return Err("nothing is joined to it on the side away from the supply".to_owned());
    }
    if !blank.is_empty() {
        return Err(no_current(&blank));
    }
    let sum: f64 = behind.first.iter().filter_map(amp_of).sum();
    Ok(behind.out.iter().filter_map(amp_of).fold(sum, f64::max))
}

/// Whether a fuse that is drawn will do.
fn fits(
    project: &Project,
    drawn: f64,
    carried_amp: &Result<f64, String>,
    blind: Option<&str>,
    least: Option<(WireId, f64)>,
) -> Result<String, String> {
    if let Some((wire, amp)) = least.filter(|(_, amp)| drawn > *amp) {
        return Err(format!(
            "too large: it lets more through than the {} A wire {} may carry",
            short(amp),
            wire_name(project, wire)
        ));
    }
    let load =
        carried_amp.as_ref().map_err(|why| format!("whether it will do is not known: {why}"))?;
    let share = load / drawn;
    if share > 1.0 {
        return Err(format!("too small: {} A flow through it, so it will open", short(*load)));
    }
    if let Some(blind) = blind {
        return Err(format!("whether it protects the wires is not known: {blind}"));
    }
    if let Some(volt) = judged_volt(project).filter(|volt| *volt > BLADE_VOLT) {
        return Err(format!(
            "whether it will do is not known: common blade fuses are made for up to {BLADE_VOLT} V \
             (from memory), here it is {volt} V: make sure that it is made for this direct voltage"
        ));
    }
    let percent = share * 100.0;
    if share > FUSE_LOADED_TO * (1.0 + 1e-9) {
        return Err(format!(
            "it is loaded to {percent:.0} %, more than the 75 % of common practice: it may open when \
             warm or age early"
        ));
    }
    Ok(format!("acceptable, it is loaded to {percent:.0} % and every wire behind it may carry it"))
}

fn rating(project: &Project, load_amp: f64, weakest: Option<(WireId, f64)>) -> Result<f64, String> {
    let least = load_amp / FUSE_LOADED_TO;
    if let Some(volt) = judged_volt(project).filter(|volt| *volt > BLADE_VOLT) {
        return Err(format!(
            "common blade fuses are made for up to {BLADE_VOLT} V (from memory), here it is {volt} V: \
             take one made for this direct voltage; the load asks for at least {} A",
            short(least)
        ));
    }
    let rating = BLADE_AMP
        .into_iter()
        .find(|rating| *rating >= least * (1.0 - 1e-9))
        .ok_or_else(|| format!("no blade fuse carries {load_amp:.1} A for long: split the feed"))?;
    match weakest {
        None => Err("no wire behind it is known".to_owned()),
        Some((wire, amp)) if rating > amp => Err(format!(
            "a {rating} A fuse would let more through than the {amp:.1} A wire {} may carry: take \
             thicker wire or feed less from here",
            wire_name(project, wire)
        )),
        Some(_) => Ok(rating),
    }
}

/// Words about mild overload, with times where some are recalled for the rating.
fn overload(amp: f64) -> String {
    let mut text = format!(
        "Mild overload: a blade fuse may carry 110 % ({} A) for 100 hours",
        short(amp * 1.1)
    );
    if amp <= TIMED_TO_AMP {
        text += &format!(
            " and take from 0.75 s to 10 minutes at 135 % ({} A) (from memory)",
            short(amp * 1.35)
        );
    } else {
        text += " (from memory); how long it takes at 135 % is not known here for this rating";
    }
    if amp == 10.0 {
        text += "; at 160 % it may take 0.25 to 50 s";
    }
    text + "."
}

/// Words about a fuse of a rating in front of a feed.
fn not_protected(amp: f64, feed: &Feed) -> Vec<String> {
    let mut list = vec![
        overload(amp),
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
                "A short at the far end draws about {short:.0} A through {:.2} Ω of wire, {:.1} \
                 times the rating: it may burn for seconds before the fuse opens.",
                feed.ohm,
                short / amp
            ),
        ),
        Some(short) => list.push(format!(
            "A dead short at the far end draws about {short:.0} A through {:.2} Ω of wire: enough to \
             open it soon, if the supply can give that.",
            feed.ohm
        )),
        None => list.push("How much a short at the far end draws is not known.".to_owned()),
    }
    list
}
