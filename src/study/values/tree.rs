//! The values of one part, halved again and again: stretches of neighbouring values and their extremes.

/// A stretch of values.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// First value and one past the last, by rank of ohms.
    pub ranks: (usize, usize),
    /// Its two halves, by index; `None` for a single value.
    pub halves: Option<[u32; 2]>,
    /// Least conductance of any value at corners low, usual and high of its resistance.
    pub least: [f64; 3],
    /// Greatest conductance likewise.
    pub most: [f64; 3],
}

/// All stretches over values in order of ohms, the whole first.
pub fn stretches(siemens: &[[f64; 3]]) -> Vec<Stretch> {
    let mut list = Vec::with_capacity(2 * siemens.len());
    add(siemens, 0, siemens.len(), &mut list);
    list
}

fn add(siemens: &[[f64; 3]], from: usize, to: usize, list: &mut Vec<Stretch>) -> u32 {
    let at = list.len();
    let (mut least, mut most) = (siemens[from], siemens[from]);
    for value in &siemens[from + 1..to] {
        for corner in 0..3 {
            least[corner] = least[corner].min(value[corner]);
            most[corner] = most[corner].max(value[corner]);
        }
    }
    list.push(Stretch { ranks: (from, to), halves: None, least, most });
    if to - from > 1 {
        let middle = from.midpoint(to);
        let halves = [add(siemens, from, middle, list), add(siemens, middle, to, list)];
        list[at].halves = Some(halves);
    }
    u32::try_from(at).expect("values are limited, and make twice as many stretches")
}
