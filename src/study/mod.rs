//! What-ifs over a whole project: faults and building mistakes, values, dirt.

pub mod advice;
pub mod budget;
pub mod consequence;
pub mod faults;
pub mod infer;
pub mod permit;
pub mod starter;
pub mod transitions;
pub mod values;
pub mod whatif;
