//! A table of the project: rows by identity, in a fixed order, cheap to copy until it is changed.

use std::collections::BTreeMap;
use std::sync::Arc;

/// Rows of one kind. Copying shares the rows; the first change after a copy makes them the copy's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Table<K: Ord + Clone, T: Clone>(Arc<BTreeMap<K, T>>);

impl<K: Ord + Clone, T: Clone> Default for Table<K, T> {
    fn default() -> Self {
        Self(Arc::new(BTreeMap::new()))
    }
}

impl<K: Ord + Copy, T: Clone> Table<K, T> {
    /// The row of this identity.
    pub fn get(&self, id: K) -> Option<&T> {
        self.0.get(&id)
    }

    /// The row of this identity, to change.
    pub fn get_mut(&mut self, id: K) -> Option<&mut T> {
        if self.0.contains_key(&id) { Arc::make_mut(&mut self.0).get_mut(&id) } else { None }
    }

    /// Puts a row under an identity and returns the row it replaces.
    pub fn put(&mut self, id: K, row: T) -> Option<T> {
        Arc::make_mut(&mut self.0).insert(id, row)
    }

    /// Takes a row out.
    pub fn remove(&mut self, id: K) -> Option<T> {
        if self.0.contains_key(&id) { Arc::make_mut(&mut self.0).remove(&id) } else { None }
    }

    /// Whether there is such a row.
    pub fn contains(&self, id: K) -> bool {
        self.0.contains_key(&id)
    }

    /// All rows, lowest identity first.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (K, &T)> + ExactSizeIterator {
        self.0.iter().map(|(id, row)| (*id, row))
    }

    /// All identities, lowest first.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = K> + ExactSizeIterator {
        self.0.keys().copied()
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is no row.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether both tables share the same rows in memory: equal for certain, at no cost.
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}
