//! Ohmloom plans one-wire switch circuits and the small harness that carries them.
//!
//! Modules in reading order; each may use only those above its own row:
//!
//! | row | module | what it is |
//! |---|---|---|
//! | 0 | [`units`] | quantities as people type and read them |
//! | 0 | [`geometry`] | points, rectangles and turns of the sheet |
//! | 0 | [`csv_text`] | tables as comma-separated values |
//! | 0 | [`random`] | random numbers with a seed |
//! | 0 | [`series`] | preferred numbers, E3 to E192 |
//! | 0 | [`marking`] | what is printed on a resistor: rings, letters, digits |
//! | 1 | [`model`] | the project as plain data |
//! | 2 | [`edit`] | every change to a project, undo and redo |
//! | 2 | [`store`] | project to text and back |
//! | 2 | [`drawing`] | symbols, terminal places and wire runs on the sheet |
//! | 2 | [`circuit`] | netlist, reduction, states, meter, working |
//! | 2 | [`harness`] | routes, lengths, bundles, currents, drop, wire data |
//! | 2 | [`testing`] | random numbers and projects for tests, fuzzing and benches |
//! | 3 | [`sense`] | readings, decode, margins, worst case |
//! | 3 | [`cutting`] | the cut list, wire ends, pieces on hand, what to buy |
//! | 3 | [`samples`] | the sample projects, carried in the program |
//! | 4 | [`check`] | every finding about a project in one list |
//! | 4 | [`study`] | what-ifs: faults and building mistakes, values, dirt |
//! | 4 | [`tables`] | wire tables of spreadsheets, read and written |
//! | 5 | [`proving`] | bench test, from a reading to its cause, what was measured |
//! | 6 | [`sheets`] | the packet of printed sheets: pages, PDF, SVG, tables |
//! | 6 | [`files`] | reading and writing files, whole or not at all |
//! | 7 | [`cli`] | the text commands |
//! | 7 | `app` | the window |

#[cfg(feature = "gui")]
pub mod app;
pub mod check;
pub mod circuit;
pub mod cli;
pub mod csv_text;
pub mod cutting;
pub mod drawing;
pub mod edit;
pub mod files;
pub mod geometry;
pub mod harness;
pub mod marking;
pub mod model;
pub mod proving;
pub mod random;
pub mod samples;
pub mod sense;
pub mod series;
pub mod sheets;
pub mod store;
pub mod study;
pub mod tables;
#[doc(hidden)]
pub mod testing;
pub mod units;
