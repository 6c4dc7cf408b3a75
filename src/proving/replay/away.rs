//! Times the reading left its band and came back: each by itself, or as an intermittent contact.

use crate::model::{BandRole, Scale, SensePin, Side};
use crate::proving::replay::claims::{BandIdx, Claims, GUARD};
use crate::proving::replay::event::{Event, EventKind, Rules};
use crate::proving::replay::runs::Run;

/// What runs are judged with.
pub struct Case<'a> {
    /// The pin.
    pub pin: &'a SensePin,
    /// The rules.
    pub rules: &'a Rules,
    /// What may be read.
    pub claims: &'a Claims,
    /// Readings in the pin's scale.
    pub scaled: &'a [f64],
    /// Whether rows follow each other at one step.
    pub is_regular: bool,
}

/// Away from a band and back to it.
#[derive(Clone, Debug)]
struct Away {
    /// Runs it is made of.
    runs: std::ops::Range<usize>,
    from_s: f64,
    to_s: f64,
    rows: std::ops::Range<usize>,
    /// The band it left.
    left: BandIdx,
    read: (f64, f64),
    /// Whether it went to where a contact that opens goes, and not just over the edge.
    opens: bool,
    /// Whether it stayed in the guard beside its band.
    is_edge: bool,
    /// Whether it lasted longer than the debounce.
    is_long: bool,
}

/// What the runs show.
#[derive(Default)]
pub struct Found {
    /// Events, in order of time within their kind.
    pub events: Vec<Event>,
    /// Changes from one band to another that passed others on the way.
    pub passings: usize,
}

