//! The sign-off.
