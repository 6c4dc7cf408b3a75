//! The harness as a physical thing: routes, lengths, what a wire weighs in the circuit.