impl Case<'_> {
    /// Whether a run stands for so long that the controller takes it.
    pub fn counts(&self, run: &Run) -> bool {
        // What one row of a coarse log says may have been shorter.
        let is_sure = run.end - run.first > 1 || !self.is_regular;
        is_sure && run.length_s() + 1e-9 >= self.rules.counts_s
    }

    /// Looks through all runs.
    pub fn found(&self, runs: &[Run]) -> Found {
        let mut found = Found::default();
        let mut aways = Vec::new();
        let mut from = 0;
        for idx in 1..=runs.len() {
            if idx == runs.len() || runs[idx].is_after_gap {
                self.stretch(runs, from..idx, &mut aways, &mut found);
                from = idx;
            }
        }
        let taken = self.events_of(&aways, runs, &mut found.events);
        self.standing(runs, &taken, &mut found.events);
        found
    }

    /// One stretch without gaps: what lies between runs that count.
    fn stretch(
        &self,
        runs: &[Run],
        of: std::ops::Range<usize>,
        aways: &mut Vec<Away>,
        found: &mut Found,
    ) {
        let anchors: Vec<usize> = of.clone().filter(|idx| self.counts(&runs[*idx])).collect();
        let (Some(first), Some(last)) = (anchors.first().copied(), anchors.last().copied()) else {
            aways.extend(self.beside(runs, of.clone(), self.home(runs, of), [false; 2]));
            return;
        };
        aways.extend(self.beside(runs, of.start..first, runs[first].band, [false, true]));
        aways.extend(self.beside(runs, last + 1..of.end, runs[last].band, [true, false]));
        for pair in anchors.windows(2) {
            let (a, b) = (&runs[pair[0]], &runs[pair[1]]);
            let between = pair[0] + 1..pair[1];
            let length = b.from_s - a.to_s;
            let passes = a.band != b.band && length <= self.rules.passing_s + 1e-9;
            if passes {
                let passed = |idx: usize| ![a.band, b.band].contains(&runs[idx].band);
                found.passings += usize::from(between.clone().any(passed));
                continue;
            }
            let mut away: Option<usize> = None;
            for idx in between.start..=between.end {
                let is_out = idx < between.end && runs[idx].band != a.band;
                match (away, is_out) {
                    (None, true) => away = Some(idx),
                    // On the way to another band it never came back.
                    (Some(first), false) if idx < between.end || a.band == b.band => {
                        aways.extend(self.odd(runs, first..idx, a.band));
                        away = None;
                    }
                    (Some(first), false) => {
                        let others = (first..idx).any(|n| runs[n].band != b.band);
                        if others && runs[first].from_s + self.rules.passing_s < b.from_s {
                            aways.extend(self.odd(runs, first..idx, a.band));
                        }
                    }
                    (None, false) | (Some(_), true) => {}
                }
            }
        }
        // A broken wire that is back soon may belong to a contact that comes and goes.
        for trio in anchors.windows(3) {
            let [a, b, c] = [trio[0], trio[1], trio[2]].map(|idx| &runs[idx]);
            let is_soon = b.length_s() <= self.rules.open_s && !b.is_right;
            if a.band == c.band
                && a.band != b.band
                && is_soon
                && self.role(b.band) == Some(BandRole::Open)
            {
                aways.push(Away { is_long: true, ..self.away(runs, trio[1]..trio[1] + 1, a.band) });
            }
        }
    }

    /// The band to which runs are held of which none counts: of those that are right, the one with the
    /// most time; where none is right, one that the controls give.
    fn home(&self, runs: &[Run], of: std::ops::Range<usize>) -> BandIdx {
        let mut time_s = vec![0.0; self.pin.bands.len()];
        for run in runs[of.clone()].iter().filter(|run| run.is_right) {
            if let Some(time_s) = time_s.get_mut(usize::from(run.band)) {
                *time_s += run.length_s();
            }
        }
        let most = (0..time_s.len()).max_by(|a, b| time_s[*a].total_cmp(&time_s[*b]));
        let claim = self.claims.at(runs[of.start].first as usize);
        let given = claim.bands.iter().position(|is_right| *is_right);
        let idx = most.filter(|idx| time_s[*idx] > 0.0).or(given);
        idx.and_then(|idx| BandIdx::try_from(idx).ok()).unwrap_or(GUARD)
    }

    /// Aways from a band among runs of which none counts. `closed` says whether the band stands directly
    /// before the first and behind the last of them. A part that does not come back to the band and is
    /// short may be a hand that moves on.
    fn beside(
        &self,
        runs: &[Run],
        of: std::ops::Range<usize>,
        band: BandIdx,
        closed: [bool; 2],
    ) -> Vec<Away> {
        if of.is_empty() {
            return Vec::new();
        }
        let comes_from = closed[0] || runs[of.start].band == band;
        let comes_back = closed[1] || runs[of.end - 1].band == band;
        let length_s = runs[of.end - 1].to_s - runs[of.start].from_s;
        if !(comes_from && comes_back) && length_s <= self.rules.passing_s + 1e-9 {
            return Vec::new();
        }
        let mut pieces: Vec<std::ops::Range<usize>> = Vec::new();
        for idx in of.clone().filter(|idx| runs[*idx].band != band) {
            match pieces.last_mut() {
                Some(piece) if piece.end == idx => piece.end = idx + 1,
                Some(_) | None => pieces.push(idx..idx + 1),
            }
        }
        let means = |piece: &std::ops::Range<usize>| {
            let is_whole =
                (piece.start > of.start || comes_from) && (piece.end < of.end || comes_back);
            is_whole || runs[piece.clone()].iter().any(|run| !run.is_right)
        };
        let told = pieces.into_iter().filter(means);
        told.filter_map(|piece| self.odd(runs, piece, band)).collect()
    }

    /// An away that means something. One in which all is right means nothing where it only wavers over
    /// an edge, where nobody moved anything, or where it lasts: a hand has gone through positions.
    fn odd(&self, runs: &[Run], of: std::ops::Range<usize>, left: BandIdx) -> Option<Away> {
        let all_right = runs[of.clone()].iter().all(|run| run.is_right);
        let away = self.away(runs, of, left);
        let before = self.claims.at(away.rows.start.saturating_sub(1));
        let is_same = !before.words.is_empty()
            && self.claims.stretches(away.rows.clone()).len() == 1
            && self.claims.at(away.rows.start) == before;
        let lasts = away.to_s - away.from_s >= self.rules.counts_s;
        (!all_right || !(away.is_edge || is_same || lasts)).then_some(away)
    }

    fn away(&self, runs: &[Run], of: std::ops::Range<usize>, left: BandIdx) -> Away {
        let (first, last) = (&runs[of.start], &runs[of.end - 1]);
        let rows = first.first as usize..last.end as usize;
        let read = span(&self.scaled[rows.clone()]);
        let edge = self.pin.bands.get(usize::from(left));
        let is_edge = self.is_edge(&runs[of.clone()], left, read);
        let opens = !is_edge
            && match edge {
                Some(band) if self.opens_upwards() => band.high.is_some_and(|high| read.1 > high),
                Some(band) => read.0 < band.low,
                None => false,
            };
        Away {
            runs: of,
            from_s: first.from_s,
            to_s: last.to_s,
            rows,
            left,
            read,
            opens,
            is_edge,
            is_long: false,
        }
    }

    /// Whether the reading only went over an edge: out of a band by less than half its width, or into
    /// one from the guard beside it.
    fn is_edge(&self, runs: &[Run], left: BandIdx, read: (f64, f64)) -> bool {
        let other = runs[0].band;
        if runs.iter().any(|run| run.band != other) {
            return false;
        }
        let band = match (left, other) {
            (GUARD, band) | (band, GUARD) => self.pin.bands.get(usize::from(band)),
            (_, _) => None,
        };
        band.is_some_and(|band| {
            let high = band.high.unwrap_or(f64::INFINITY);
            let near = (high - band.low) / 2.0;
            match left {
                GUARD => (read.1 - band.low).min(high - read.0) < near,
                _ => (read.1 - high).max(band.low - read.0) < near,
            }
        })
    }

    /// Whether a contact that opens raises the reading.
    fn opens_upwards(&self) -> bool {
        self.pin.scale == Scale::Ohm || self.pin.side == Side::Ground
    }

    fn role(&self, band: BandIdx) -> Option<BandRole> {
        self.pin.bands.get(usize::from(band)).map(|band| band.role)
    }

    /// Turns aways into events; returns the runs that belong to intermittent contacts.
    fn events_of(&self, aways: &[Away], runs: &[Run], events: &mut Vec<Event>) -> Vec<usize> {
        let mut sorted: Vec<&Away> = aways.iter().collect();
        sorted.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
        let mut taken = Vec::new();
        let mut done = vec![false; sorted.len()];
        for (kind, is_contact) in [(EventKind::Intermittent, true), (EventKind::InGuard, false)] {
            let fits = |away: &Away| match is_contact {
                true => away.opens,
                false => away.is_edge && !away.is_long,
            };
            let mut from = 0;
            while from < sorted.len() {
                let mut group: Vec<usize> = Vec::new();
                let mut next = from;
                while next < sorted.len() {
                    let one = sorted[next];
                    if let Some(last) = group.last().map(|idx| sorted[*idx]) {
                        if one.from_s - last.to_s > self.rules.flicker_gap_s {
                            break;
                        }
                        if fits(one) && one.left == last.left {
                            group.push(next);
                        }
                    } else if fits(one) && !done[next] {
                        group.push(next);
                    } else {
                        break;
                    }
                    next += 1;
                }
                if group.len() >= self.rules.flickers {
                    let (first, last) = (sorted[group[0]], sorted[group[group.len() - 1]]);
                    let mut event = self.event(kind, first, group.len());
                    event.to_s = last.to_s;
                    event.end = last.rows.end;
                    for idx in &group {
                        event.read.0 = event.read.0.min(sorted[*idx].read.0);
                        event.read.1 = event.read.1.max(sorted[*idx].read.1);
                        done[*idx] = true;
                        taken.extend(sorted[*idx].runs.clone());
                    }
                    events.push(event);
                    from = next;
                } else {
                    from += 1;
                }
            }
        }
        for (away, _) in sorted.iter().zip(&done).filter(|(away, done)| !**done && !away.is_long) {
            debug_assert!(away.runs.end <= runs.len());
            events.push(self.event(EventKind::Brief, away, 1));
        }
        taken
    }

    fn event(&self, kind: EventKind, away: &Away, times: usize) -> Event {
        Event {
            kind,
            from_s: away.from_s,
            to_s: away.to_s,
            first: away.rows.start,
            end: away.rows.end,
            read: away.read,
            band: away.left,
            expected: None,
            times,
            course: None,
            may_count: true,
        }
    }

    /// Runs that count and are not right, but for those of intermittent contacts.
    fn standing(&self, runs: &[Run], taken: &[usize], events: &mut Vec<Event>) {
        let taken: std::collections::BTreeSet<usize> = taken.iter().copied().collect();
        let mut last: Option<Event> = None;
        for (idx, run) in runs.iter().enumerate() {
            if run.is_right || !self.counts(run) || taken.contains(&idx) {
                continue;
            }
            let kind = match self.role(run.band) {
                None => EventKind::InGuard,
                Some(BandRole::Open | BandRole::Short) => EventKind::Detected,
                Some(BandRole::Action | BandRole::Idle) => EventKind::WrongAction,
            };
            let read = span(&self.scaled[run.rows()]);
            match &mut last {
                Some(event)
                    if event.kind == kind
                        && event.band == run.band
                        && run.from_s - event.to_s <= self.rules.counts_s =>
                {
                    event.to_s = run.to_s;
                    event.end = run.end as usize;
                    event.read = (event.read.0.min(read.0), event.read.1.max(read.1));
                }
                Some(_) | None => {
                    events.extend(last.take());
                    last = Some(Event {
                        kind,
                        from_s: run.from_s,
                        to_s: run.to_s,
                        first: run.first as usize,
                        end: run.end as usize,
                        read,
                        band: run.band,
                        expected: None,
                        times: 1,
                        course: None,
                        may_count: true,
                    });
                }
            }
        }
        events.extend(last);
    }
}

/// Least and greatest of some readings.
pub fn span(values: &[f64]) -> (f64, f64) {
    values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(*value), high.max(*value))
    })
}
