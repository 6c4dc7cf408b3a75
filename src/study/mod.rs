//! What-ifs over a whole project: faults and building mistakes, values, dirt.

pub mod budget;
pub mod faults;
pub mod infer;
pub mod starter;
pub mod values;
pub mod whatif;
