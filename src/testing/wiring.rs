//! Random laying of runs, make of wires and wire rules.

use crate::model::{
    AmpacityRule, Conductor, Covering, CoveringKind, Duty, Grommet, Hole, Insulation, Laid, Make,
    OwnWire, Shield, Twist, WireSize, Wiring, Zone,
};
use crate::random::Random;

/// How a run is laid; often nothing is known.
pub(super) fn laid(r: &mut Random, word: fn(&mut Random) -> String) -> Laid {
    if r.once_in(2) {
        return Laid::default();
    }
    Laid {
        zones: Zone::ALL.into_iter().filter(|_| r.once_in(3)).collect(),
        hole: r.maybe(|r| Hole {
            bore_mm: r.between(3.0, 40.0),
            grommet: r.pick(&[Grommet::Missing, Grommet::Fitted]),
        }),
        covering: r.maybe(|r| Covering {
            kind: r.pick(&CoveringKind::ALL),
            thickness_mm: r.maybe(|r| r.between(0.1, 2.0)),
            words: word(r),
        }),
        support_mm: r.maybe(|r| r.between(50.0, 900.0)),
    }
}

/// What a wire is made of; often nothing is known.
pub(super) fn make(r: &mut Random, word: fn(&mut Random) -> String) -> Make {
    if r.once_in(2) {
        return Make::default();
    }
    Make {
        conductor: r.pick(&Conductor::ALL),
        insulation: r.maybe(|r| r.pick(&Insulation::ALL)),
        rating_c: r.maybe(|r| r.pick(&[60.0, 85.0, 105.0, 125.0, 200.0])),
        outside_mm: r.maybe(|r| r.between(0.9, 8.0)),
        twist: r.maybe(|r| Twist { pair: word(r), lay_mm: r.between(10.0, 60.0) }),
        shield: r.maybe(|r| Shield {
            name: word(r),
            outside_mm: r.maybe(|r| r.between(2.0, 12.0)),
            drain: r.maybe(|r| r.pick(&[WireSize::Mm2(0.35), WireSize::Awg(22)])),
        }),
        duty: r.pick(&[Duty::Working, Duty::Spare]),
        current_amp: r.maybe(|r| r.decades(1e-3, 60.0)),
        drop_limit: r.maybe(|r| r.pick(&[0.03, 0.1])),
    }
}

/// The project's rules for wire.
pub(super) fn wiring(r: &mut Random, word: fn(&mut Random) -> String) -> Wiring {
    Wiring {
        ambient_c: r.maybe(|r| r.between(-40.0, 80.0)),
        hot_c: r.maybe(|r| r.between(40.0, 120.0)),
        ampacity: r.maybe(|r| r.pick(&AmpacityRule::ALL)),
        drop_limit: r.maybe(|r| r.pick(&[0.03, 0.1])),
        supply_volt: r.maybe(|r| r.pick(&[12.0, 24.0, 13.8])),
        insulation: r.maybe(|r| r.pick(&Insulation::ALL)),
        rating_c: r.maybe(|r| r.pick(&[60.0, 85.0, 105.0])),
        own_wires: (0..r.below(3))
            .map(|_| OwnWire {
                size: r.pick(&[WireSize::Mm2(0.5), WireSize::Awg(18)]),
                insulation: r.maybe(|r| r.pick(&Insulation::ALL)),
                ohm_per_m: r.maybe(|r| r.decades(1e-3, 0.1)),
                outside_mm: r.maybe(|r| r.between(1.0, 3.0)),
                single_amp: r.maybe(|r| r.between(1.0, 20.0)),
                source: word(r),
            })
            .collect(),
    }
}
